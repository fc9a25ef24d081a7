//! Hingeline: an offline-first field book for a geologist who measures planes and lines with a compass.
//!
//! Read the wings in this order; each knows only those above it.

pub mod orientation;

pub mod geodesy;

pub mod notebook;

pub mod exchange;

pub mod store;

pub mod app;
