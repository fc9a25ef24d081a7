//! The entries of book files, gathered by where they stand: read once from end to end and proved, never held.

pub(crate) mod index;

pub(crate) mod sources;

pub(crate) mod output;
