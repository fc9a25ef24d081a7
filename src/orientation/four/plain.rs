//! Where a machine has no instructions for four numbers that we could name, or finds them by itself.

use std::ops::{Add, Div, Mul};

/// Four numbers.
#[derive(Clone, Copy, Debug)]
pub(in crate::orientation) struct Four([f32; 4]);

impl Four {
    #[inline(always)]
    fn each(self, other: Self, one: impl Fn(f32, f32) -> f32) -> Self {
        let ([a, b, c, d], [e, f, g, h]) = (self.0, other.0);
        Self([one(a, e), one(b, f), one(c, g), one(d, h)])
    }

    /// Of four numbers.
    #[inline(always)]
    pub(in crate::orientation) fn of(numbers: [f32; 4]) -> Self {
        Self(numbers)
    }

    /// The four numbers.
    #[inline(always)]
    pub(in crate::orientation) fn numbers(self) -> [f32; 4] {
        self.0
    }

    /// Each without its sign.
    #[inline(always)]
    pub(in crate::orientation) fn size(self) -> Self {
        self.each(self, |a, _| a.abs())
    }

    /// The square root of each.
    #[inline(always)]
    pub(in crate::orientation) fn root(self) -> Self {
        self.each(self, |a, _| a.sqrt())
    }

    /// For each −1 where it is below nought and 1 where it is not, also where it is −0.
    #[inline(always)]
    pub(in crate::orientation) fn end(self) -> Self {
        self.each(self, |a, _| if a < 0.0 { -1.0 } else { 1.0 })
    }
}

impl Add for Four {
    type Output = Self;

    #[inline(always)]
    fn add(self, other: Self) -> Self {
        self.each(other, |a, b| a + b)
    }
}

impl Mul for Four {
    type Output = Self;

    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        self.each(other, |a, b| a * b)
    }
}

impl Div for Four {
    type Output = Self;

    #[inline(always)]
    fn div(self, other: Self) -> Self {
        self.each(other, |a, b| a / b)
    }
}
