"""Makes positions.json: UTM coordinates, grid convergence, scale and geodesics from a general geodetic library.

    python3 -m venv /tmp/positions && /tmp/positions/bin/pip install pyproj==3.7.2
    /tmp/positions/bin/python tests/data/geodesy/positions.py > tests/data/geodesy/positions.json

pyproj 3.7.2 with PROJ 9.5.1: `+proj=utm` for coordinates, `get_factors` for convergence and scale (which it takes by
differences, good to about 1e-8), `Geod(ellps="WGS84")` for geodesics. The positions are drawn with a fixed seed; the first
ones are chosen by hand at the corners of zones, on the equator, on central meridians, and where Norway's and Svalbard's
zones differ.
"""

import json
import random

import pyproj

BY_HAND = [
    # latitude, longitude, zone
    (0.0, 3.0, 31),
    (0.0, 0.0, 31),
    (0.0, 5.999, 31),
    (45.0, 9.0, 32),
    (83.9, 10.5, 33),
    (-79.9, -175.0, 1),
    (60.4, 5.3, 32),
    (55.99, 3.01, 31),
    (78.2, 15.6, 33),
    (72.0, 8.99, 31),
    (72.1, 32.99, 35),
    (74.0, 41.9, 37),
    (-33.9, 18.4, 34),
    (63.6, -19.6, 27),
    (-45.1, 168.2, 59),
    (10.0, -179.99, 1),
    (10.0, 179.99, 60),
    (-0.001, -78.5, 17),
]


def grid(latitude, longitude, zone):
    south = latitude < 0
    text = f"+proj=utm +zone={zone} +ellps=WGS84" + (" +south" if south else "")
    projection = pyproj.Proj(text)
    easting, northing = projection(longitude, latitude)
    factors = projection.get_factors(longitude, latitude)
    return {
        "latitude": latitude,
        "longitude": longitude,
        "zone": zone,
        "south": south,
        "easting": round(easting, 6),
        "northing": round(northing, 6),
        "convergence": round(factors.meridian_convergence, 9),
        "scale": round(factors.meridional_scale, 11),
    }


def geodesic(latitude, longitude, bearing, metres):
    to_longitude, to_latitude, back = pyproj.Geod(ellps="WGS84").fwd(
        longitude, latitude, bearing, metres
    )
    return {
        "latitude": latitude,
        "longitude": longitude,
        "bearing": bearing,
        "metres": metres,
        "to_latitude": round(to_latitude, 12),
        "to_longitude": round(to_longitude, 12),
        "back": round(back % 360.0, 9),
    }


def main():
    draw = random.Random(2025)
    rows = [grid(*row) for row in BY_HAND]
    while len(rows) < 60:
        latitude = round(draw.uniform(-79.9, 55.9), 6)
        longitude = round(draw.uniform(-180.0, 180.0), 6)
        rows.append(grid(latitude, longitude, int((longitude + 180.0) // 6.0) + 1))
    ways = [
        geodesic(
            round(draw.uniform(-89.0, 89.0), 6),
            round(draw.uniform(-180.0, 180.0), 6),
            round(draw.uniform(0.0, 360.0), 1),
            round(10.0 ** draw.uniform(0.0, 5.5), 2),
        )
        for _ in range(30)
    ]
    made = f"pyproj {pyproj.__version__}, PROJ {pyproj.proj_version_str}, by positions.py"
    print("{")
    print(f' "made": {json.dumps(made)},')
    for name, list_of, end in (("grid", rows, ","), ("geodesics", ways, "")):
        print(f' "{name}": [')
        print(",\n".join("  " + json.dumps(row) for row in list_of))
        print(f" ]{end}")
    print("}")


main()
