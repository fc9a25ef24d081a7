//! Reading and writing what leaves the book: values in, values out, no state.

pub mod xml;

pub mod book;

pub mod archive;

pub mod dial_table;

mod windows_1252;

pub mod table_import;

pub mod hand_over;

mod paper;

pub mod net_figure;

pub mod rose_figure;
