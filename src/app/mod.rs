//! Pages and parts. What can be decided without a browser is ungated and tested natively.

pub mod drawing;
