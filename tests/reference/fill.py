"""Filled surfaces from a general image library, as goldens for tests/published_fill.rs.

Requires: numpy, scikit-image, matplotlib (for its elevation sample). Run from anywhere:

    python -m venv venv && venv/bin/pip install numpy scikit-image matplotlib
    venv/bin/python tests/reference/fill.py

Filling the sinks of a surface is grey-scale morphological reconstruction by erosion: the mask is the ground, the
seed is the ground (or an outlet's level) where water leaves and the highest value elsewhere, and the footprint is the
eight neighbours (Vincent 1993). scikit-image's `reconstruction` is the reference; nothing here is computed by the
program under test.

Holes. The library can't handle NaN. A hole is put one metre below the lowest ground, in the mask and in the seed: its
level is then its own value, and each of its neighbours is reached from it at no more than the neighbour's own
ground, which is what "ground that touches a hole drains into it" means. Holes are NaN again in the golden.

Files, all little-endian: NAME.in.f32 (ground, NaN for holes) and NAME.out.f32 (filled), rows from north to south, of
the shape in cases.csv. That table also holds the open sides and one further outlet per case. The case "bands" is too
large to keep; its ground comes from whole-number arithmetic that the test repeats, and its golden is a SHA-256 of the
same bytes as a NAME.out.f32 would hold.
"""

import csv
import hashlib
from pathlib import Path

import matplotlib
import numpy as np
from skimage.morphology import reconstruction

HERE = Path(__file__).resolve().parent
OUT = HERE / "fill"
FIXTURES = HERE.parent.parent / "fixtures"


def fill(ground, sides="nesw", outlet=None):
    """Filled float32 surface; `sides` names the open ones, `outlet` is (row, column, level)."""
    hole = np.isnan(ground)
    low = np.float32(np.nanmin(ground) - 1)
    mask = np.where(hole, low, ground).astype(np.float32)
    seed = np.full_like(mask, mask.max())
    rows = {"n": np.s_[0, :], "s": np.s_[-1, :], "w": np.s_[:, 0], "e": np.s_[:, -1]}
    for side in sides:
        seed[rows[side]] = mask[rows[side]]
    seed[hole] = low
    if outlet is not None:
        row, col, level = outlet
        seed[row, col] = min(seed[row, col], max(mask[row, col], np.float32(level)))
    filled = reconstruction(seed, mask, method="erosion", footprint=np.ones((3, 3)))
    # The result comes back wider; narrowing it loses nothing, as every value is one of the float32 values put in.
    narrow = filled.astype(np.float32)
    assert (narrow == filled).all()
    narrow[hole] = np.nan
    # Of the two zeros, the one without a sign: which of them a minimum picks is a matter of taste.
    return narrow + np.float32(0)


def random(rng, rows=97, cols=131):
    return rng.random((rows, cols), dtype=np.float32) * np.float32(30)


def pitted(rng, rows=120, cols=90):
    y, x = np.mgrid[:rows, :cols]
    ground = 100 + 0.02 * y + 0.035 * x + 0.4 * np.sin(x / 7.0) * np.cos(y / 11.0)
    pits = rng.random((rows, cols)) < 0.04
    return (ground - pits * rng.gamma(2.0, 0.2, (rows, cols))).astype(np.float32)


def plateaus(rng, rows=110, cols=100):
    y, x = np.mgrid[:rows, :cols]
    ground = 3 * np.sin(x / 9.0) + 3 * np.cos(y / 6.0) + rng.normal(0, 0.7, (rows, cols))
    return np.round(ground).astype(np.float32)


def holed(rng):
    ground = pitted(rng, 100, 100)
    ground[rng.random(ground.shape) < 0.002] = np.nan
    ground[30:48, 52:71] = np.nan
    ground[90:, :9] = np.nan
    return ground


def bands(rows=1500, cols=400):
    """The upper bits of a product of row, column and odd constants, in quarters of a metre, on a slope."""
    y, x = np.mgrid[:rows, :cols].astype(np.uint64)
    mixed = (x * np.uint64(2654435761) ^ y * np.uint64(2246822519)) & np.uint64(0xFFFFFFFF)
    mixed = (mixed * np.uint64(3266489917)) & np.uint64(0xFFFFFFFF)
    return ((mixed >> np.uint64(26)) + x + y // np.uint64(3)).astype(np.float32) / np.float32(4)


def main():
    OUT.mkdir(exist_ok=True)
    FIXTURES.mkdir(exist_ok=True)
    rng = np.random.default_rng(42)
    sample = Path(matplotlib.__file__).parent / "mpl-data/sample_data/jacksboro_fault_dem.npz"
    elevation = np.load(sample)["elevation"]
    elevation.astype("<i2").tofile(FIXTURES / "jacksboro_344x403.i16")
    survey = fill(elevation.astype(np.float32))
    survey.astype("<i2").tofile(OUT / "jacksboro.out.i16")

    cases = {
        "random": (random(rng), "nesw", None),
        "pitted": (pitted(rng), "nesw", None),
        "plateaus": (plateaus(rng), "nesw", None),
        "holed": (holed(rng), "nesw", None),
        "north_only": (random(rng, 60, 75), "n", None),
        "outlet_only": (pitted(rng, 64, 70), "", (40, 33, 101.5)),
        "holes_and_outlet": (holed(rng), "", (77, 20, 0.0)),
    }
    with open(OUT / "cases.csv", "w", newline="") as table:
        rows = csv.writer(table, lineterminator="\n")
        rows.writerow(["name", "rows", "cols", "open_sides", "outlet_row", "outlet_col", "outlet_level_m", "raised"])
        for name, (ground, sides, outlet) in cases.items():
            filled = fill(ground, sides, outlet)
            ground.astype("<f4").tofile(OUT / f"{name}.in.f32")
            filled.astype("<f4").tofile(OUT / f"{name}.out.f32")
            raised = int((filled > ground).sum())
            rows.writerow([name, *ground.shape, sides, *(outlet or ("", "", "")), raised])
    large = fill(bands())
    (OUT / "bands.sha256").write_text(hashlib.sha256(large.astype("<f4").tobytes()).hexdigest() + "\n")


if __name__ == "__main__":
    main()
