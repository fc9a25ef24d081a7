//! Words for sizes: how far apart the planes of a set lie, how thick a bed is, how large a grain.
//!
//! A bound belongs to the larger class (usual practice; the printed tables share their bounds).

/// Upper bounds of the spacing of planes, millimetres.
const SPACING_MM: [f64; 6] = [20.0, 60.0, 200.0, 600.0, 2_000.0, 6_000.0];

/// Upper bounds of the thickness of beds, centimetres.
const BED_CM: [f64; 6] = [0.3, 1.0, 3.0, 10.0, 30.0, 100.0];

/// Upper bounds of the size of grains, as the power of two of a millimetre: 2⁻⁸ is 1/256 mm.
const GRAIN_LOG2_MM: [i32; 10] = [-8, -4, -3, -2, -1, 0, 1, 2, 6, 8];

fn class<const N: usize>(
    size: f64,
    bounds: [f64; N],
    words: &[&'static str],
) -> Option<&'static str> {
    if size.is_nan() || size < 0.0 {
        return None;
    }
    words
        .get(bounds.iter().filter(|b| size >= **b).count())
        .copied()
}

/// How closely the planes of a set are spaced, in words, by their distance along their normal.
///
/// # Units
/// Millimetres.
///
/// # Degenerate input
/// Below nothing, or not a number: `None`.
///
/// # References
/// International Society for Rock Mechanics, 1978, Suggested methods for the quantitative description of discontinuities in rock
/// masses, International Journal of Rock Mechanics and Mining Sciences 15, 319–368.
#[must_use]
pub fn spacing(distance_mm: f64) -> Option<&'static str> {
    class(
        distance_mm,
        SPACING_MM,
        &[
            "extremely close",
            "very close",
            "close",
            "moderate",
            "wide",
            "very wide",
            "extremely wide",
        ],
    )
}

/// How thick a bed is, in words.
///
/// # Units
/// Centimetres.
///
/// # Degenerate input
/// Below nothing, or not a number: `None`.
///
/// # References
/// Ingram, R. L., 1954, Terminology for the thickness of stratification and parting units in sedimentary rocks, Geological Society
/// of America Bulletin 65, 937–938 (from memory).
#[must_use]
pub fn bed(thickness_cm: f64) -> Option<&'static str> {
    class(
        thickness_cm,
        BED_CM,
        &[
            "thinly laminated",
            "thickly laminated",
            "very thinly bedded",
            "thinly bedded",
            "medium bedded",
            "thickly bedded",
            "very thickly bedded",
        ],
    )
}

/// What a grain of this size is called.
///
/// # Units
/// Millimetres.
///
/// # Degenerate input
/// Below nothing, or not a number: `None`.
///
/// # References
/// Wentworth, C. K., 1922, A scale of grade and class terms for clastic sediments, Journal of Geology 30, 377–392.
#[must_use]
pub fn grain(size_mm: f64) -> Option<&'static str> {
    class(
        size_mm,
        GRAIN_LOG2_MM.map(|power| 2.0_f64.powi(power)),
        &[
            "clay",
            "silt",
            "very fine sand",
            "fine sand",
            "medium sand",
            "coarse sand",
            "very coarse sand",
            "granule",
            "pebble",
            "cobble",
            "boulder",
        ],
    )
}

/// The size of a grain on the phi scale: −log₂ of its millimetres.
///
/// # Units
/// Millimetres in.
///
/// # Degenerate input
/// Nothing is infinitely fine; below nothing is not a number.
///
/// # References
/// Krumbein, W. C., 1934, Size frequency distributions of sediments, Journal of Sedimentary Petrology 4, 65–77 (from memory).
#[must_use]
pub fn phi(size_mm: f64) -> f64 {
    -size_mm.log2()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn below_nothing_has_no_class_and_nothing_the_least() {
        for words in [spacing, bed, grain] {
            assert_eq!(words(-0.001), None);
            assert_eq!(words(f64::NAN), None);
            assert!(words(0.0).is_some() && words(f64::INFINITY).is_some());
        }
        assert_eq!(grain(0.0), Some("clay"));
        assert_eq!(phi(0.0), f64::INFINITY);
        assert!(phi(-1.0).is_nan());
    }
}
