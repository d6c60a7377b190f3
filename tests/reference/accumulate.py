"""Upstream areas and shares that reach a rectangle, from a sparse linear solve.

Directions: steepest triangular facet (Tarboton 1997, Water Resources Research 33(2):309-319, from memory) with the
corner neighbour's share taken as the tangent ratio. Written here on its own, cell by cell, from the equations.

Let F[i, j] be the share of cell i's water that goes to cell j.
  upstream area  a = cell area + F^T a      <=>  (I - F^T) a = 1 * cell area
  reach of R     w = 1 in R, F w elsewhere  <=>  (I - F with the rows of R emptied) w = [in R]   (first passage)
Both are solved by scipy.sparse.linalg.spsolve, which knows nothing about terrain.

Terrain: random tilted surfaces without pits, flats or near-ties (checked below), so that the answer is unique
whatever rule decides ties. A cell at the rim without a lower neighbour passes its water out of the grid.

Writes into accumulate/ (row by row from the north-west corner, little-endian):
  NAME.z.f32             elevations
  NAME.area.f64          upstream area, own cell included, in square metres
  NAME.area_f32.f64      the same when the share of the receiver that shares a corner is rounded to single precision
  NAME.K.reach.f64       share of each cell's water that ever enters rectangle K; 1 inside it
  NAME.K.passed_on.f64   share of what a cell passes on that reaches the rectangle (F w); differs only inside it
  index.json             sizes, rectangles, totals
"""

import json
from pathlib import Path

import numpy as np
from scipy.sparse import csr_matrix, diags, identity
from scipy.sparse.linalg import spsolve

HERE = Path(__file__).parent / "accumulate"
# Row and column steps, clockwise from north.
STEPS = [(-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1)]

GRIDS = [
    # name, rows, columns, dx, dy, fall, bearing of the fall in degrees, waves, noise, seed, rectangles
    ("square", 40, 48, 1.0, 1.0, 0.06, 157.0, 0.06, 0.026, 1, [(20, 20, 32, 34), (0, 10, 6, 20), (30, 40, 40, 48)]),
    ("wide", 36, 44, 2.0, 0.75, 0.05, 251.0, 0.04, 0.022, 2, [(12, 8, 24, 20), (17, 0, 18, 44)]),
    ("tall", 50, 30, 0.5, 1.25, 0.08, 22.5, 0.05, 0.030, 3, [(10, 10, 22, 20)]),
    ("rough", 44, 44, 1.0, 1.0, 0.10, 98.0, 0.12, 0.048, 4, [(14, 24, 27, 37), (22, 22, 24, 23)]),
]


def terrain(rows, cols, dx, dy, fall, bearing, waves, noise, rng):
    """A tilted surface with waves and noise, in single precision."""
    row, col = np.mgrid[:rows, :cols]
    east, north = col * dx, -row * dy
    angle = np.radians(bearing)
    z = 10.0 - fall * (east * np.sin(angle) + north * np.cos(angle))
    for _ in range(4):
        k = rng.normal(size=2) * 2 * np.pi / (14 * max(dx, dy))
        z = z + waves * max(dx, dy) / 4 * np.sin(k[0] * east + k[1] * north + rng.uniform(0, 6.28))
    return (z + noise * min(dx, dy) * rng.uniform(-1, 1, z.shape)).astype("<f4")


def facets(z, r, c, dx, dy):
    """Slope, first direction and share of the second (clockwise) for each facet of a cell whose ends both exist."""
    found = []
    for first in range(8):
        side, corner = (first, (first + 1) % 8) if first % 2 == 0 else ((first + 1) % 8, first)
        ends = []
        for code in (side, corner):
            i, j = r + STEPS[code][0], c + STEPS[code][1]
            ends.append(float(z[i, j]) if 0 <= i < z.shape[0] and 0 <= j < z.shape[1] else None)
        if None in ends:
            continue
        d1, d2 = (dy, dx) if side in (0, 4) else (dx, dy)
        e0, (e1, e2) = float(z[r, c]), ends
        s1, s2 = (e0 - e1) / d1, (e1 - e2) / d2
        if s2 <= 0:
            slope, p = s1, 0.0
        elif s2 * d1 > s1 * d2:
            slope, p = (e0 - e2) / np.hypot(d1, d2), 1.0
        else:
            slope, p = np.hypot(s1, s2), s2 * d1 / (s1 * d2)
        found.append((slope, first, p if corner == (first + 1) % 8 else 1.0 - p))
    return found


def directions(z, dx, dy):
    """First direction (-1 where water leaves) and share of the second, or None if the surface isn't fit."""
    rows, cols = z.shape
    towards, share = np.full(z.shape, -1), np.zeros(z.shape)
    for r in range(rows):
        for c in range(cols):
            ranked = sorted(facets(z, r, c, dx, dy), key=lambda f: -f[0])
            slope, first, part = ranked[0]
            if slope <= 0:
                if 0 < r < rows - 1 and 0 < c < cols - 1:
                    return None  # a pit
                continue
            # Another facet as steep is harmless only if it sends the water the same way.
            ways = {k: v for k, v in (((first) % 8, 1 - part), ((first + 1) % 8, part)) if v > 0}
            for other, code, p in ranked[1:]:
                same = {k: v for k, v in ((code % 8, 1 - p), ((code + 1) % 8, p)) if v > 0} == ways
                if not same and slope - other < 1e-7 * slope:
                    return None  # nearly a tie
            towards[r, c], share[r, c] = first, part
    return towards, share


def matrix(towards, share):
    """F[i, j]: share of cell i's water that goes to cell j."""
    rows, cols = towards.shape
    entries = []
    for r in range(rows):
        for c in range(cols):
            if towards[r, c] < 0:
                continue
            for code, part in ((towards[r, c], 1 - share[r, c]), ((towards[r, c] + 1) % 8, share[r, c])):
                if part > 0:
                    i, j = r + STEPS[code][0], c + STEPS[code][1]
                    entries.append((r * cols + c, i * cols + j, part))
    i, j, v = zip(*entries)
    return csr_matrix((v, (i, j)), shape=(rows * cols,) * 2)


def solve(a, b):
    x = spsolve(a.tocsc(), b)
    assert abs(a @ x - b).max() < 1e-9 * max(1, abs(x).max())
    return x


def main():
    HERE.mkdir(exist_ok=True)
    index = []
    for name, rows, cols, dx, dy, fall, bearing, waves, noise, seed, rectangles in GRIDS:
        for attempt in range(2000):
            z = terrain(rows, cols, dx, dy, fall, bearing, waves, noise, np.random.default_rng([seed, attempt]))
            made = directions(z, dx, dy)
            if made is not None:
                break
        else:
            raise SystemExit(f"{name}: no surface without pits; lower the noise")
        towards, share = made
        f, n = matrix(towards, share), rows * cols
        area = solve(identity(n) - f.T, np.full(n, dx * dy))
        # Odd directions lead to a corner; there the rest is the corner's share.
        odd = towards % 2 == 1
        corner = np.where(odd, 1 - share, share).astype(np.float32).astype(float)
        single = np.where(odd, 1 - corner, corner)
        rounded = solve(identity(n) - matrix(towards, single).T, np.full(n, dx * dy))
        leaving = (towards < 0).ravel()
        assert np.isclose(area[leaving].sum(), n * dx * dy, rtol=1e-12), "what leaves is what fell"
        z.tofile(HERE / f"{name}.z.f32")
        area.astype("<f8").tofile(HERE / f"{name}.area.f64")
        rounded.astype("<f8").tofile(HERE / f"{name}.area_f32.f64")
        entry = {"name": name, "rows": rows, "cols": cols, "dx_m": dx, "dy_m": dy, "leaving_cells": int(leaving.sum()),
                 "split_cells": int(((share > 0) & (share < 1)).sum()), "largest_area_m2": area.max(), "rectangles": []}
        for k, (top, left, bottom, right) in enumerate(rectangles):
            inside = np.zeros((rows, cols), bool)
            inside[top:bottom, left:right] = True
            inside = inside.ravel()
            w = solve(identity(n) - diags((~inside).astype(float)) @ f, inside.astype(float))
            passed_on = f @ w
            # Adjoint identity: rain outside that ever enters = water that first crosses into the rectangle.
            outside_only = diags((~inside).astype(float)) @ f
            carried = solve(identity(n) - outside_only.T, (~inside) * dx * dy)
            assert np.isclose(w[~inside].sum() * dx * dy, carried[inside].sum(), rtol=1e-11)
            w.astype("<f8").tofile(HERE / f"{name}.{k}.reach.f64")
            passed_on.astype("<f8").tofile(HERE / f"{name}.{k}.passed_on.f64")
            entry["rectangles"].append({
                "top": top, "left": left, "bottom": bottom, "right": right,
                "run_on_area_m2": float(w[~inside].sum() * dx * dy),
                "cells_inside_that_pass_on_partly": int(((passed_on[inside] > 0) & (passed_on[inside] < 1)).sum()),
            })
        index.append(entry)
        print(name, "attempt", attempt, entry)
    (HERE / "index.json").write_text(json.dumps(index, indent=1) + "\n")


if __name__ == "__main__":
    main()
