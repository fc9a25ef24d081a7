//! The sum of spherical harmonics of degree and order 12, with its change in a year.
//!
//! The coefficients are read from the official file while compiling, brought from Schmidt to Gauss normalisation there, and
//! kept order by order, so that a call only sums. With θ the geocentric colatitude and Q = P/sin θ for orders above 0, no
//! term divides by sin θ, so the poles need no case of their own:
//!
//! P(n,m) = cos θ P(n−1,m) − ((n−1)² − m²)/((2n−1)(2n−3)) P(n−2,m), starting from P(m,m) = sinᵐ θ;
//! dP(n,0)/dθ = −n sin θ Q(n,1); dP(n,m)/dθ = n cos θ Q(n,m) − (n² − m²)/(2n−1) Q(n−1,m).
//!
//! The powers of the radius go with the functions: every step from one degree to the next multiplies by one more.

/// The degree and order at which the model ends.
const DEGREE: usize = 12;

/// Pairs of degree and order, from (1, 0) to (12, 12).
const TERMS: usize = DEGREE * (DEGREE + 3) / 2;

/// The radius of the sphere that the coefficients refer to, metres (technical report).
const REFERENCE_RADIUS_M: f64 = 6_371_200.0;

/// WGS 84, the half axes: the equatorial radius, metres.
const EQUATOR_M: f64 = 6_378_137.0;

/// WGS 84: the inverse of the flattening.
const INVERSE_FLATTENING: f64 = 298.257_223_563;

/// The square of the first eccentricity of WGS 84.
const ECCENTRICITY2: f64 = (2.0 - 1.0 / INVERSE_FLATTENING) / INVERSE_FLATTENING;

/// The official coefficients, a work of the United States government and in the public domain, as they were published.
const FILE: &[u8] = include_bytes!("wmm2025.cof");

/// One degree and order.
#[derive(Clone, Copy)]
struct Term {
    /// Gauss normalised: g, h in nT, and their change in nT a year.
    nt: [f64; 4],
    /// ((n−1)² − m²)/((2n−1)(2n−3)): what of the degree before the last goes into the function.
    back: f64,
    /// (n² − m²)/(2n−1): what of the last degree goes into the slope.
    slope: f64,
}

/// By order, then by degree.
static TABLE: [Term; TERMS] = table();

/// Where each order begins in the table, and where the last one ends.
const STARTS: [usize; DEGREE + 2] = {
    let mut starts = [0; DEGREE + 2];
    let mut m = 0;
    while m < DEGREE + 2 {
        starts[m] = start(m);
        m += 1;
    }
    starts
};

/// Where an order begins in the table; its first degree is the order, or 1 for order 0.
const fn start(order: usize) -> usize {
    let mut at = 0;
    let mut m = 0;
    while m < order {
        at += DEGREE + 1 - first(m);
        m += 1;
    }
    at
}

const fn first(order: usize) -> usize {
    if order == 0 { 1 } else { order }
}

const fn is_blank(byte: u8) -> bool {
    byte == b' ' || byte == b'\r' || byte == b'\n'
}

/// The next number of the file, in tenths, and the place after it.
const fn tenths(mut at: usize) -> (i64, usize) {
    while is_blank(FILE[at]) {
        at += 1;
    }
    let negative = FILE[at] == b'-';
    if negative {
        at += 1;
    }
    let mut value: i64 = 0;
    let mut decimals = 0;
    let mut pointed = false;
    while !is_blank(FILE[at]) {
        if FILE[at] == b'.' {
            pointed = true;
        } else {
            assert!(FILE[at].is_ascii_digit(), "a number");
            value = 10 * value + (FILE[at] - b'0') as i64;
            if pointed {
                decimals += 1;
            }
        }
        at += 1;
    }
    assert!(decimals <= 1, "one decimal at most");
    if decimals == 0 {
        value *= 10;
    }
    (if negative { -value } else { value }, at)
}

/// The square root of a number from 1/24 to 24, by Newton's method; the standard one does not run while compiling.
const fn root(of: f64) -> f64 {
    let mut guess = if of > 1.0 { of } else { 1.0 };
    let mut round = 0;
    while round < 12 {
        guess = 0.5 * (guess + of / guess);
        round += 1;
    }
    guess
}

/// What a Schmidt quasi-normalised coefficient is multiplied by to belong to Gauss normalised functions.
const fn gauss(degree: usize, order: usize) -> f64 {
    let mut factor = 1.0;
    let mut n = 1;
    while n <= degree {
        factor *= (2 * n - 1) as f64 / n as f64;
        n += 1;
    }
    let mut m = 1;
    while m <= order {
        let twice = if m == 1 { 2 } else { 1 };
        factor *= root((twice * (degree + 1 - m)) as f64 / (degree + m) as f64);
        m += 1;
    }
    factor
}

/// The coefficients of the file.
const fn table() -> [Term; TERMS] {
    let nil = Term {
        nt: [0.0; 4],
        back: 0.0,
        slope: 0.0,
    };
    let mut table = [nil; TERMS];
    // The first line names the model and its epoch.
    let (epoch, mut at) = tenths(0);
    assert!(epoch == 20_250, "the epoch of the model");
    while FILE[at] != b'\n' {
        at += 1;
    }
    let mut degree = 1;
    while degree <= DEGREE {
        let mut order = 0;
        while order <= degree {
            let (n, after) = tenths(at);
            let (m, after) = tenths(after);
            assert!(
                n == 10 * degree as i64 && m == 10 * order as i64,
                "the order of the file"
            );
            at = after;
            let factor = gauss(degree, order);
            let term = &mut table[start(order) + degree - first(order)];
            let mut i = 0;
            while i < 4 {
                let (value, after) = tenths(at);
                term.nt[i] = factor * (value as f64 / 10.0);
                at = after;
                i += 1;
            }
            let (n, m) = (degree as f64, order as f64);
            term.back = ((n - 1.0) * (n - 1.0) - m * m) / ((2.0 * n - 1.0) * (2.0 * n - 3.0));
            term.slope = (n * n - m * m) / (2.0 * n - 1.0);
            order += 1;
        }
        degree += 1;
    }
    table
}

/// Adds the coefficients of a term, weighted; written out, so that a build for size does not loop here.
#[inline(always)]
fn add([g, h, dg, dh]: &mut [f64; 4], weight: f64, nt: &[f64; 4]) {
    *g += weight * nt[0];
    *h += weight * nt[1];
    *dg += weight * nt[2];
    *dh += weight * nt[3];
}

/// The field at the epoch in nT and its change in nT a year, each north, east and down in the geodetic frame.
///
/// # Units
/// Geodetic radians on WGS 84, height above the ellipsoid in metres.
pub(super) fn sum(latitude: f64, longitude: f64, height_m: f64) -> [[f64; 3]; 2] {
    // Geodetic to geocentric.
    let (sin_lat, cos_lat) = latitude.sin_cos();
    let curvature_m = EQUATOR_M / (1.0 - ECCENTRICITY2 * sin_lat * sin_lat).sqrt();
    let out_m = (curvature_m + height_m) * cos_lat;
    let up_m = (curvature_m * (1.0 - ECCENTRICITY2) + height_m) * sin_lat;
    let radius_m = (out_m * out_m + up_m * up_m).sqrt();
    // Sine and cosine of the geocentric colatitude.
    let (sin, cos) = (out_m / radius_m, up_m / radius_m);

    let ratio = REFERENCE_RADIUS_M / radius_m;
    let ratio2 = ratio * ratio;
    let (sin_lon, cos_lon) = longitude.sin_cos();
    let [mut north, mut east, mut down] = [[0.0; 2]; 3];

    // Order 1 first: order 0 takes its slope from it.
    let mut first_order = [0.0; DEGREE];
    let (mut sin_m, mut cos_m) = (sin_lon, cos_lon);
    let mut diagonal = ratio2 * ratio;
    for order in 1..=DEGREE {
        let [mut slopes, mut values, mut depths] = [[0.0; 4]; 3];
        let (mut q, mut before) = (diagonal, 0.0);
        let m = order as f64;
        let mut n = m;
        let column = &TABLE[STARTS[order]..STARTS[order + 1]];
        for (k, term) in column.iter().enumerate() {
            if k > 0 {
                (q, before) = (ratio * cos * q - ratio2 * term.back * before, q);
            }
            if order == 1 {
                first_order[k] = q;
            }
            let slope = n * cos * q - term.slope * ratio * before;
            add(&mut slopes, slope, &term.nt);
            add(&mut values, q, &term.nt);
            add(&mut depths, (n + 1.0) * q, &term.nt);
            n += 1.0;
        }
        for i in 0..2 {
            let (g, h) = (2 * i, 2 * i + 1);
            north[i] += slopes[g] * cos_m + slopes[h] * sin_m;
            east[i] += m * (values[g] * sin_m - values[h] * cos_m);
            down[i] -= sin * (depths[g] * cos_m + depths[h] * sin_m);
        }
        (sin_m, cos_m) = (
            sin_m * cos_lon + cos_m * sin_lon,
            cos_m * cos_lon - sin_m * sin_lon,
        );
        diagonal *= sin * ratio;
    }
    let (mut p, mut before) = (ratio2, 0.0);
    let mut n = 1.0;
    for (term, first) in TABLE[..DEGREE].iter().zip(first_order) {
        (p, before) = (ratio * cos * p - ratio2 * term.back * before, p);
        for i in 0..2 {
            north[i] -= n * sin * first * term.nt[2 * i];
            down[i] -= (n + 1.0) * p * term.nt[2 * i];
        }
        n += 1.0;
    }

    // Back from geocentric to geodetic: the turn between the two verticals.
    let turn_sin = up_m / radius_m * cos_lat - out_m / radius_m * sin_lat;
    let turn_cos = up_m / radius_m * sin_lat + out_m / radius_m * cos_lat;
    [0, 1].map(|i| {
        [
            north[i] * turn_cos - down[i] * turn_sin,
            east[i],
            north[i] * turn_sin + down[i] * turn_cos,
        ]
    })
}
