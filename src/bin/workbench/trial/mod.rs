//! Set-ups by lot, slips as they are made, the plain ways to hold ours against, and the work that is timed: what `simulate` and
//! `bench` share, and what runs in WebAssembly too.

pub(crate) mod set_up;

pub(crate) mod made;

pub(crate) mod plain_fit;

pub(crate) mod plain_field;

pub(crate) mod work;

pub(crate) mod net;

pub(crate) mod books;

pub(crate) mod tablets;
