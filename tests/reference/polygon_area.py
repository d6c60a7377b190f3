"""True areas of lots on the ellipsoid, for lots drawn in a dozen projected coordinate systems.

The lots are invented. Each is drawn in metres around a place, scaled into the units of the projected system and
rounded to a thousandth of a unit; these rounded coordinates are the lot. Its edges are straight in the projected
plane. For the true area the edges are cut into pieces of at most half a metre, the points are brought to longitude
and latitude on the system's own datum (pyproj), and the geodesic polygon through them is measured by two libraries
that must agree: pyproj.Geod and geographiclib's PolygonArea (Karney 2013, Journal of Geodesy 87:43-55).

Writes polygon_area.json: EPSG code, name, rings in projected coordinates (outer first), area in square metres at
ellipsoid height 0, and the plane's own area in square units for comparison.
"""

import json
from pathlib import Path

import numpy as np
from geographiclib.geodesic import Geodesic
from pyproj import CRS, Transformer

# Shapes in metres around their place; outer ring anticlockwise, then holes.
SHAPES = {
    "plain lot": [[(0, 0), (18, 0), (18, 30), (0, 30)]],
    "turned lot": [[(0, 0), (21, 7), (11, 39), (-11, 31)]],
    "corner lot": [[(0, 0), (24, -2), (31, 5), (29, 33), (-2, 31)]],
    "flag lot": [[(0, 0), (4.5, 0), (4.5, 32), (34, 33), (33, 66), (-1, 64)]],
    "wedge": [[(0, 0), (46, 11), (9, 58)]],
    "L-shaped": [[(0, 0), (40, 0), (40, 22), (19, 22), (19, 51), (0, 51)]],
    "with a courtyard": [[(0, 0), (70, 4), (66, 61), (-5, 55)], [(20, 20), (18, 36), (41, 39), (44, 22)]],
    "field": [[(0, 0), (212, 31), (230, 190), (96, 246), (-24, 173)]],
    "strip": [[(0, 0), (160, 12), (159.2, 15.9), (-0.5, 4)]],
}

# EPSG, longitude, latitude, shape. Places are arbitrary points inside each system's area of use.
LOTS = [
    (32615, -90.48, 47.30, "plain lot"),
    (32615, -93.00, 47.30, "field"),
    (32615, -95.95, 30.10, "corner lot"),
    (26917, -81.30, 43.60, "turned lot"),
    (26917, -78.02, 61.50, "with a courtyard"),
    (32633, 15.0, 1.2, "wedge"),
    (32633, 17.9, 69.4, "flag lot"),
    (32755, 147.2, -42.6, "L-shaped"),
    (32719, -70.3, -20.5, "field"),
    (2264, -79.2, 35.6, "plain lot"),
    (2264, -81.9, 34.9, "field"),
    (2227, -121.1, 37.4, "flag lot"),
    (2256, -109.4, 46.8, "corner lot"),
    (26986, -71.9, 42.4, "L-shaped"),
    (5070, -104.6, 39.8, "field"),
    (5070, -69.1, 45.2, "turned lot"),
    (2193, 171.3, -43.4, "with a courtyard"),
    (27700, -2.6, 54.1, "wedge"),
    (2056, 8.1, 46.9, "strip"),
    (25832, 10.4, 52.7, "plain lot"),
    (3035, 25.8, 61.8, "field"),
    (3857, 6.9, 51.4, "with a courtyard"),
    (3857, -86.0, 38.6, "plain lot"),
]


def cut(ring, longest):
    """The ring with its edges cut into pieces no longer than `longest`; not closed."""
    points = []
    for a, b in zip(ring, np.roll(ring, -1, axis=0)):
        pieces = max(1, int(np.ceil(np.hypot(*(b - a)) / longest)))
        points += [a + (b - a) * k / pieces for k in range(pieces)]
    return np.array(points)


def plane_area(ring):
    ring = ring - ring[0]
    x, y = ring.T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def ring_area(ring, to_globe, geod, other, longest):
    lon, lat = to_globe.transform(*cut(ring, longest).T)
    first = abs(geod.polygon_area_perimeter(lon, lat)[0])
    polygon = other.Polygon()
    for point in zip(lat, lon):
        polygon.AddPoint(*point)
    second = abs(polygon.Compute()[2])
    assert abs(first - second) < 1e-4, (first, second)
    return first


def main():
    lots = []
    for number, (epsg, lon, lat, shape) in enumerate(LOTS, 1):
        crs = CRS.from_epsg(epsg)
        globe = crs.geodetic_crs
        to_plane = Transformer.from_crs(globe, crs, always_xy=True)
        to_globe = Transformer.from_crs(crs, globe, always_xy=True)
        unit = crs.axis_info[0].unit_conversion_factor
        x, y = to_plane.transform(lon, lat)
        rings = [np.round(np.array(ring) / unit + (x, y), 3) for ring in SHAPES[shape]]
        geod = globe.get_geod()
        other = Geodesic(geod.a, geod.f)
        areas = [ring_area(ring, to_globe, geod, other, 0.5 / unit) for ring in rings]
        coarse = [ring_area(ring, to_globe, geod, other, 2.0 / unit) for ring in rings]
        true, check = areas[0] - sum(areas[1:]), coarse[0] - sum(coarse[1:])
        # Cutting four times as coarsely must not matter, or the pieces are too long.
        assert abs(true - check) < 1e-7 * true + 1e-5, (true, check)
        plane = plane_area(rings[0]) - sum(abs(plane_area(ring)) for ring in rings[1:])
        assert plane > 0
        lots.append({
            "id": f"{number:02} {shape}", "epsg": epsg, "crs": crs.name, "metres_per_unit": unit,
            "rings": [[*map(list, ring.tolist()), ring[0].tolist()] for ring in rings],
            "area_m2": true, "plane_area_square_units": plane,
        })
        print(f"{number:02} {epsg:6} {shape:18} {true:12.4f} m2   plane x unit^2 / true = {plane * unit**2 / true:.6f}")
    path = Path(__file__).parent / "polygon_area.json"
    path.write_text("[\n" + ",\n".join(json.dumps(lot) for lot in lots) + "\n]\n")


if __name__ == "__main__":
    main()
