"""Exact fraction of each grid cell that polygons cover, from shapely (GEOS) intersections.

Writes one JSON per case into coverage/: the grid (west, north, step_x, step_y, rows, cols), the parts (each a list of
closed rings, outer first), and the fractions row by row from the north-west corner. The sum of fractions times the
cell area is checked against shapely's own area of the polygon within the grid.
"""

import json
from pathlib import Path

import numpy as np
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box

HERE = Path(__file__).parent / "coverage"


def star(rng, x, y, low, high, corners):
    """A star-shaped polygon: valid whatever the radii."""
    # One corner per equal sector, so that no gap reaches half a turn and the outline can't cross itself.
    angles = (np.arange(corners) + rng.uniform(0.05, 0.95, corners)) * 2 * np.pi / corners
    radii = rng.uniform(low, high, corners)
    return Polygon(np.round(np.c_[x + radii * np.cos(angles), y + radii * np.sin(angles)], 6))


def grid(rows, cols, step_x=1.0, step_y=1.0, west=0.0, north=None):
    return {"west": west, "north": rows * step_y if north is None else north, "step_x": step_x, "step_y": step_y,
            "rows": rows, "cols": cols}


def cases():
    rng = np.random.default_rng(20)
    for k in range(6):
        yield f"star-{k}", grid(10, 12), star(rng, 6.2, 5.1, 1.0, 5.5, 5 + 3 * k)
    yield "star-oblong-cells", grid(9, 14, 0.5, 1.3, 690300.25, 5241650.5), star(rng, 690304.0, 5241645.0, 1, 5, 11)
    yield "cell-aligned", grid(6, 7), box(2, 1, 5, 4)
    yield "half-cells", grid(6, 7), box(1.5, 1.25, 4.75, 4.5)
    yield "corner-to-corner", grid(6, 6), Polygon([(0, 0), (6, 0), (6, 6)])
    yield "vertices-on-cell-corners", grid(8, 8), Polygon([(1, 1), (6, 2), (7, 7), (3, 5)])
    yield "inside-one-cell", grid(5, 5), star(rng, 2.5, 2.5, 0.1, 0.45, 7)
    yield "thin-strip", grid(8, 12), affinity.rotate(box(-6, -0.04, 6, 0.04), 17.3, origin=(0, 0))
    strip = affinity.rotate(box(0, 0, 14, 0.3), -31, origin=(0, 0))
    yield "strip-across-the-edge", grid(8, 12), affinity.translate(strip, -1, 7)
    yield "beyond-all-edges", grid(5, 6), Polygon([(-3, -2), (9, -1), (8, 7), (-2, 6)])
    yield "outside", grid(4, 4), box(10, 10, 12, 12)
    yield "touching-the-edge", grid(4, 4), box(4, 1, 6, 3)
    outer = star(rng, 6, 5, 3.5, 5, 12)
    yield "one-hole", grid(10, 12), Polygon(outer.exterior, [star(rng, 6, 5, 0.5, 1.6, 6).exterior])
    yield "aligned-hole", grid(10, 12), Polygon(box(1, 1, 11, 9).exterior, [box(4, 3, 7, 6).exterior])
    holes = [star(rng, x, y, 0.2, 0.9, 6).exterior for x, y in ((3, 3), (8, 3), (5.5, 7))]
    yield "three-holes", grid(10, 12), Polygon(box(0.7, 0.6, 11.2, 9.1).exterior, holes)
    parts = [star(rng, 3, 7, 0.8, 2.4, 7), star(rng, 9, 3, 0.8, 2.4, 9), star(rng, 9.5, 8, 0.1, 0.3, 5)]
    yield "three-parts", grid(10, 12), MultiPolygon(parts)
    ring = Polygon(Point(6, 5).buffer(4.5).exterior, [Point(6, 5).buffer(3).exterior])
    yield "island-in-a-hole", grid(10, 12), MultiPolygon([ring, Polygon(star(rng, 6, 5, 0.8, 2, 6))])
    yield "split-cell", grid(3, 3), MultiPolygon([box(1.1, 1.1, 1.2, 1.9), box(1.5, 1.0, 1.6, 2.0), box(1.8, 0.5, 2.2, 2.5)])


def main():
    HERE.mkdir(exist_ok=True)
    for name, g, shape in cases():
        if name == "thin-strip":
            shape = affinity.translate(shape, 6, 4)
        if name == "island-in-a-hole":
            shape = MultiPolygon([Polygon(np.round(p.exterior.coords, 6), [np.round(h.coords, 6) for h in p.interiors])
                                  for p in shape.geoms])
        assert shape.is_valid, name
        cell = g["step_x"] * g["step_y"]
        fractions = []
        for r in range(g["rows"]):
            for c in range(g["cols"]):
                west, north = g["west"] + c * g["step_x"], g["north"] - r * g["step_y"]
                square = box(west, north - g["step_y"], west + g["step_x"], north)
                fractions.append(shape.intersection(square).area / square.area)
        east, south = g["west"] + g["cols"] * g["step_x"], g["north"] - g["rows"] * g["step_y"]
        within = shape.intersection(box(g["west"], south, east, g["north"])).area
        assert abs(sum(fractions) * cell - within) < 1e-7 * max(1, within), name
        parts = shape.geoms if shape.geom_type == "MultiPolygon" else [shape]
        rings = [[[list(p) for p in ring.coords] for ring in (part.exterior, *part.interiors)] for part in parts]
        text = json.dumps({**g, "parts": rings, "area_within": within, "fractions": fractions})
        (HERE / f"{name}.json").write_text(text + "\n")
        print(f"{name:26} {within:10.6f} within, {sum(0 < f < 1 for f in fractions):3} cells in part")


if __name__ == "__main__":
    main()
