"""A picture of how sure a result is, to be looked at: which neighbours contribute, which don't, of which nobody can tell.

    python look_at_certainty.py ELEVATION PARCELS RESULT_FOLDER PICTURE [--id-field NAME]

RESULT_FOLDER is what `lotshed assess --elevation-rmse ... --rasters` wrote. Parcels are coloured by verdict and carry
their likelihood; the lines of 10, 50 and 90 % and wanted shots are drawn over the shaded ground. Prints the same as a
table. Needs numpy, matplotlib, rasterio and pyproj, as make_pictures.py, whose layers it uses.
"""

import argparse
import json
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np
import rasterio
from make_pictures import HALO, SUBJECT, Layer
from matplotlib.colors import LightSource
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline
from pyproj import Transformer
from rasterio.warp import Resampling, reproject

# Okabe and Ito 2008 (from memory): told apart with every common kind of colour vision.
VERDICTS = {"contributes": "#0072B2", "does not": "#999999", "cannot tell": "#E69F00"}
LINES = {0.1: ":", 0.5: "--", 0.9: "-"}


def main():
    words = argparse.ArgumentParser()
    for name in ("elevation", "parcels", "result", "picture"):
        words.add_argument(name, type=Path)
    words.add_argument("--id-field", default="id")
    asked = words.parse_args()
    summary = json.loads((asked.result / "summary.json").read_text())
    with rasterio.open(asked.result / "rasters" / "likelihood.tif") as file:
        crs, bounds, shape = file.crs, file.bounds, file.shape
        likelihood, transform = file.read(1, masked=True), file.transform
    ground = np.full(shape, np.nan)
    with rasterio.open(asked.elevation) as file:
        reproject(rasterio.band(file, 1), ground, dst_transform=transform, dst_crs=crs, dst_nodata=np.nan,
                  resampling=Resampling.bilinear)
    to_plane = Transformer.from_crs("EPSG:4326", crs, always_xy=True)
    sure = {row["id"]: row for row in summary["certainty"]["parcels"]}
    fig, ax = plt.subplots(figsize=(11, 9), layout="constrained")
    extent = (bounds.left, bounds.right, bounds.bottom, bounds.top)
    shade = LightSource(315, 45).hillshade(np.nan_to_num(ground, nan=np.nanmean(ground)), vert_exag=4,
                                           dx=transform.a, dy=-transform.e)
    ax.imshow(shade, cmap="gray", extent=extent, vmin=-0.6, vmax=1.2)
    ax.imshow(np.ma.masked_less(likelihood, 0.02), cmap="Blues", extent=extent, alpha=0.55, vmin=0, vmax=1)
    lots(ax, asked, summary, sure, to_plane)
    lines(ax, asked, to_plane)
    ax.set(xlim=(bounds.left, bounds.right), ylim=(bounds.bottom, bounds.top))
    ax.set_title(f"Lot {summary['lot']['id']}: blue contributes, grey does not, orange cannot tell; "
                 f"likelihood 10 (dotted), 50, 90 % (full)", fontsize=10)
    fig.savefig(asked.picture, dpi=110)
    table(summary)


def lots(ax, asked, summary, sure, to_plane):
    for properties, rings in Layer(asked.parcels, to_plane):
        name = str(properties.get(asked.id_field))
        is_subject, row = name == summary["lot"]["id"], sure.get(name)
        colour = SUBJECT if is_subject else VERDICTS[row["verdict"]] if row else "black"
        above = 4 if is_subject else 3 if row else 2
        for polygon in rings:
            ax.add_patch(PathPatch(Outline.make_compound_path(*map(Outline, polygon)), facecolor="none",
                                   edgecolor=colour, linewidth=3 if row or is_subject else 0.5,
                                   zorder=above))
            if row or is_subject:
                said = "the lot" if is_subject else f"{name}\n{row['likelihood']:.0%}"
                ax.text(*polygon[0].mean(axis=0), said, color=colour, ha="center", fontsize=9, path_effects=HALO,
                        clip_on=True, zorder=5)


def lines(ax, asked, to_plane):
    for properties, parts in Layer(asked.result / "likelihood-lines.geojson", to_plane):
        for part in parts:
            ax.plot(*part.T, color="#CC79A7", linestyle=LINES[properties["likelihood"]], linewidth=1.4)
    for properties, parts in Layer(asked.result / "shots-wanted.geojson", to_plane):
        for part in parts:
            ax.plot(*part.T, "X", color="#D55E00", markeredgecolor="white", markersize=11)


def table(summary):
    found = summary["certainty"]
    print(f"{found['realisations']} surfaces, RMSE {found['elevation_rmse_m']} m, floor {found['floor_m2']:.0f} m2")
    for row in found["parcels"]:
        low, high = row["likelihood_interval"]
        area, share = row["area_m2"], row["share_of_run_on"]
        print(f"{row['id'] or 'no parcel':14} {row['verdict']:12} {row['likelihood']:6.1%} ({low:.1%} to {high:.1%})"
              f"  area {area['low']:.0f} to {area['high']:.0f} m2, share {share['low']:.1%} to {share['high']:.1%}")


if __name__ == "__main__":
    main()
