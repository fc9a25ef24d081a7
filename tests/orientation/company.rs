//! Folds and fractures built to agree, then read with noise and with a slip.

use hingeline::orientation::adjustment::{
    Company, FoldDials, FractureDials, Member, Stand, adjust_fold, adjust_fractures,
};
use hingeline::orientation::{Azimuth, Context, Dial, Dip, Line, Noise, Plane, Plunge};

use super::{Dice, check_deg};

fn plane(strike: f64, dip: f64) -> Plane {
    Plane::from_deg(strike, dip).expect("in range")
}

/// A fold about a hinge: limbs and axial plane through it, turned about it.
fn fold() -> FoldDials {
    let hinge = Line::from_deg(224.0, 20.0).expect("in range");
    let side = Line::from_deg(134.0, 0.0).expect("in range").vector();
    let through = |turn_deg: f64| {
        let turn = hingeline::orientation::Turn::from_deg(turn_deg).expect("in range");
        let aside = Line::from_vector(&side)
            .expect("a unit vector")
            .rotated(&hinge, turn);
        Plane::through(&hinge, &aside).expect("apart")
    };
    FoldDials {
        limb_a: Some(through(35.0)),
        limb_b: Some(through(-50.0)),
        hinge: Some(hinge),
        axial_plane: Some(through(80.0)),
        interlimb_deg: Some(85.0),
    }
}

fn fractures() -> FractureDials {
    let (a, b) = (plane(30.0, 70.0), plane(215.0, 55.0));
    FractureDials {
        plane_a: Some(a),
        plane_b: Some(b),
        dihedral_deg: Some(a.angle(&b).deg()),
        slip_a: Some(a.line_at(hingeline::orientation::Rake::from_deg(40.0).expect("in range"))),
        slip_b: Some(b.line_at(hingeline::orientation::Rake::from_deg(100.0).expect("in range"))),
    }
}

fn of_fold(dials: &FoldDials) -> Company {
    adjust_fold(dials, &Context::new(&Noise::default())).expect("members enough")
}

fn of_fractures(dials: &FractureDials) -> Company {
    adjust_fractures(dials, &Context::new(&Noise::default())).expect("members enough")
}

#[test]
fn a_company_that_agrees_is_left_alone() {
    let found = of_fold(&fold());
    assert_eq!(found.dof, 4);
    assert!(found.chi2 < 1e-9 && !found.doubted, "{found:?}");
    let found = of_fractures(&fractures());
    assert_eq!(found.dof, 3);
    assert!(found.chi2 < 1e-9 && !found.doubted, "{found:?}");
}

#[test]
fn any_subset_is_enough_that_can_contradict() {
    let all = fold();
    let none = Context::new(&Noise::default()).noise.to_owned();
    let context = Context::new(&none);
    let two = FoldDials {
        hinge: None,
        axial_plane: None,
        interlimb_deg: None,
        ..all
    };
    assert_eq!(adjust_fold(&two, &context), None);
    assert_eq!(adjust_fold(&FoldDials::default(), &context), None);
    assert_eq!(adjust_fractures(&FractureDials::default(), &context), None);
    for (dials, dof) in [
        (
            FoldDials {
                interlimb_deg: all.interlimb_deg,
                ..two
            },
            1,
        ),
        (
            FoldDials {
                hinge: all.hinge,
                ..two
            },
            2,
        ),
        (
            FoldDials {
                axial_plane: all.axial_plane,
                ..two
            },
            1,
        ),
        (
            FoldDials {
                limb_b: None,
                hinge: all.hinge,
                ..two
            },
            1,
        ),
    ] {
        let found = of_fold(&dials);
        assert_eq!(found.dof, dof, "{dials:?}");
        assert!(found.chi2 < 1e-9);
    }
    // Three planes have their line in common, read or not.
    let found = of_fold(&FoldDials {
        axial_plane: all.axial_plane,
        ..two
    });
    let [(Member::Hinge, Stand::Line(hinge))] = found.derived[..] else {
        panic!("{found:?}");
    };
    assert!(hinge.angle(&all.hinge.expect("a hinge")).deg() < 1e-6);
}

#[test]
fn what_is_adjusted_stands_together() {
    let mut dials = fold();
    dials.limb_a = Some(plane(
        dials.limb_a.expect("read").strike().deg() + 3.0,
        40.0,
    ));
    let found = of_fold(&dials);
    let at = |member: Member| {
        found
            .residuals
            .iter()
            .find(|r| r.member == member)
            .expect("read")
            .adjusted
    };
    let Stand::Line(hinge) = at(Member::Hinge) else {
        panic!("a line")
    };
    for member in [Member::LimbA, Member::LimbB, Member::AxialPlane] {
        let Stand::Plane(plane) = at(member) else {
            panic!("a plane")
        };
        assert!(plane.angle_to_line(&hinge).deg() < 1e-7, "{member}");
    }
    let sum: f64 = found.residuals.iter().map(|r| r.ratio.powi(2)).sum();
    check_deg(sum, found.chi2);
}

#[test]
fn the_slip_of_a_member_is_named() {
    let mut dials = fold();
    let limb = dials.limb_b.expect("read");
    dials.limb_b = Some(limb.other_side());
    let found = of_fold(&dials);
    assert!(found.doubted);
    let first = &found.explanations[0];
    assert_eq!(first.member, Member::LimbB, "{found:?}");
    assert!(
        first.words.starts_with("the second limb dips "),
        "{}",
        first.words
    );
    assert_eq!(first.sets[0].0, Dial::Strike);
    let mut dials = fold();
    let hinge = dials.hinge.expect("read");
    dials.hinge = Some(Line::new(hinge.trend().opposite(), hinge.plunge()));
    let first = of_fold(&dials).explanations[0].clone();
    assert_eq!(
        first.words,
        "the trend of the hinge was read at the other end: 044 instead of 224"
    );
    let mut dials = fractures();
    dials.dihedral_deg = dials.dihedral_deg.map(|deg| deg + 25.0);
    let first = of_fractures(&dials).explanations[0].clone();
    assert_eq!(
        first.member,
        Member::Dihedral,
        "{:?}",
        of_fractures(&dials).explanations
    );
    let mut dials = fractures();
    let steep = hingeline::orientation::Rake::from_deg(80.0).expect("in range");
    let slip = dials.plane_a.expect("read").line_at(steep);
    dials.slip_a = Some(Line::new(
        slip.trend(),
        Plunge::from_deg(90.0 - slip.plunge().deg()).expect("in range"),
    ));
    let found = of_fractures(&dials);
    assert!(
        found
            .explanations
            .iter()
            .take(2)
            .any(|e| e.member == Member::SlipA),
        "{found:?}"
    );
}

/// χ² of noisy folds has the mean of its degrees of freedom, and hardly any is doubted.
#[test]
fn noisy_folds_scatter_as_they_should() {
    let noise = Noise::default();
    let mut dice = Dice(21);
    let all = fold();
    let (mut sum, mut doubted) = (0.0, 0);
    for _ in 0..120 {
        let mut read = |plane: Plane| {
            let strike = plane.strike().deg() + noise.strike_sd_deg(plane.dip()) * dice.normal();
            let dip = (plane.dip().deg() + noise.dip_sd_deg() * dice.normal()).clamp(0.0, 90.0);
            Plane::new(
                Azimuth::wrapped_deg(strike).expect("finite"),
                Dip::from_deg(dip).expect("in range"),
            )
        };
        let limb_a = all.limb_a.map(&mut read);
        let limb_b = all.limb_b.map(&mut read);
        let axial_plane = all.axial_plane.map(&mut read);
        let hinge = all.hinge.expect("read");
        let trend = hinge.trend().deg() + noise.trend_sd_deg(hinge.plunge()) * dice.normal();
        let plunge = hinge.plunge().deg() + noise.plunge_sd_deg() * dice.normal();
        let found = of_fold(&FoldDials {
            limb_a,
            limb_b,
            axial_plane,
            hinge: Some(Line::new(
                Azimuth::wrapped_deg(trend).expect("finite"),
                Plunge::from_deg(plunge).expect("in range"),
            )),
            interlimb_deg: all
                .interlimb_deg
                .map(|deg| deg + noise.rake_sd_deg() * dice.normal()),
        });
        sum += found.chi2;
        doubted += u32::from(found.doubted);
    }
    // Of 120 with four degrees of freedom the mean is good to √(8/120) = 0.26.
    let mean = sum / 120.0;
    assert!((mean - 4.0).abs() < 0.85, "{mean}");
    assert!(doubted <= 2, "{doubted}");
}
