//! Pages and parts. What can be decided without a browser is ungated and tested natively.
//!
//! This file alone says what is web and what is not.

// The component macro writes the props of every component as `pub`.
#![cfg_attr(target_arch = "wasm32", allow(unreachable_pub))]

pub mod drawing;

pub mod settings;

pub mod shelf;

pub mod first_lines;

pub mod written;

pub mod who;

/// Entering at the outcrop.
pub mod outcrop {
    pub mod between;

    pub use crate::notebook::kinds;

    pub mod open;

    pub mod open_sighting;

    pub mod sighted;

    pub mod place;

    pub mod doubt;

    pub mod sentence;

    pub mod photo;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod dials;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod keypad;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod doubt_page;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod look;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod measure;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod panel;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod position;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod photos;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod photo_page;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod sighting;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod station;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod stood;
}

/// The net, its figures and what is selected on it.
pub mod net {
    pub mod selection;

    pub mod stamp;

    pub mod plot;

    pub mod told;

    pub mod words;

    pub mod linework;

    pub mod samples;

    pub mod close_up;

    pub mod petals;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod state;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod canvas;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod saving;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod choosing;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod table;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod legend;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod selected;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod view;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod page;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod weighing;
}

/// Reckoning from readings.
pub mod reckon {
    pub mod first;

    pub mod words;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod state;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod list;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod answer;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod page;
}

/// Reviewing the traverse.
pub mod traverse {
    pub mod day;

    pub mod sheet;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod page;

    #[cfg(target_arch = "wasm32")]
    mod stations;

    #[cfg(target_arch = "wasm32")]
    mod doubts;

    #[cfg(target_arch = "wasm32")]
    mod printing;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod list;
}

/// Every entry of a record, in order.
pub mod history {
    pub mod facts;

    pub mod changes;

    pub mod steps;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod page;
}

/// Bringing the book home, and setting the instrument.
pub mod camp {
    pub mod put_right;

    pub mod setting;

    pub mod scale;

    /// Handing a book over.
    pub mod hand_over {
        pub mod ask;

        #[cfg(target_arch = "wasm32")]
        pub(in crate::app) mod page;
    }

    /// Bringing in a table from elsewhere.
    #[cfg(target_arch = "wasm32")]
    pub(super) mod bring_table {
        pub(in crate::app) mod state;

        pub(super) mod unsaid;

        pub(super) mod rows;

        pub(in crate::app) mod page;
    }

    #[cfg(target_arch = "wasm32")]
    pub(super) mod leaving;

    /// Joining books.
    pub mod join {
        pub mod shown;

        #[cfg(target_arch = "wasm32")]
        pub(in crate::app) mod state;

        #[cfg(target_arch = "wasm32")]
        pub(in crate::app) mod twins;

        #[cfg(target_arch = "wasm32")]
        pub(in crate::app) mod page;
    }

    /// Settling what two people changed differently.
    pub mod settle {
        mod apart;

        pub mod versions;

        pub mod waiting;

        #[cfg(target_arch = "wasm32")]
        pub(in crate::app) mod page;
    }

    #[cfg(target_arch = "wasm32")]
    pub(super) mod home;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod own;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod set_up;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod start;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod turning;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod wrong;

    #[cfg(target_arch = "wasm32")]
    pub(super) mod weighing;
}

/// What every page shares.
#[cfg(target_arch = "wasm32")]
mod parts {
    pub(super) mod clock;

    pub(super) mod tab;

    pub(super) mod installed;

    pub(super) mod tablet;

    pub(super) mod file;

    pub(super) mod slices;

    pub(super) mod picture;

    pub(super) mod focus;

    pub(super) mod head;

    pub(super) mod keeper;

    pub(super) mod line;
}

#[cfg(target_arch = "wasm32")]
mod page;

#[cfg(target_arch = "wasm32")]
pub use page::start;
