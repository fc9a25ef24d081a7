//! Four numbers in single precision, reckoned with at once: what goes over every axis of a large book is written in them.
//!
//! WebAssembly has instructions for four numbers; at the optimisation that is shipped the compiler does not find them by itself,
//! nor does it lay a function into the loop that calls it unless it must.

#[cfg(not(target_feature = "simd128"))]
mod plain;
#[cfg(target_feature = "simd128")]
mod wasm;

#[cfg(not(target_feature = "simd128"))]
pub(super) use plain::Four;
#[cfg(target_feature = "simd128")]
pub(super) use wasm::Four;

impl Four {
    /// The same number four times.
    #[inline(always)]
    pub(super) fn all(number: f32) -> Self {
        Self::of([number, number, number, number])
    }

    /// A column in fours; the last is filled with noughts, and absent where nothing is left over.
    pub(super) fn split(column: &[f32]) -> (&[[f32; 4]], Option<[f32; 4]>) {
        let (fours, rest) = column.as_chunks();
        let last = (!rest.is_empty()).then(|| {
            let mut last = [0.0; 4];
            last[..rest.len()].copy_from_slice(rest);
            last
        });
        (fours, last)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Natively these are the plain numbers; in WebAssembly the same test holds the instructions.
    #[test]
    fn four_numbers_come_to_what_each_comes_to() {
        let (a, b) = ([1.5, -0.0, -2.0, 0.25], [-3.0, 4.0, -0.5, 0.75]);
        let check = |four: Four, each: [f32; 4]| assert_eq!(four.numbers(), each);
        let (of_a, of_b) = (Four::of(a), Four::of(b));
        let each = |one: fn(f32, f32) -> f32| [0, 1, 2, 3].map(|i| one(a[i], b[i]));
        check(of_a + of_b, each(|a, b| a + b));
        check(of_a * of_b, each(|a, b| a * b));
        check(of_a / of_b, each(|a, b| a / b));
        check(of_a.size(), a.map(f32::abs));
        check(of_a.size().root(), a.map(|a| a.abs().sqrt()));
        check(of_a.end(), [1.0, 1.0, -1.0, 1.0]);
        check(Four::all(0.5), [0.5; 4]);
    }

    #[test]
    fn a_column_is_split_into_fours_and_what_is_left() {
        assert_eq!(Four::split(&[]), (&[][..], None));
        assert_eq!(Four::split(&[1.0; 4]), (&[[1.0; 4]][..], None));
        let column = [1.0, 2.0, 3.0, 4.0, 5.0];
        let (fours, last) = Four::split(&column);
        assert_eq!(fours, [[1.0, 2.0, 3.0, 4.0]]);
        assert_eq!(last, Some([5.0, 0.0, 0.0, 0.0]));
    }
}
