use super::*;
use crate::app::net::plot::tests::{line, plane};
use crate::notebook::figures::figures;

/// Planes around an axis that plunges 13° toward 224°, in two limbs.
fn folded() -> Vec<Datum> {
    let axis = Line::from_deg(224.0, 13.0).unwrap();
    let mut data = Vec::new();
    for i in 0..12 {
        let lift = f64::from(i % 4) * 3.0;
        let strike = if i < 6 { 60.0 } else { 210.0 } + lift;
        let trend = Line::from_deg(strike, 0.0).unwrap();
        if let Some(p) = crate::orientation::Plane::through(&axis, &trend) {
            let mut datum = plane(10.0, 10.0);
            datum.plane = Some(p);
            data.push(datum);
        }
    }
    data
}

#[test]
fn the_axis_of_a_fold_leads_with_its_count() {
    let data = folded();
    let all: Vec<&Datum> = data.iter().collect();
    let figures = figures("bedding", &all);
    let lead = lead(&figures, Notation::StrikeDip).expect("a fold");
    assert_eq!(lead.value, "13→224");
    assert!(lead.name.ends_with("12 poles"), "{}", lead.name);
    let further = further(&figures, Notation::StrikeDip);
    let interlimb = further
        .iter()
        .find(|f| f.name == "interlimb angle")
        .expect("two limbs");
    assert!(
        interlimb.detail.contains("the other way"),
        "{}",
        interlimb.detail
    );
    for figure in &further {
        assert!(
            !figure.value.is_empty() && !figure.detail.is_empty() && !figure.reckoned.is_empty(),
            "{figure:?}"
        );
    }
}

#[test]
fn the_outlook_names_a_plane_and_its_promise() {
    let data = folded();
    let all: Vec<&Datum> = data.iter().collect();
    let told = outlook("bedding", &all, Notation::StrikeDip);
    assert_eq!(
        told.iter().filter(|f| f.name == "the next outcrop").count(),
        2
    );
    for figure in &told {
        assert!(
            !figure.value.is_empty() && !figure.detail.is_empty() && !figure.reckoned.is_empty(),
            "{figure:?}"
        );
    }
    assert_eq!(outlook("bedding", &all[..3], Notation::StrikeDip), []);
}

#[test]
fn lines_have_a_mean_axis() {
    let data: Vec<Datum> = (0..6)
        .map(|i| line(40.0 + f64::from(i), 20.0 + f64::from(i % 3)))
        .collect();
    let all: Vec<&Datum> = data.iter().collect();
    let lead = lead(&figures("line", &all), Notation::StrikeDip).expect("a mean");
    assert_eq!(lead.name, "mean axis, 6 lines");
    assert!(
        lead.value.contains('→') && lead.detail.contains("95 in 100"),
        "{lead:?}"
    );
}

#[test]
fn chances_are_told_as_how_often() {
    assert_eq!(chance(0.0), "under 1 in 2000");
    assert_eq!(chance(0.01), "1 in 100");
    assert_eq!(chance(0.42), "42 in 100");
}

/// Faults of one stress: greatest compression upright, least level and east; each slips along its shear.
fn faults(senses_known: usize) -> Vec<Datum> {
    use crate::orientation::faults::Principal;
    let stress = Principal {
        sigma1: Line::from_deg(0.0, 90.0).unwrap(),
        sigma2: Line::from_deg(0.0, 0.0).unwrap(),
        sigma3: Line::from_deg(90.0, 0.0).unwrap(),
        ratio: 0.5,
    };
    let planes = [
        (10.0, 60.0),
        (200.0, 55.0),
        (150.0, 65.0),
        (340.0, 50.0),
        (60.0, 40.0),
        (250.0, 70.0),
    ];
    planes
        .iter()
        .enumerate()
        .map(|(i, (strike, dip))| {
            let mut datum = plane(*strike, *dip);
            datum.kind = "fault + line".to_owned();
            datum.name = format!("9·{}", i + 1);
            let slip = datum.plane.and_then(|p| stress.slip_on(&p)).unwrap();
            datum.line = slip.line().map(|l| l.as_axis());
            datum.slip = (i < senses_known).then_some(slip);
            datum
        })
        .collect()
}

#[test]
fn faults_with_slip_tell_their_stress_and_that_it_is_a_model() {
    let data = faults(6);
    let all: Vec<&Datum> = data.iter().collect();
    let told = further(&figures("fault + line", &all), Notation::StrikeDip);
    let value = |name: &str| {
        told.iter()
            .find(|f| f.name == name)
            .unwrap_or_else(|| panic!("{name}"))
    };
    // The linear method takes the shear as equally great on all faults, so that the ratio is near to the true one half.
    let ratio: f64 = value("stress ratio").value.parse().unwrap();
    assert!((ratio - 0.5).abs() < 0.2, "{ratio}");
    let greatest = value("greatest compression");
    let plunge: f64 = greatest.value[..2].parse().unwrap();
    assert!(
        plunge > 80.0 && greatest.detail.contains("6 faults"),
        "{greatest:?}"
    );
    assert!(greatest.reckoned.contains("model") && greatest.reckoned.contains("Michael 1984"));
    assert_eq!(
        told.iter()
            .filter(|f| f.name.starts_with("misfit of 9·"))
            .count(),
        6
    );
    assert!(
        value("right dihedra: shortened")
            .detail
            .contains("in 100 of 6 faults")
    );
    for figure in &told {
        assert!(
            !figure.detail.is_empty() && !figure.reckoned.is_empty(),
            "{figure:?}"
        );
    }
}

#[test]
fn faults_without_a_sense_tell_no_stress_and_are_counted() {
    let data = faults(3);
    let all: Vec<&Datum> = data.iter().collect();
    let told = further(&figures("fault + line", &all), Notation::StrikeDip);
    let stress = told
        .iter()
        .find(|f| f.name == "stress")
        .expect("why there is none");
    assert_eq!(stress.value, "not told");
    let shortening = told
        .iter()
        .find(|f| f.name == "shortening")
        .expect("the mean of three");
    assert!(
        shortening
            .detail
            .contains("3 without a sense of slip left out"),
        "{shortening:?}"
    );
    let data = faults(0);
    let all: Vec<&Datum> = data.iter().collect();
    let told = further(&figures("fault + line", &all), Notation::StrikeDip);
    assert!(
        told.iter()
            .all(|f| f.name != "stress" && f.name != "shortening")
    );
}

/// A foliation that was read with the line on it tells where the lines point to, not only how it lies itself.
#[test]
fn lines_in_planes_have_a_mean_of_their_own() {
    let mut data: Vec<Datum> = [(40.0, 30.0), (45.0, 33.0), (43.0, 28.0), (47.0, 31.0)]
        .iter()
        .map(|(strike, dip)| plane(*strike, *dip))
        .collect();
    for (datum, rake_deg) in data.iter_mut().zip([88.0, 92.0, 90.0, 91.0]) {
        datum.kind = "foliation + line".to_owned();
        let rake = crate::orientation::Rake::from_deg(rake_deg).unwrap();
        datum.line = datum.plane.map(|p| p.line_at(rake));
    }
    let all: Vec<&Datum> = data.iter().collect();
    let told = further(&figures("foliation + line", &all), Notation::StrikeDip);
    let lines = told
        .iter()
        .find(|f| f.name == "mean of its lines")
        .expect("a mean of its lines");
    // Down the dip, or nearly: 30 or 31 towards 134.
    let (plunge, trend) = lines.value.split_once('→').expect("a line");
    let near = |text: &str, want: f64| (text.parse::<f64>().unwrap() - want).abs() <= 2.0;
    assert!(near(plunge, 30.5) && near(trend, 134.0), "{lines:?}");
    assert!(lines.detail.starts_with("4 lines, ±"), "{lines:?}");
    assert!(
        further(&figures("bedding", &all[..0]), Notation::StrikeDip)
            .iter()
            .all(|f| f.name != "mean of its lines")
    );
}
