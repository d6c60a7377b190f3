"""Runs `lotshed assess` on real elevation and parcel pairs, three lots each, chosen by a stated seed.

usage: real_ground.py LOTSHED DATA_DIR OUT_DIR

DATA_DIR holds one folder per place (see PAIRS). Prints a table in Markdown and leaves each result in OUT_DIR, to be
looked at over a hillshade. Needs pyogrio and shapely (any recent version) to choose lots that lie on the raster.
"""

import json
import random
import subprocess
import sys
from pathlib import Path

import numpy as np
import pyogrio
import rasterio
import shapely
from rasterio.warp import transform_bounds

SEED = 20261125
# folder, raster, parcels, layer, id field, more options
PAIRS = [
    ("erie-ny-lots", "dem_2m_from_contours.tif", "parcels.shp", None, "PRINT_KEY", []),
    ("vancouver-olympic-village", "dem_0.5m.tif", "property-parcel-polygons.geojson", None, "site_id", []),
    ("olinda-srtm-tracts", "olinda_dem_utm25s.tif", "olinda1.shp", None, "ID", []),
    ("delft-ahn3-bgt", "dtm_0.5m_filled.tif", "bgt.gpkg", "onbegroeidterreindeel", "gml_id", []),
    ("delft-ahn3-bgt", "dtm_0.5m_holes.tif", "bgt.gpkg", "onbegroeidterreindeel", "gml_id", []),
    ("durham-third-fork", "NED.tif", "Third_ForkCats.shp", None, "FEATUREID", []),
]


def lots(raster: Path, parcels: Path, layer, field):
    """Ids of three lots, chosen among the ids that are unique and whose outlines lie on the raster."""
    info = pyogrio.read_info(parcels, layer=layer)
    fields = list(info["fields"])
    if field not in fields:
        field = fields[0]
    _, _, geometry, columns = pyogrio.raw.read(parcels, layer=layer, columns=[field])
    with rasterio.open(raster) as source:
        west, south, east, north = transform_bounds(source.crs, info["crs"], *source.bounds)
    box = shapely.box(west, south, east, north)
    shapes = shapely.from_wkb(geometry)
    ids = [str(int(v)) if isinstance(v, (float, np.floating)) and float(v).is_integer() else str(v) for v in columns[0]]
    with rasterio.open(raster) as source:
        cell = abs(source.transform.a * source.transform.e)
    # Where both files share a system: lots of at least 200 cells, smaller ones say nothing about ground of this grain.
    least = 200 * cell if info["crs"] == str(rasterio.open(raster).crs) else 0.0
    on_raster = sorted(
        i for i, s in zip(ids, shapes)
        if s is not None and box.contains(s) and ids.count(i) == 1 and s.area >= least
    )
    return field, random.Random(SEED).sample(on_raster, min(3, len(on_raster)))


def main() -> None:
    program, data, out = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    print("| place | lot | lot m² | run-on m² | single m² | contributors | crossings | status | warnings |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for place, raster, parcels, layer, field, more in PAIRS:
        folder = data / place
        field, chosen = lots(folder / raster, folder / parcels, layer, field)
        for number, lot in enumerate(chosen, 1):
            target = out / f"{place}-{Path(raster).stem}-{number}"
            command = [program, "assess", "--elevation", str(folder / raster), "--parcels", str(folder / parcels),
                       "--id-field", field, "--lot", lot, "--out", str(target), "--overwrite", "--json", "--quiet",
                       "--rasters", *more]
            if layer:
                command += ["--parcels-layer", layer]
            run = subprocess.run(command, capture_output=True, text=True)
            if run.returncode != 0:
                print(f"| {place} {raster} | {lot} | | | | | | exit {run.returncode}: {run.stderr.splitlines()[0]} | |")
                continue
            s = json.loads(run.stdout)
            row = s["run_on"]
            codes = ", ".join(w["code"] for w in s["warnings"])
            print(f"| {place} {raster} | {lot} | {s['lot']['area_m2']:.0f} | {row['area_m2']:.0f} | "
                  f"{row['single_routing_area_m2']:.0f} | {len(s['contributors'])} | {len(s['crossings'])} | "
                  f"{s['status']} | {codes} |")


if __name__ == "__main__":
    main()
