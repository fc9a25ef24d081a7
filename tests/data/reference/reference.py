"""Makes reference.json: what general numerical libraries come to where no printed value exists.

    python3 -m venv /tmp/reference && /tmp/reference/bin/pip install numpy==2.4.6 scipy==1.17.1
    /tmp/reference/bin/python tests/data/reference/reference.py > tests/data/reference/reference.json

Every number is reached by another way than ours where there is one: projections from angles by trigonometry, not from
vectors; the cone of a mean by a quantile of F, not in closed form; the chance of a resultant by an integral, not by a sum;
Kuiper's distribution by the series in 1/V, not by the one in V. Samples are drawn with a fixed seed and rounded to whole
degrees, as they stand in a book; the degenerate ones are written down by hand.
"""

import json

import numpy as np
import scipy
from scipy import integrate, optimize, special, stats

SEED = 20260614
random = np.random.default_rng(SEED)


def vectors(lines):
    """Trend and plunge in degrees to unit vectors, north, east, down."""
    trend, plunge = np.radians(np.array(lines, dtype=float)).T
    return np.column_stack([np.cos(trend) * np.cos(plunge), np.sin(trend) * np.cos(plunge), np.sin(plunge)])


def lines(v, down):
    """Unit vectors to whole degrees; as axes that point down, or as directions."""
    if down:
        v = np.where(v[:, 2:] < 0, -v, v)
    trend = np.degrees(np.arctan2(v[:, 1], v[:, 0])) % 360
    plunge = np.degrees(np.arcsin(np.clip(v[:, 2], -1, 1)))
    return [[int(round(t)) % 360, int(round(p))] for t, p in zip(trend, plunge)]


def drawn(count, wide, down):
    """Directions around one of their own, scattered so wide along three axes."""
    frame, _ = np.linalg.qr(random.normal(size=(3, 3)))
    v = random.normal(size=(count, 3)) * np.array(wide) + np.array([0 if down else 1.0, 0, 0])
    v = v @ frame.T
    return lines(v / np.linalg.norm(v, axis=1, keepdims=True), down)


def finite(value):
    """A number as JSON may hold it."""
    return float(value) if np.isfinite(value) else None


def tensor(name, sample):
    v = vectors(sample)
    n = len(v)
    values, axes = np.linalg.eigh(v.T @ v / n)
    values, axes = values[::-1], axes[:, ::-1]
    gaps = values[:-1] - values[1:]
    # An axis is told only where no other shares its value.
    alone = [gaps[0] > 1e-6, gaps.min() > 1e-6, gaps[1] > 1e-6]
    statistic = 7.5 * n * (np.square(values).sum() - 1 / 3)
    row = {
        "name": name,
        "axes": sample,
        "values": [float(x) for x in values],
        "vectors": [[float(x) for x in axes[:, i]] if alone[i] else None for i in range(3)],
        "bingham": float(statistic),
        "bingham_p": float(stats.chi2.sf(max(statistic, 0), 5)),
    }
    if values[2] > 1e-9 and gaps.min() > 1e-6:
        row["shape"] = finite(np.log(values[0] / values[1]) / np.log(values[1] / values[2]))
        row["strength"] = finite(np.log(values[0] / values[2]))
    if n >= 4 and gaps.min() > 1e-3 and values[2] > 1e-6:
        row["ellipses"] = [ellipse(v, values, axes, main, others) for main, others in ((0, (1, 2)), (2, (1, 0)))]
    return row


def ellipse(v, values, axes, main, others):
    """Half diameters of the region of 95 in 100 of a principal axis, degrees, from the fourth moments."""
    n = len(v)
    # Hotelling's for two numbers, and one degree of freedom fewer for the axis of a girdle.
    freedom = n - 2 if main == 0 else n - 3
    parts = v @ axes
    moved = np.column_stack([parts[:, main] * parts[:, i] / (values[main] - values[i]) for i in others])
    covariance = moved.T @ moved / n / (n - 1)
    limit = stats.f.ppf(0.95, 2, freedom) * 2 * (n - 1) / freedom
    semi = np.degrees(np.sqrt(np.linalg.eigvalsh(covariance) * limit))[::-1]
    return [float(min(x, 90)) for x in semi]


def projection(trend, plunge):
    """Places by trigonometry on the angles; an axis is plotted at whichever end lies in the half that is seen."""
    row = {"trend": trend, "plunge": plunge}
    for half, seen in (("lower", plunge >= 0), ("upper", plunge <= 0)):
        azimuth = np.radians(trend if seen else trend + 180)
        off = np.radians(90 - abs(plunge))
        for name, radius in (("area", np.sqrt(2) * np.sin(off / 2)), ("angle", np.tan(off / 2))):
            row[f"{half}_{name}"] = [float(radius * np.sin(azimuth)), float(radius * np.cos(azimuth))]
    return row


def fisher(sample):
    v = vectors(sample)
    n = len(v)
    resultant = np.linalg.norm(v.sum(axis=0))
    # Fisher 1953: (n − 1) R (1 − cos α)/(n − R) is an F of 2 and 2(n − 1) degrees of freedom.
    f = stats.f.ppf(0.95, 2, 2 * (n - 1))
    cosine = 1 - f * (n - resultant) / ((n - 1) * resultant)
    fitted, kappa = stats.vonmises_fisher.fit(v)
    exact = optimize.brentq(lambda k: 1 / np.tanh(k) - 1 / k - resultant / n, 1e-3, 1e4, xtol=1e-12)
    assert abs(exact / kappa - 1) < 1e-4
    mean = stats.directional_stats(v)
    assert np.allclose(mean.mean_direction, fitted)
    return {
        "directions": sample,
        "mean": [float(x) for x in mean.mean_direction],
        "mean_resultant": float(mean.mean_resultant_length),
        "concentration": float((n - 1) / (n - resultant)),
        "cone": float(np.degrees(np.arccos(cosine))) if cosine >= -1 else None,
        "likeliest_concentration": float(exact),
        "rayleigh_p": sphere_p(n, resultant),
    }


def sphere_p(n, resultant):
    """How often the sum of n random unit vectors in space is longer."""
    if n > 20:
        s = 3 * resultant**2 / n
        return float(stats.chi2.sf((1 - 0.5 / n) * s + s * s / (10 * n), 3))
    # Chance within r of the start, by the transform of a shell: 2/π ∫ (sin rt − rt cos rt)/t (sin t/t)ⁿ dt.
    def inner(t):
        return (np.sin(resultant * t) - resultant * t * np.cos(resultant * t)) / t * np.sinc(t / np.pi) ** n

    total = 0.0
    for i in range(400):
        total += integrate.quad(inner, max(i * np.pi, 1e-12), (i + 1) * np.pi, epsabs=1e-14, epsrel=1e-12)[0]
    return float(1 - 2 / np.pi * total)


def two(a, b):
    v, w = vectors(a), vectors(b)
    n = len(v) + len(w)
    one, other, both = (np.linalg.norm(s.sum(axis=0)) for s in (v, w, np.vstack([v, w])))
    f = (n - 2) * (one + other - both) / (n - one - other)
    return {"one": a, "other": b, "f": float(f), "p": float(stats.f.sf(f, 2, 2 * (n - 2)))}


def circular(sample, ends):
    turned = np.radians(np.array(sample, dtype=float)) * ends
    n = len(turned)
    r = np.hypot(np.cos(turned).mean(), np.sin(turned).mean())
    kappa = optimize.brentq(lambda k: special.i1e(k) / special.i0e(k) - r, 1e-9, 1e5, xtol=1e-13)
    mean = stats.circmean(turned)
    shares = np.sort(turned % (2 * np.pi)) / (2 * np.pi)
    steps = np.arange(n + 1) / n
    v = (steps[1:] - shares).max() + (shares - steps[:-1]).max()
    v *= np.sqrt(n) + 0.155 + 0.24 / np.sqrt(n)
    return {
        "azimuths": sample,
        "ends": ends,
        "mean": float(np.degrees(mean) / ends % (360 / ends)),
        "mean_resultant": float(r),
        "concentration": float(kappa),
        "circular_sd": float(np.degrees(stats.circstd(turned)) / ends),
        "kuiper": float(v),
        "kuiper_p": kuiper_p(v),
        "rayleigh_z": float(n * r * r),
        "rayleigh_p": circle_p(n, n * r),
    }


def kuiper_p(v):
    """The limiting distribution by its other series, 4 π^(5/2) s^(−3/2) Σ j² exp(−π² j²/s), s = 2 v²."""
    s = 2 * v * v
    j = np.arange(1, 200)
    return float(1 - 4 * np.pi**2.5 * s**-1.5 * np.sum(j * j * np.exp(-((np.pi * j) ** 2) / s)))


def circle_p(n, resultant):
    """How often n random unit vectors in the plane have a longer sum: 1 − R ∫ J₁(Rt) J₀(t)ⁿ dt."""
    def inner(t):
        return special.j1(resultant * t) * special.j0(t) ** n

    total = sum(integrate.quad(inner, i * np.pi, (i + 1) * np.pi, epsabs=1e-13, limit=200)[0] for i in range(200))
    return float(1 - resultant * total)


def density(sample, k):
    """The sum of all kernels at places of the net, in standard deviations above an even spread; mean and variance by quadrature."""
    v = vectors(sample)
    n = len(v)
    mean = integrate.quad(lambda c: np.exp(k * (c - 1)), 0, 1, epsabs=1e-14)[0]
    square = integrate.quad(lambda c: np.exp(2 * k * (c - 1)), 0, 1, epsabs=1e-14)[0]
    places = [[0, 0], [0.5, 0], [-0.5, 0.5], [0, -1], [0.75, 0.25]]
    sigmas = []
    for east, north in places:
        off = 2 * np.arcsin(np.hypot(east, north) / np.sqrt(2))
        azimuth = np.arctan2(east, north)
        node = np.array([np.sin(off) * np.cos(azimuth), np.sin(off) * np.sin(azimuth), np.cos(off)])
        total = np.exp(k * (np.abs(v @ node) - 1)).sum()
        sigmas.append(float((total - n * mean) / np.sqrt(n * (square - mean**2))))
    return {"axes": sample, "k": k, "places": places, "sigmas": sigmas}


BY_HAND = [
    ("one axis", [[30, 40]]),
    ("four axes exactly alike", [[120, 15]] * 4),
    ("two at a right angle", [[0, 0], [90, 0]]),
    ("three at right angles, one value three times", [[0, 0], [90, 0], [0, 90]]),
    ("a level girdle, two values alike", [[0, 0], [60, 0], [120, 0]]),
    ("a level girdle with a cluster", [[0, 0], [60, 0], [120, 0], [180, 0]]),
    ("a vertical girdle, two values alike", [[0, 0], [0, 30], [0, 60], [0, 90], [180, 60], [180, 30]]),
    ("a cluster round the vertical, two values alike", [[0, 80], [90, 80], [180, 80], [270, 80]]),
    ("the ends of one axis", [[45, 0], [225, 0], [45, 0]]),
]

ALIKE = drawn(23, [0.3] * 3, False)

table = {
    "made": f"numpy {np.__version__}, scipy {scipy.__version__}, by reference.py, seed {SEED}",
    "tensors": [tensor(name, sample) for name, sample in BY_HAND]
    + [
        tensor(name, drawn(count, wide, True))
        for name, count, wide in (
            ("cluster of 12", 12, (5, 1, 0.6)),
            ("cluster of 40", 40, (8, 1, 0.5)),
            ("girdle of 15", 15, (4, 3, 0.4)),
            ("girdle of 60", 60, (6, 4, 0.3)),
            ("nearly even, of 30", 30, (1.2, 1, 0.9)),
        )
    ],
    "projections": [projection(*line) for line in ([0, 90], [0, 0], [270, 0], [37, 45], [123, 12], [200, 89], [359, 1], [290, 63], [75, -30], [180, -80])],
    "fisher": [fisher(drawn(count, [wide] * 3, False)) for count, wide in ((5, 0.2), (8, 0.6), (12, 1.2), (20, 0.35), (30, 1.5), (50, 0.1))],
    "two": [
        two(ALIKE[:9], ALIKE[9:]),
        two(ALIKE[:12], [[(trend + 12) % 360, plunge] for trend, plunge in ALIKE[12:]]),
        two(drawn(9, [0.2] * 3, False), drawn(14, [0.3] * 3, False)),
    ],
    "circular": [],
    "densities": [density(drawn(25, (4, 3, 0.5), True), k) for k in (8.0, 40.0, 100.0)],
    "chi2": [[x, n, float(stats.chi2.sf(x, n))] for n in (3, 5) for x in (0.0, 0.35, 2.37, 7.81, 11.07, 25.0, 60.0)],
    "f": [[x, a, b, float(stats.f.sf(x, a, b))] for a, b in ((1, 9), (2, 5), (2, 10), (2, 57), (2, 200)) for x in (0.0, 0.5, 1.0, 3.3, 12.0)],
    "f_quantiles": [[p, a, b, float(stats.f.ppf(p, a, b))] for a, b in ((2, 1), (2, 2), (2, 7), (2, 57), (2, 997)) for p in (0.5, 0.9, 0.95, 0.99)],
    "t_quantiles": [[p, n, float(stats.t.ppf(p, n))] for n in (2, 5, 30, 400) for p in (0.975, 0.995, 0.9995)],
    "kuiper": [[v, kuiper_p(v)] for v in (0.7, 0.9, 1.2, 1.5, 1.62, 1.747, 2.001, 2.5)],
    # The root of coth κ − 1/κ = r and of I₁(κ)/I₀(κ) = r.
    "kappas": [
        [
            r,
            float(optimize.brentq(lambda k: 1 / np.tanh(k) - 1 / k - r, 1e-4, 1e6, xtol=1e-12)),
            float(optimize.brentq(lambda k: special.i1e(k) / special.i0e(k) - r, 1e-6, 1e6, xtol=1e-12)),
        ]
        for r in (0.05, 0.3, 0.6, 0.85, 0.95, 0.99, 0.999)
    ],
}

for count, wide, ends in ((10, 25, 1), (16, 70, 1), (40, 110, 1), (12, 12, 2), (30, 45, 2)):
    middle = random.integers(0, 360)
    sample = [int(a) % (360 // ends) for a in np.round(middle + random.normal(size=count) * wide)]
    table["circular"].append(circular(sample, ends))


def written(value, depth=0):
    """One line for every row."""
    if isinstance(value, dict) and depth == 0:
        return "{\n" + ",\n".join(f" {json.dumps(k)}: {written(v, 1)}" for k, v in value.items()) + "\n}"
    if isinstance(value, list) and depth == 1:
        return "[\n" + ",\n".join("  " + json.dumps(row, ensure_ascii=False) for row in value) + "\n ]"
    return json.dumps(value, ensure_ascii=False)


print(written(table))
