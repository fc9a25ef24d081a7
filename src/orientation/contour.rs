//! Lines of equal density on the net, cut at its rim: marching squares.

use super::density::Density;

/// The lines of one level.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// The level, in standard deviations above an even spread.
    pub level: f64,
    /// Lines east and north of the middle, radius 1; a closed one ends where it began, an open one on the rim.
    pub lines: Vec<Vec<(f64, f64)>>,
}

/// The lines of every level, in the order of the levels.
///
/// A square whose corners lie crosswise above and below is parted by the mean of its corners.
///
/// # Degenerate input
/// A level above the peak or below every node has no lines.
#[must_use]
pub fn contours(density: &Density, levels: &[f64]) -> Vec<Contour> {
    levels
        .iter()
        .map(|&level| Contour {
            level,
            lines: cut(join(segments(density, level))),
        })
        .collect()
}

/// A point where a level crosses the edge between two neighbouring nodes, named by the edge so that pieces join exactly.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Crossing {
    edge: usize,
    at: (f64, f64),
}

fn segments(density: &Density, level: f64) -> Vec<[Crossing; 2]> {
    let size = density.size;
    let mut out = Vec::new();
    for row in 0..size - 1 {
        for column in 0..size - 1 {
            let node = row * size + column;
            // Corners counter-clockwise from the south-west.
            let corners = [node, node + 1, node + size + 1, node + size];
            let values = corners.map(|i| density.sigmas[i] - level);
            if values.iter().any(|v| v.is_nan()) {
                continue;
            }
            let crossing = |side: usize| {
                let (one, other) = (side, (side + 1) % 4);
                // Always from the lower-left node, so that two squares find the same point on their common edge.
                let (from, to) = if corners[one] < corners[other] {
                    (one, other)
                } else {
                    (other, one)
                };
                let share = values[from] / (values[from] - values[to]);
                let place = |i: usize| density.node(corners[i] % size, corners[i] / size);
                let ((x, y), (u, v)) = (place(from), place(to));
                // Edges along a row are even, those up a column odd; each is named by its lower-left node.
                let edge = match side {
                    0 => 2 * node,
                    1 => 2 * (node + 1) + 1,
                    2 => 2 * (node + size),
                    _ => 2 * node + 1,
                };
                Crossing {
                    edge,
                    at: (x + (u - x) * share, y + (v - y) * share),
                }
            };
            let above = values.map(|v| v > 0.0);
            let crossed: Vec<usize> = (0..4).filter(|&s| above[s] != above[(s + 1) % 4]).collect();
            match *crossed.as_slice() {
                [a, b] => out.push([crossing(a), crossing(b)]),
                [a, b, c, d] => {
                    let middle = values.iter().sum::<f64>() > 0.0;
                    // Side a has corner 0 before it: with the middle like corner 0, corners 1 and 3 are cut off.
                    let pairs = if middle == above[0] {
                        [[a, b], [c, d]]
                    } else {
                        [[d, a], [b, c]]
                    };
                    out.extend(pairs.map(|[p, q]| [crossing(p), crossing(q)]));
                }
                _ => {}
            }
        }
    }
    out
}

/// Joins pieces end to end into lines.
fn join(segments: Vec<[Crossing; 2]>) -> Vec<Vec<(f64, f64)>> {
    let mut at_edge: std::collections::HashMap<usize, Vec<usize>> =
        std::collections::HashMap::new();
    for (i, segment) in segments.iter().enumerate() {
        for end in segment {
            at_edge.entry(end.edge).or_default().push(i);
        }
    }
    let mut used = vec![false; segments.len()];
    let mut lines = Vec::new();
    // Open lines first, from their ends, then what is closed.
    let ends = (0..segments.len())
        .filter(|&i| segments[i].iter().any(|end| at_edge[&end.edge].len() == 1));
    for start in ends.chain(0..segments.len()).collect::<Vec<_>>() {
        if used[start] {
            continue;
        }
        used[start] = true;
        let [mut first, mut last] = segments[start];
        if at_edge[&last.edge].len() == 1 {
            std::mem::swap(&mut first, &mut last);
        }
        let mut line = vec![first.at, last.at];
        let mut edge = last.edge;
        while let Some(&next) = at_edge[&edge].iter().find(|&&i| !used[i]) {
            used[next] = true;
            let [a, b] = segments[next];
            let far = if a.edge == edge { b } else { a };
            line.push(far.at);
            edge = far.edge;
        }
        lines.push(line);
    }
    lines
}

/// Keeps what lies within the rim, each piece ending on it.
fn cut(lines: Vec<Vec<(f64, f64)>>) -> Vec<Vec<(f64, f64)>> {
    let inside = |(x, y): (f64, f64)| x * x + y * y <= 1.0;
    let mut out = Vec::new();
    for line in lines {
        if line.iter().all(|&p| inside(p)) {
            out.push(line);
            continue;
        }
        let mut piece: Vec<(f64, f64)> = Vec::new();
        let first = out.len();
        for pair in line.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            if inside(from) && piece.is_empty() {
                piece.push(from);
            }
            for rim in rim_crossings(from, to) {
                piece.push(rim);
                if piece.len() > 1 {
                    out.push(std::mem::take(&mut piece));
                }
            }
            if inside(to) {
                piece.push(to);
            }
        }
        if piece.len() > 1 {
            let closed = line.first() == line.last();
            // A closed line that begins inside goes on where its first piece begins.
            if closed && out.len() > first && out[first].first() == line.first() {
                piece.extend(out[first].iter().skip(1));
                out[first] = piece;
            } else {
                out.push(piece);
            }
        }
    }
    out
}

/// Where the way between two points crosses the rim, in order; none, one or two.
fn rim_crossings((x, y): (f64, f64), (u, v): (f64, f64)) -> impl Iterator<Item = (f64, f64)> {
    let (dx, dy) = (u - x, v - y);
    let (a, b, c) = (dx * dx + dy * dy, x * dx + y * dy, x * x + y * y - 1.0);
    let root = (b * b - a * c).sqrt();
    let shares = [(-b - root) / a, (-b + root) / a];
    // A point exactly on the rim counts as inside, so a share of 0 or 1 is no crossing of its own.
    let inside = |x: f64, y: f64| x * x + y * y <= 1.0;
    let (from, to) = (inside(x, y), inside(u, v));
    let wanted: &[usize] = match (from, to) {
        (true, true) => &[],
        (true, false) => &[1],
        (false, true) => &[0],
        (false, false) if root > 0.0 && 0.0 < shares[0] && shares[1] < 1.0 => &[0, 1],
        (false, false) => &[],
    };
    wanted
        .iter()
        .map(move |&i| (x + dx * shares[i], y + dy * shares[i]))
}
