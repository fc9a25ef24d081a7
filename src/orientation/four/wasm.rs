//! WebAssembly's instructions for four numbers.

use std::arch::wasm32::{
    f32x4, f32x4_abs, f32x4_add, f32x4_div, f32x4_extract_lane, f32x4_lt, f32x4_mul, f32x4_splat,
    f32x4_sqrt, v128, v128_bitselect,
};
use std::ops::{Add, Div, Mul};

/// Four numbers.
#[derive(Clone, Copy, Debug)]
pub(in crate::orientation) struct Four(v128);

impl Four {
    /// Of four numbers.
    #[inline(always)]
    pub(in crate::orientation) fn of([a, b, c, d]: [f32; 4]) -> Self {
        Self(f32x4(a, b, c, d))
    }

    /// The four numbers.
    #[inline(always)]
    pub(in crate::orientation) fn numbers(self) -> [f32; 4] {
        [
            f32x4_extract_lane::<0>(self.0),
            f32x4_extract_lane::<1>(self.0),
            f32x4_extract_lane::<2>(self.0),
            f32x4_extract_lane::<3>(self.0),
        ]
    }

    /// Each without its sign.
    #[inline(always)]
    pub(in crate::orientation) fn size(self) -> Self {
        Self(f32x4_abs(self.0))
    }

    /// The square root of each.
    #[inline(always)]
    pub(in crate::orientation) fn root(self) -> Self {
        Self(f32x4_sqrt(self.0))
    }

    /// For each −1 where it is below nought and 1 where it is not, also where it is −0.
    #[inline(always)]
    pub(in crate::orientation) fn end(self) -> Self {
        let below = f32x4_lt(self.0, f32x4_splat(0.0));
        Self(v128_bitselect(f32x4_splat(-1.0), f32x4_splat(1.0), below))
    }
}

impl Add for Four {
    type Output = Self;

    #[inline(always)]
    fn add(self, other: Self) -> Self {
        Self(f32x4_add(self.0, other.0))
    }
}

impl Mul for Four {
    type Output = Self;

    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        Self(f32x4_mul(self.0, other.0))
    }
}

impl Div for Four {
    type Output = Self;

    #[inline(always)]
    fn div(self, other: Self) -> Self {
        Self(f32x4_div(self.0, other.0))
    }
}
