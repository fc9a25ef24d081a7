//! Books that were kept apart become one: the same whatever the order and the grouping, nothing lost, nothing doubled.

#![cfg(not(target_arch = "wasm32"))]

mod made;

mod algebra;

mod settling;

mod namesakes;
mod twins;

mod clocks;

mod planned;

mod parts;
