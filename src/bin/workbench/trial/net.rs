//! The work of the net that is timed, natively and in WebAssembly: the same axes are made in the scripts it is held against.

use std::cell::RefCell;
use std::hint::black_box;

use hingeline::orientation::statistics::Tensor;
use hingeline::orientation::{Density, Hemisphere, Projection};
use nalgebra::Vector3;

/// So many axes are projected, and make a tensor.
pub(crate) const MANY: usize = 1_000_000;

/// So many axes are spread on a net of [`NODES`] a side.
pub(crate) const SPREAD: usize = 100_000;

/// Nodes a side.
pub(crate) const NODES: usize = 61;

/// The concentration of the kernel.
pub(crate) const K: f64 = 100.0;

/// One thing that is timed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Task {
    /// Many axes projected, equal area.
    Project,
    /// The tensor of many axes, and its principal axes.
    Tensor,
    /// The density of fewer.
    Density,
}

impl Task {
    pub(crate) const ALL: [Self; 3] = [Self::Project, Self::Tensor, Self::Density];
}

/// Axes strewn along a broad girdle, the same ones in every language: each comes from its number alone.
pub(crate) fn axis(i: usize, count: usize) -> Vector3<f64> {
    // The numbers in another order, so that neighbours in the list are none on the sphere.
    // In 64 bits: a count of WebAssembly has 32, and the product does not fit.
    let place = (i as u64 * 7_919 % count as u64) as f64;
    let down = 1.0 - 2.0 * (place + 0.5) / count as f64;
    let level = (1.0 - down * down).sqrt();
    let (sin, cos) = (place * GOLDEN_ANGLE).sin_cos();
    Vector3::new(level * cos, 0.4 * level * sin, down).normalize()
}

/// (3 − √5) π.
const GOLDEN_ANGLE: f64 = 2.399_963_229_728_653;

/// The axes, and what came of them.
pub(crate) struct Work {
    /// In single precision, as the net keeps them.
    single: [Vec<f32>; 3],
    spread: Vec<Vector3<f64>>,
    places: [Vec<f32>; 2],
    answer: f64,
}

impl Work {
    pub(crate) fn new() -> Self {
        let mut single: [Vec<f32>; 3] = Default::default();
        for i in 0..MANY {
            for (column, part) in single.iter_mut().zip(axis(i, MANY).iter()) {
                #[allow(clippy::cast_possible_truncation)] // as the app's own plot does
                column.push(*part as f32);
            }
        }
        Self {
            single,
            spread: (0..SPREAD).map(|i| axis(i, SPREAD)).collect(),
            places: [vec![0.0; MANY], vec![0.0; MANY]],
            answer: 0.0,
        }
    }

    /// Does a task once.
    pub(crate) fn round(&mut self, task: Task) {
        match task {
            Task::Project => {
                let [north, east, down] = black_box(&self.single);
                let [x, y] = &mut self.places;
                Projection::EqualArea.project_columns(
                    Hemisphere::Lower,
                    [north, east, down],
                    [x, y],
                );
                self.answer = f64::from(x[MANY / 3]) + f64::from(y[2 * MANY / 3]);
            }
            Task::Tensor => {
                let [north, east, down] = black_box(&self.single);
                let eigen = Tensor::of_columns([north, east, down]).eigen();
                self.answer = eigen.map_or(f64::NAN, |e| e.values[0] - e.values[2]);
            }
            Task::Density => {
                let axes = black_box(&self.spread);
                let density = Density::of(axes, K, NODES, Projection::EqualArea, Hemisphere::Lower);
                self.answer = density.peak().map_or(f64::NAN, |(peak, _)| peak);
            }
        }
    }

    /// A number that tells whether the last task was done: others must come to it too.
    pub(crate) fn answer(&self) -> f64 {
        self.answer
    }
}

thread_local! {
    static WORK: RefCell<Option<Work>> = const { RefCell::new(None) };
}

/// Does the task at this place of [`Task::ALL`] and gives its answer; not a number where there is none.
#[cfg_attr(
    not(target_arch = "wasm32"),
    allow(dead_code, reason = "it is called in WebAssembly")
)]
pub(crate) fn round(place: usize) -> f64 {
    WORK.with_borrow_mut(|work| {
        let work = work.get_or_insert_with(Work::new);
        Task::ALL.get(place).map_or(f64::NAN, |task| {
            work.round(*task);
            work.answer()
        })
    })
}
