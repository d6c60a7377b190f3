"""Pictures of a result, for the documents.

    python make_pictures.py DEMO_FOLDER [RESULT_FOLDER] [--out PICTURE_FOLDER]

DEMO_FOLDER holds elevation.tif and the GeoJSON layers parcels, buildings and inlets; RESULT_FOLDER is what
`lotshed assess` wrote. Makes overview.png (the whole neighbourhood), lot.png (the lot and what stands above it) and
ground.png (the input alone). Needs numpy, matplotlib (and its pillow), rasterio and pyproj.

Colours are taken from the set of Okabe and Ito (2008, "Color Universal Design", from memory), which people with
every common kind of colour vision can tell apart; shares are a single hue that darkens, so that they survive a copier.
"""

import argparse
import json
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import matplotlib.patheffects as effects
import numpy as np
import rasterio
from matplotlib.collections import LineCollection
from matplotlib.colors import LinearSegmentedColormap, PowerNorm, to_rgb
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline
from PIL import Image
from pyproj import Transformer

SUBJECT, CROSSING, LINE, WATER, INLET = "#D55E00", "#E69F00", "#009E73", "#0072B2", "#CC79A7"
SHARES = LinearSegmentedColormap.from_list("shares", ["#e3eef7", "#9cc4e4", "#4d8fc4", "#0b4f8a", "#062a4f"])
HALO = [effects.withStroke(linewidth=2.5, foreground="white")]


class Layer:
    """Features of a GeoJSON file, in the raster's coordinates; none if the file isn't there."""

    def __init__(self, path, to_plane):
        self.features = []
        if path.exists():
            for feature in json.loads(path.read_text())["features"]:
                if feature["geometry"] is not None:
                    self.features.append((feature["properties"] or {}, list(parts(feature["geometry"], to_plane))))

    def __iter__(self):
        return iter(self.features)


def parts(geometry, to_plane):
    """Polygons as lists of rings, lines and points as arrays of positions."""
    kind, at = geometry["type"], geometry.get("coordinates")
    move = lambda positions: np.column_stack(to_plane.transform(*np.array(positions, float)[:, :2].T))
    if kind == "GeometryCollection":
        for one in geometry["geometries"]:
            yield from parts(one, to_plane)
    elif kind == "Point":
        yield move([at])
    elif kind in ("MultiPoint", "LineString"):
        yield move(at)
    elif kind == "MultiLineString":
        yield from map(move, at)
    elif kind == "Polygon":
        yield [move(ring) for ring in at]
    elif kind == "MultiPolygon":
        yield from ([move(ring) for ring in polygon] for polygon in at)


def patch(rings, **style):
    points = np.concatenate(rings)
    codes = np.concatenate([[Outline.MOVETO] + [Outline.LINETO] * (len(r) - 2) + [Outline.CLOSEPOLY] for r in rings])
    return PathPatch(Outline(points, codes), **style)


def roomiest(ring, houses, extent):
    """The place in a ring, in no house and inside the frame, that lies farthest from all lines; none if all is tight."""
    west, south, east, north = extent
    # Labels are about three times as wide as they are high, so a metre up counts three times a metre sideways.
    squeeze = np.array([1 / 3, 1])
    low = np.maximum(ring.min(axis=0), (west, south))
    high = np.minimum(ring.max(axis=0), (east, north))
    if (low >= high).any():
        return None
    x, y = np.meshgrid(np.linspace(low[0], high[0], 60), np.linspace(low[1], high[1], 60))
    places = np.column_stack([x.ravel(), y.ravel()])
    inside = Outline(ring).contains_points(places)
    for house in houses:
        inside &= ~Outline(house).contains_points(places)
    places = places[inside]
    if len(places) == 0:
        return None
    frame = np.array([(west, south), (east, south), (east, north), (west, north), (west, south)])
    room = np.min([to_line(places * squeeze, line * squeeze) for line in (ring, frame, *houses)], axis=0)
    best = room.argmax()
    return places[best] if room[best] > 0.008 * (north - south) else None


def to_line(places, line):
    """Distance of each place from a line."""
    start, along = line[:-1], np.diff(line, axis=0)
    off = places[:, None] - start
    share = np.clip((off * along).sum(2) / np.maximum((along**2).sum(1), 1e-12), 0, 1)
    return np.linalg.norm(off - share[..., None] * along, axis=2).min(axis=1)


class Scene:
    def __init__(self, demo, result):
        with rasterio.open(demo / "elevation.tif") as raster:
            self.ground = raster.read(1, masked=True).filled(np.nan).astype(float)
            self.bounds, self.step, crs = raster.bounds, raster.res, raster.crs.to_wkt()
        to_plane = Transformer.from_crs("OGC:CRS84", crs, always_xy=True)
        layer = lambda folder, name: Layer(folder / f"{name}.geojson", to_plane)
        self.lots, self.houses, self.inlets = (layer(demo, name) for name in ("parcels", "buildings", "inlets"))
        self.summary = None
        if result is not None:
            self.summary = json.loads((result / "summary.json").read_text())
            self.area, self.paths, self.ponds, self.crossings, self.line = (
                layer(result, name)
                for name in ("contributing-area", "flow-paths", "ponds", "crossings", "interception-line"))

    def shares(self):
        """Share of the run-on by parcel id."""
        return {c["id"]: c["share_of_run_on"] for c in self.summary["contributors"] if c["kind"] == "parcel"}

    def relief(self, axes):
        """Ground lit from the north-west, heights exaggerated four times, with contours every 25 cm."""
        north, east = np.gradient(self.ground, self.step[1], self.step[0])
        slope = np.stack([-4 * east, 4 * north, np.ones_like(east)])
        light = np.array([-1.0, 1.0, 1.5]) / np.sqrt(4.25)
        lit = np.tensordot(light, slope / np.linalg.norm(slope, axis=0), 1)
        left, bottom, right, top = self.bounds
        tone = LinearSegmentedColormap.from_list("ground", ["#5c574f", "#d8d3c8", "#fbf9f4"])
        axes.imshow(lit, cmap=tone, vmin=0.1, vmax=1, extent=(left, right, bottom, top), interpolation="bilinear")
        rows, cols = self.ground.shape
        x = left + (np.arange(cols) + 0.5) * self.step[0]
        y = top - (np.arange(rows) + 0.5) * self.step[1]
        levels = np.arange(np.floor(np.nanmin(self.ground)), np.nanmax(self.ground), 0.25)
        lines = axes.contour(x, y, self.ground, levels, colors="#8a6d4b", linewidths=0.45, alpha=0.7)
        axes.clabel(lines, levels[::4], fontsize=6, fmt="%.0f m")

    def lot_lines(self, axes, subject, shares):
        """Lots, shaded by their share, with the subject's outline on top."""
        norm = PowerNorm(0.6, 0, max(shares.values(), default=1) or 1)
        for properties, polygons in self.lots:
            share = shares.get(properties["id"], 0)
            for rings in polygons:
                shaded = share > 0
                axes.add_patch(patch(rings, facecolor=SHARES(norm(share)) if shaded else "none",
                                     alpha=0.55 if shaded else 1, edgecolor="none", zorder=2))
                mine = properties["id"] == subject
                axes.add_patch(patch(rings, facecolor="none", edgecolor=SUBJECT if mine else "#333333",
                                     linewidth=3 if mine else 0.9, zorder=8 if mine else 4))
        for _, polygons in self.houses:
            for rings in polygons:
                axes.add_patch(patch(rings, facecolor="#ffffffb0", edgecolor="#555555", linewidth=0.8, zorder=3))
        return plt.cm.ScalarMappable(norm, SHARES)

    def labels(self, axes, subject, shares, extent):
        """Names where a lot has most room inside the frame, away from its line and its house."""
        for properties, polygons in self.lots:
            name, ring = properties["id"], polygons[0][0]
            text = name if name == subject or not shares else f"{name}\n{percent(shares.get(name, 0))}"
            middle = roomiest(ring, [rings[0] for _, houses in self.houses for rings in houses], extent)
            if middle is None:
                continue
            axes.text(*middle, text, ha="center", va="center", fontsize=8, zorder=12, path_effects=HALO,
                      color=SUBJECT if name == subject else "black", weight="bold" if name == subject else "normal",
                      clip_on=True)

    def water(self, axes):
        """Outline of the contributing area, ponds, and where the water runs."""
        for _, polygons in self.area:
            for rings in polygons:
                axes.add_patch(patch(rings, facecolor="none", edgecolor=WATER, linewidth=1.3, linestyle=(0, (4, 2)), zorder=5))
        for _, polygons in self.ponds:
            for rings in polygons:
                axes.add_patch(patch(rings, facecolor=WATER, alpha=0.35, edgecolor=WATER, linewidth=0.6, hatch="....", zorder=5))
        lines = [part for _, found in self.paths for part in found if not isinstance(part, list)]
        axes.add_collection(LineCollection(lines, colors="white", linewidths=2.6, alpha=0.7, zorder=6))
        axes.add_collection(LineCollection(lines, colors=WATER, linewidths=1.3, zorder=7))

    def works(self, axes):
        """Crossings, the line and its way to the outlet, storm inlets."""
        known = {c["id"]: c for c in self.summary["crossings"]}
        for properties, found in self.crossings:
            share = known.get(properties.get("id"), {}).get("share_of_run_on", 0)
            for part in found:
                if isinstance(part, list) or len(part) < 2:
                    continue
                axes.plot(*part.T, color="white", linewidth=8, solid_capstyle="butt", zorder=9)
                axes.plot(*part.T, color=CROSSING, linewidth=6, solid_capstyle="butt", zorder=9)
                if share >= 0.02:
                    axes.annotate(percent(share), part[len(part) // 2], xytext=(7, 7), textcoords="offset points",
                                  fontsize=8, weight="bold", zorder=13, path_effects=HALO)
        for properties, found in self.line:
            way = properties.get("part") == "route"
            for part in found:
                if isinstance(part, list) or len(part) < 2:
                    continue
                axes.plot(*part.T, color="white", linewidth=5, zorder=10)
                axes.plot(*part.T, color=LINE, linewidth=2.6, linestyle=(0, (3, 1)) if way else "-", zorder=11)

    def drains(self, axes):
        for _, found in self.inlets:
            for at in found:
                axes.plot(*at.T, "s", color=INLET, markeredgecolor="white", markersize=9, zorder=11)


def percent(share):
    return "0 %" if share == 0 else "< 1 %" if share < 0.01 else f"{100 * share:.0f} %"


def legend(axes, with_result):
    from matplotlib.lines import Line2D
    entries = [Line2D([], [], color=INLET, marker="s", linewidth=0, markersize=8, label="storm inlet")]
    if with_result:
        entries += [Line2D([], [], color=SUBJECT, linewidth=3, label="the lot"),
                    PathPatch(Outline([(0, 0)]), facecolor=WATER, alpha=0.35, hatch="....", label="pond when full"),
                    Line2D([], [], color=WATER, linewidth=1.3, linestyle="--", label="contributing area"),
                    Line2D([], [], color=WATER, linewidth=1.6, label="way of the water"),
                    Line2D([], [], color=CROSSING, linewidth=6, label="crossing, with its share"),
                    Line2D([], [], color=LINE, linewidth=2.6, label="interception line"),
                    Line2D([], [], color=LINE, linewidth=2.6, linestyle=(0, (3, 1)), label="its way to an outlet")]
    axes.legend(handles=entries, loc="lower right", fontsize=8, framealpha=0.92)


def furniture(axes, extent):
    """North arrow and scale bar instead of coordinates."""
    west, south, east, north = extent
    axes.set(xlim=(west, east), ylim=(south, north), aspect="equal", xticks=[], yticks=[])
    width = east - west
    bar = next(length for length in (100, 50, 20, 10, 5, 2) if length < width / 4)
    x, y = west + 0.03 * width, south + 0.03 * (north - south)
    axes.plot([x, x + bar], [y, y], color="black", linewidth=3, solid_capstyle="butt", zorder=20, path_effects=HALO)
    axes.text(x + bar / 2, y + 0.012 * width, f"{bar} m", ha="center", fontsize=8, zorder=20, path_effects=HALO)
    axes.annotate("N", (0.035, 0.97), (0.035, 0.90), xycoords="axes fraction", ha="center", fontsize=10,
                  arrowprops={"arrowstyle": "->", "linewidth": 1.5}, zorder=20)


def draw(scene, extent, path, with_result):
    west, south, east, north = extent
    figure, axes = plt.subplots(figsize=(10, 10 * (north - south) / (east - west) + 0.4), layout="constrained")
    subject = scene.summary["lot"]["id"] if with_result else None
    shares = scene.shares() if with_result else {}
    scene.relief(axes)
    scale = scene.lot_lines(axes, subject, shares)
    if with_result:
        scene.water(axes)
        scene.works(axes)
        bar = figure.colorbar(scale, ax=axes, shrink=0.5, pad=0.01, format=lambda value, _: f"{100 * value:.0f} %")
        bar.set_label("share of the lot's run-on, by area", fontsize=8)
        bar.ax.tick_params(labelsize=8)
    scene.drains(axes)
    scene.labels(axes, subject, shares, extent)
    legend(axes, with_result)
    furniture(axes, extent)
    figure.savefig(path, dpi=110, bbox_inches="tight", metadata={"Software": None})
    plt.close(figure)
    few_colours(Image.open(path).convert("RGB")).save(path, optimize=True)
    print(path, path.stat().st_size // 1000, "kB")


def few_colours(picture):
    """A palette of 256 colours takes a third of the bytes. Lines are few pixels, so their colours are kept by name."""
    tints = [255 + share * (np.array(to_rgb(name)) * 255 - 255)
             for name in (SUBJECT, CROSSING, LINE, WATER, INLET) for share in (1, 0.66, 0.33)] + [np.full(3, 255), np.zeros(3)]
    kept = np.round(tints).astype(int).ravel().tolist()
    common = picture.quantize(256 - len(tints)).getpalette()[: 3 * (256 - len(tints))]
    palette = Image.new("P", (1, 1))
    palette.putpalette(kept + common)
    return picture.quantize(palette=palette, dither=Image.Dither.NONE)


def around(scene, margin):
    """Extent around the subject's lot, within the raster."""
    subject = scene.summary["lot"]["id"]
    ring = np.concatenate([rings[0] for properties, polygons in scene.lots if properties["id"] == subject for rings in polygons])
    (west, south), (east, north) = ring.min(axis=0) - margin, ring.max(axis=0) + margin
    left, bottom, right, top = scene.bounds
    return max(west, left), max(south, bottom), min(east, right), min(north, top)


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("demo", type=Path)
    arguments.add_argument("result", type=Path, nargs="?", help="leave it out to draw the input alone")
    arguments.add_argument("--out", type=Path, default=Path(__file__).parent)
    given = arguments.parse_args()
    scene = Scene(given.demo, given.result)
    given.out.mkdir(parents=True, exist_ok=True)
    draw(scene, scene.bounds, given.out / "ground.png", False)
    if given.result is not None:
        draw(scene, scene.bounds, given.out / "overview.png", True)
        draw(scene, around(scene, 12), given.out / "lot.png", True)


if __name__ == "__main__":
    main()
