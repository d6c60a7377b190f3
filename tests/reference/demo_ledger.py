"""Whose water reaches the wet lot of the invented neighbourhood, worked out without the program.

    python demo_ledger.py DEMO_FOLDER        (the folder that `lotshed demo` wrote)

Sinks are filled with a heap in double precision, each cell at least 1e-7 m above the one it drains to, so that no
flats are left. Directions are the facets of accumulate.py. The share of each cell's water that ever enters the lot is
a sparse linear solve (SciPy); a cell is shared out to parcels by exact intersections (shapely). The storm inlets are
ways out, each at the cell that it lies in.

Writes demo_ledger.json: square metres on the ground (the projection's areal scale taken out by pyproj) from each
parcel and from unparcelled land, once with the rim of the raster open and once as a wall: the two agree where the
catchment is complete. A program that breaks ties in ponds in another way, or carves shallow pits instead of filling
them, can differ by a few square metres a parcel; it can't differ much in the total.
"""

import argparse
import heapq
import json
from pathlib import Path

import numpy as np
import rasterio
from pyproj import CRS, Proj, Transformer
from scipy.sparse import diags, identity
from scipy.sparse.linalg import spsolve
from shapely.geometry import Polygon, box

from accumulate import STEPS, facets, matrix

SUBJECT = "Alder 4"


def filled(z, outlets):
    """The surface from which every cell has a way down to an outlet."""
    level, done, heap = z.copy(), np.zeros(z.shape, bool), []
    for cell in outlets:
        done[cell] = True
        heapq.heappush(heap, (z[cell], *cell))
    while heap:
        height, r, c = heapq.heappop(heap)
        for down, right in STEPS:
            i, j = r + down, c + right
            if 0 <= i < z.shape[0] and 0 <= j < z.shape[1] and not done[i, j]:
                done[i, j] = True
                level[i, j] = max(z[i, j], height + 1e-7)
                heapq.heappush(heap, (level[i, j], i, j))
    return level


def flow(level, outlets, step):
    towards, share = np.full(level.shape, -1), np.zeros(level.shape)
    for r, c in np.ndindex(level.shape):
        if (r, c) not in outlets:
            slope, first, part = max(facets(level, r, c, *step), key=lambda facet: facet[0])
            if slope > 0:
                towards[r, c], share[r, c] = first, part
    return matrix(towards, share)


def fractions(outline, west, north, step, shape):
    """Part of each cell that the outline covers."""
    cover = np.zeros(shape)
    x0, y0, x1, y1 = outline.bounds
    for r in range(max(0, int((north - y1) / step[1])), min(shape[0], int((north - y0) / step[1]) + 1)):
        for c in range(max(0, int((x0 - west) / step[0])), min(shape[1], int((x1 - west) / step[0]) + 1)):
            cell = box(west + c * step[0], north - (r + 1) * step[1], west + (c + 1) * step[0], north - r * step[1])
            cover[r, c] = outline.intersection(cell).area / cell.area
    return cover


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("demo", type=Path)
    demo = arguments.parse_args().demo
    with rasterio.open(demo / "elevation.tif") as raster:
        z, step, bounds = raster.read(1).astype(float), raster.res, raster.bounds
        crs = CRS.from_wkt(raster.crs.to_wkt())
    to_plane = Transformer.from_crs("OGC:CRS84", crs, always_xy=True)
    read = lambda name: json.loads((demo / f"{name}.geojson").read_text())["features"]
    lots = {f["properties"]["id"]: Polygon(np.column_stack(to_plane.transform(*np.array(f["geometry"]["coordinates"][0]).T)))
            for f in read("parcels")}
    inlets = []
    for feature in read("inlets"):
        x, y = to_plane.transform(*feature["geometry"]["coordinates"])
        inlets.append((int((bounds.top - y) / step[1]), int((x - bounds.left) / step[0])))
    lon, lat = Transformer.from_crs(crs, "OGC:CRS84", always_xy=True).transform(*lots[SUBJECT].centroid.coords[0])
    cell = step[0] * step[1] / Proj(crs).get_factors(lon, lat).areal_scale

    cover = {name: fractions(lot, bounds.left, bounds.top, step, z.shape) for name, lot in lots.items()}
    # A cell is the lot's for routing if its centre is inside.
    inside = np.array([lots[SUBJECT].intersects(box(x - 1e-9, y - 1e-9, x + 1e-9, y + 1e-9))
                       for y in bounds.top - (np.arange(z.shape[0]) + 0.5) * step[1]
                       for x in bounds.left + (np.arange(z.shape[1]) + 0.5) * step[0]])
    rim = [(r, c) for r, c in np.ndindex(z.shape) if r in (0, z.shape[0] - 1) or c in (0, z.shape[1] - 1)]
    result = {"lot": SUBJECT, "cell_area_m2": cell}
    for name, outlets in (("open_rim", rim + inlets), ("wall", inlets)):
        f = flow(filled(z, outlets), set(inlets), step)
        n = z.size
        reach = spsolve((identity(n) - diags((~inside).astype(float)) @ f).tocsc(), inside.astype(float))
        passed_on = (f @ reach).reshape(z.shape)
        rows = {lot: float((part * passed_on).sum() * cell) for lot, part in cover.items() if lot != SUBJECT}
        rows["unparcelled"] = float(((1 - sum(cover.values())) * passed_on).sum() * cell)
        edge = max(passed_on[0].max(), passed_on[-1].max(), passed_on[:, 0].max(), passed_on[:, -1].max())
        result[name] = {"run_on_area_m2": sum(rows.values()), "largest_share_at_the_edge": float(edge),
                        "area_m2": {lot: area for lot, area in rows.items() if area >= 0.05}}
        print(name, json.dumps(result[name], indent=1))
    (Path(__file__).parent / "demo_ledger.json").write_text(json.dumps(result, indent=1) + "\n")


if __name__ == "__main__":
    main()
