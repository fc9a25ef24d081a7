//! Principal axes, projections and densities.

use hingeline::orientation::statistics::{Tensor, Which, axis_ellipse, uniform_axes};
use hingeline::orientation::{Density, Hemisphere, Line, Projection};
use nalgebra::Vector3;
use serde::Deserialize;

use super::{check_near, tables, vectors};

#[derive(Deserialize)]
pub(crate) struct OfTensor {
    name: String,
    axes: Vec<[f64; 2]>,
    values: [f64; 3],
    /// Only where no other axis shares the value.
    vectors: [Option<[f64; 3]>; 3],
    bingham: f64,
    bingham_p: f64,
    shape: Option<f64>,
    strength: Option<f64>,
    /// Half diameters about the first and about the last axis, degrees.
    ellipses: Option<[[f64; 2]; 2]>,
}

#[test]
fn tensors_have_the_same_principal_axes() {
    let rows = tables().tensors;
    let alike = rows
        .iter()
        .filter(|r| r.vectors.iter().any(Option::is_none));
    assert!(
        rows.len() == 14 && alike.count() >= 6,
        "degenerate ones too"
    );
    for row in rows {
        let axes = vectors(&row.axes);
        let eigen = Tensor::of(&axes).eigen().expect("axes");
        #[allow(clippy::cast_possible_truncation)] // as the net keeps them
        let [north, east, down] =
            [0, 1, 2].map(|i| axes.iter().map(|v| v[i] as f32).collect::<Vec<_>>());
        let of_columns = Tensor::of_columns([&north, &east, &down]);
        assert_eq!(of_columns.count(), axes.len());
        let columns = of_columns.eigen().expect("axes");
        for i in 0..3 {
            check_near(&row.name, eigen.values[i], row.values[i], 1e-14);
            check_near(&row.name, columns.values[i], row.values[i], 1e-6);
            check_near(&row.name, eigen.vectors[i].norm(), 1.0, 1e-14);
            assert!(eigen.vectors[i].z >= 0.0, "{}: it points down", row.name);
            if let Some(want) = row.vectors[i] {
                let off = eigen.vectors[i].cross(&Vector3::from(want)).norm();
                check_near(&row.name, off, 0.0, 1e-12);
                let off = columns.vectors[i].cross(&Vector3::from(want)).norm();
                check_near(&row.name, off, 0.0, 1e-6);
            }
        }
        let test = uniform_axes(&axes).expect("axes");
        check_near(&row.name, test.statistic, row.bingham, 1e-12);
        check_near(&row.name, test.p, row.bingham_p, 1e-12);
        if let (Some(shape), Some(strength)) = (row.shape, row.strength) {
            check_near(&row.name, eigen.shape(), shape, 1e-10);
            check_near(&row.name, eigen.strength(), strength, 1e-10);
        }
        for (semi, which) in row
            .ellipses
            .into_iter()
            .flatten()
            .zip([Which::Cluster, Which::Girdle])
        {
            let ellipse = axis_ellipse(&axes, which, 0.95).expect("one such axis");
            check_near(&row.name, ellipse.semi_deg.0, semi[0], 1e-8);
            check_near(&row.name, ellipse.semi_deg.1, semi[1], 1e-8);
        }
    }
}

#[derive(Deserialize)]
pub(crate) struct OfProjection {
    trend: f64,
    plunge: f64,
    lower_area: [f64; 2],
    lower_angle: [f64; 2],
    upper_area: [f64; 2],
    upper_angle: [f64; 2],
}

#[test]
fn projections_from_vectors_are_those_from_angles() {
    for row in tables().projections {
        let v = Line::from_deg(row.trend, row.plunge)
            .expect("in range")
            .vector();
        for (projection, half, want) in [
            (Projection::EqualArea, Hemisphere::Lower, row.lower_area),
            (Projection::EqualArea, Hemisphere::Upper, row.upper_area),
            (Projection::EqualAngle, Hemisphere::Lower, row.lower_angle),
            (Projection::EqualAngle, Hemisphere::Upper, row.upper_angle),
        ] {
            let what = format!("{projection:?} {half:?} {}→{}", row.plunge, row.trend);
            let (x, y) = projection.project(half, &v);
            check_near(&what, x, want[0], 2e-15);
            check_near(&what, y, want[1], 2e-15);
            // The same numbers to single precision, wherever in a column an axis stands.
            for (count, at) in [(1, 0), (3, 2), (4, 3), (5, 4), (7, 5), (8, 0)] {
                let mut columns = [0, 1, 2].map(|i| vec![[0.6_f32, 0.0, 0.8][i]; count]);
                for (i, column) in columns.iter_mut().enumerate() {
                    #[allow(clippy::cast_possible_truncation)] // single precision is what is tried
                    let part = v[i] as f32;
                    column[at] = part;
                }
                let [north, east, down] = &columns;
                let (mut xs, mut ys) = (vec![0.0; count], vec![0.0; count]);
                projection.project_columns(half, [north, east, down], [&mut xs, &mut ys]);
                check_near(&what, f64::from(xs[at]), want[0], 2e-7);
                check_near(&what, f64::from(ys[at]), want[1], 2e-7);
            }
        }
    }
}

#[derive(Deserialize)]
pub(crate) struct OfDensity {
    axes: Vec<[f64; 2]>,
    k: f64,
    places: Vec<[f64; 2]>,
    sigmas: Vec<f64>,
}

#[test]
fn densities_are_the_sums_of_all_kernels() {
    for row in tables().densities {
        let axes = vectors(&row.axes);
        // Nine nodes a side and two more beyond the rim: every place of the table is one of them.
        let density = Density::of(&axes, row.k, 9, Projection::EqualArea, Hemisphere::Lower);
        for (place, want) in row.places.iter().zip(row.sigmas) {
            let node = (0..density.size * density.size)
                .find(|i| {
                    let (x, y) = density.node(i % density.size, i / density.size);
                    (x - place[0]).hypot(y - place[1]) < 1e-9
                })
                .expect("a node");
            // Tails below e⁻¹⁴ are left out, of 25 axes.
            let tails = 25.0 * 9e-7 / density.sd;
            let got = density.sigmas[node];
            assert!(
                (got - want).abs() < tails + 1e-8,
                "{place:?}: {got} for {want}"
            );
        }
    }
}
