//! What the net shows and what is selected on it: one state for the net, the list, the map and the doubts.

use std::sync::Arc;

use leptos::prelude::*;

use super::selection::{Of, Selection};
use super::words;
use crate::app::parts::tablet::Tablet;
use crate::exchange::net_figure::Planes;
use crate::notebook::figures::{ByHand, Figures, Fit, figures_with};
use crate::notebook::structure::{Datum, Shots, Wanted, data, shots_of};
use crate::orientation::density::{Density, EXACT_UP_TO, Levels};
use crate::orientation::{Hemisphere, Projection};

/// How the net is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::app) struct Drawn {
    pub(in crate::app) projection: Projection,
    pub(in crate::app) hemisphere: Hemisphere,
    pub(in crate::app) planes: Planes,
    pub(in crate::app) contours: bool,
    /// What the contours count.
    pub(in crate::app) levels: Levels,
    /// The mean planes of the limbs and the axial plane.
    pub(in crate::app) limbs: bool,
    /// A rose of the strikes or trends in the net's place.
    pub(in crate::app) rose: bool,
}

impl Default for Drawn {
    fn default() -> Self {
        Self {
            projection: Projection::default(),
            hemisphere: Hemisphere::default(),
            planes: Planes::default(),
            contours: true,
            levels: Levels::default(),
            limbs: false,
            rose: false,
        }
    }
}

/// A handle that is copied freely; `page` provides it beside the tablet. Nothing is reckoned until a page looks.
#[derive(Clone, Copy)]
pub(in crate::app) struct NetState {
    /// Every reading of the book that comes to a plane or a line.
    pub(in crate::app) data: Memo<Arc<Vec<Datum>>>,
    /// Which of them are wanted.
    pub(in crate::app) wanted: RwSignal<Wanted>,
    /// The places in `data` of those wanted.
    pub(in crate::app) chosen: Memo<Arc<Vec<usize>>>,
    /// The limbs that a person chose of that kind; `None` where they are found.
    pub(in crate::app) hand: Memo<Option<ByHand>>,
    /// The figures of the kind whose fit is drawn.
    pub(in crate::app) figures: Memo<Option<Arc<Figures>>>,
    /// What is drawn of these figures.
    pub(in crate::app) fits: Memo<Arc<Vec<Fit>>>,
    /// The density of the poles, or of the lines, of that kind.
    pub(in crate::app) density: Memo<Option<Arc<Density>>>,
    pub(in crate::app) drawn: RwSignal<Drawn>,
    pub(in crate::app) selection: RwSignal<Selection>,
    /// The shots of the only selected reading, where it is on the net.
    pub(in crate::app) shots: Memo<Option<Arc<Shots>>>,
}

impl NetState {
    /// Makes the state of this app.
    pub(in crate::app) fn provide(tablet: Tablet) {
        let all = Memo::new(move |_| {
            // Figures of a part of the book would be taken for those of the book.
            match tablet.loading.with(Option::is_some) {
                true => Arc::default(),
                false => tablet.read(|shelf| Arc::new(data(&shelf.pages))),
            }
        });
        let wanted = RwSignal::new(Wanted::default());
        let drawn = RwSignal::new(Drawn::default());
        let chosen = Memo::new(move |_| {
            let wanted = wanted.read();
            let all = all.read();
            let places = all.iter().enumerate().filter(|(_, d)| wanted.wants(d));
            Arc::new(places.map(|(i, _)| i).collect::<Vec<usize>>())
        });
        let fitted = Memo::new(move |_| {
            let (all, chosen) = (all.read(), chosen.read());
            wanted.with(|wanted| words::fitted_kind(&all, &chosen, wanted))
        });
        let hand = Memo::new(move |_| {
            let kind = fitted.get()?;
            tablet
                .settings
                .with(|s| s.limbs.iter().find(|hand| hand.kind == kind).cloned())
        });
        let figures: Memo<Option<Arc<Figures>>> = Memo::new(move |_| {
            let kind = fitted.get()?;
            let hand = hand.get();
            let (all, chosen) = (all.read(), chosen.read());
            let of: Vec<&Datum> = chosen
                .iter()
                .filter_map(|i| all.get(*i).filter(|d| d.kind == kind))
                .collect();
            Some(Arc::new(figures_with(&kind, &of, hand.as_ref())))
        });
        let fits = Memo::new(move |_| {
            let limbs = drawn.with(|d| d.limbs);
            Arc::new(figures.with(|f| f.as_ref().map(|f| f.fits(limbs)).unwrap_or_default()))
        });
        let density = Memo::new(move |_| {
            /// The kernel's concentration: common practice for contours of a hundred poles or so.
            const K: f64 = 100.0;
            /// Nodes a side: finer while every axis is spread by itself, so that small contours are round.
            const ACROSS: [usize; 2] = [101, 61];
            let (contours, projection, hemisphere) =
                drawn.with(|d| (d.contours, d.projection, d.hemisphere));
            let kind = fitted.get().filter(|_| contours)?;
            let (all, chosen) = (all.read(), chosen.read());
            let of = chosen.iter().filter_map(|i| all.get(*i));
            let axes: Vec<_> = of
                .filter(|d| d.kind == kind)
                .filter_map(|d| d.pole().or_else(|| d.line.as_ref().map(|l| l.vector())))
                .collect();
            // A contour round each of a few says nothing of how densely they lie.
            (axes.len() >= 10).then(|| {
                Arc::new(Density::of(
                    &axes,
                    K,
                    ACROSS[usize::from(axes.len() > EXACT_UP_TO)],
                    projection,
                    hemisphere,
                ))
            })
        });
        let selection = RwSignal::new(Selection::default());
        let shots = Memo::new(move |_| {
            let record = selection.with(|s| s.only().map(str::to_owned))?;
            let (all, chosen) = (all.read(), chosen.read());
            let mut shown = chosen.iter().filter_map(|i| all.get(*i));
            shown.find(|d| d.record == record)?;
            tablet.read(|shelf| shots_of(&shelf.pages, &record).map(Arc::new))
        });
        provide_context(Self {
            data: all,
            wanted,
            chosen,
            hand,
            figures,
            fits,
            density,
            drawn,
            selection,
            shots,
        });
    }

    /// The state that `page` has provided.
    pub(in crate::app) fn expect() -> Self {
        expect_context::<Self>()
    }

    /// Selects one reading.
    pub(in crate::app) fn select(self, record: &str, of: Of) {
        self.selection.set(Selection::one(record, of));
    }

    /// Selects the readings at these places of the data.
    pub(in crate::app) fn select_all(self, places: &[usize], of: Of) {
        let records = self.data.with_untracked(|all| {
            let found = places.iter().filter_map(|i| all.get(*i));
            found.map(|d| d.record.clone()).collect()
        });
        self.selection.set(Selection::new(records, of));
    }

    /// Takes the selected readings as one limb of the fold of the kind that is fitted, and shows the limbs.
    pub(in crate::app) fn take_limb(self, tablet: Tablet, second: bool) {
        let Some(kind) = self
            .figures
            .with_untracked(|f| f.as_ref().map(|f| f.kind.clone()))
        else {
            return;
        };
        let records = self.selected_planes(&kind);
        tablet.set(|s| {
            let at = s.limbs.iter().position(|hand| hand.kind == kind);
            let at = at.unwrap_or_else(|| {
                s.limbs.push(ByHand {
                    kind,
                    ..ByHand::default()
                });
                s.limbs.len() - 1
            });
            if let Some(hand) = s.limbs.get_mut(at) {
                hand.take(&records, second);
            }
        });
        self.drawn.update(|d| d.limbs = true);
    }

    /// Lets the limbs of the kind that is fitted be found again.
    pub(in crate::app) fn find_limbs(self, tablet: Tablet) {
        if let Some(kind) = self
            .figures
            .with_untracked(|f| f.as_ref().map(|f| f.kind.clone()))
        {
            tablet.set(|s| s.limbs.retain(|hand| hand.kind != kind));
        }
    }

    /// The selected readings of a kind that have a plane.
    pub(in crate::app) fn selected_planes(self, kind: &str) -> Vec<String> {
        let (all, selection) = (self.data.read(), self.selection.read());
        let planes = all.iter().filter(|d| d.plane.is_some() && d.kind == kind);
        planes
            .filter(|d| selection.has(&d.record))
            .map(|d| d.record.clone())
            .collect()
    }

    /// What a station is called, by its record.
    pub(in crate::app) fn station_name(self, record: &str) -> String {
        self.data.with(|all| {
            let found = all.iter().find(|d| d.station == record);
            found.map_or_else(String::new, |d| station_of(&d.name).to_owned())
        })
    }
}

/// The station's number from a reading's name.
pub(in crate::app) fn station_of(name: &str) -> &str {
    name.split('·').next().unwrap_or(name)
}
