"""The pattern to look at before cutting: the pieces on the limb from both sides, and flat, with how far they are stretched."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray, unit
from sightline.pattern.flatshape import polygon_of
from sightline.pattern.pattern import Pattern
from sightline.pattern.piece import Piece
from sightline.pictures import style

SIZE_IN = (11.0, 7.2)
# Light enough for dark numbers; pieces are told apart by their numbers, and neighbours by tone as well.
TONES = ("#c7d3d8", "#e9d9bd", "#d8c4bd", "#cdd3bf", "#d6cfe0", "#e3e0d2")
# From ahead and a little above, at the performer's left and right (x to the performer's left, -y ahead).
VIEWS = (("from ahead, at the performer's left", (0.62, -0.75, 0.22)), ("from ahead, at the performer's right", (-0.62, -0.75, 0.22)),
         ("from behind", (-0.15, 0.95, 0.28)))  # fmt: skip
LIGHT = (0.25, -0.7, 0.65)
# A piece of which less than this is in view gets no number there.
SHOWS = 0.12
# Of the triangles that a number might stand on, every so many is tried.
STRIDE = 7
# Seams are drawn before what is less than this nearer: before the triangles they bound, behind the rest of the limb.
BEFORE_M = 0.015
# Between flat pieces, and a bar to measure them by, m.
APART_M, BAR_M = 0.03, 0.10


def draw_preview(pattern: Pattern) -> Any:
    """The figure: three views of the limb above, all pieces flat below in one scale."""
    figure = style.figure(*SIZE_IN)
    figure.text(
        0.03, 0.95, f"{pattern.title}: pattern of '{pattern.limb}'", fontsize=13, weight="bold", parse_math=False
    )
    foam = pattern.foam
    said = f"{foam.material}, {foam.thickness_m * 1000:g} mm; dark lines are seams, numbers are pieces"
    figure.text(0.03, 0.915, said, fontsize=9, color=style.QUIET, parse_math=False)
    for k, (name, way) in enumerate(VIEWS):
        axes = figure.add_axes((0.03 + k * 0.32, 0.50, 0.30, 0.37))
        _limb(axes, pattern, np.array(way))
        figure.text(0.03 + k * 0.32, 0.875, name, fontsize=8.5)
    axes = figure.add_axes((0.03, 0.05, 0.80, 0.40))
    _flats(axes, pattern)
    figure.text(0.03, 0.465, "flat, seen from the inside; the arrow is the grain, to the shoulder", fontsize=8.5)
    _key(figure.add_axes((0.88, 0.08, 0.022, 0.32)), foam.limit)
    return figure


def face_strain(piece: Piece) -> FloatArray:
    """The largest change of an edge (f,) of each triangle, as a share of its length on the limb."""
    ends = piece.faces, np.roll(piece.faces, -1, axis=1)
    on_limb = np.linalg.norm(piece.vertices[ends[1]] - piece.vertices[ends[0]], axis=2)
    on_table = np.linalg.norm(piece.flat[ends[1]] - piece.flat[ends[0]], axis=2)
    return np.asarray(np.abs(on_table / np.maximum(on_limb, 1e-12) - 1.0).max(axis=1))


def _bare(axes: Any) -> None:
    axes.set_aspect("equal", anchor="W")
    axes.set_axis_off()
    axes.autoscale_view()


def _limb(axes: Any, pattern: Pattern, way: FloatArray) -> None:
    """The limb seen from a direction, far away: triangles from back to front, each seam with the triangles it bounds."""
    from matplotlib.collections import PolyCollection
    from matplotlib.colors import to_rgb

    to_eye = unit(way)
    right = unit(np.cross(np.array([0.0, 0.0, 1.0]), to_eye))
    frame = np.stack([right, np.cross(to_eye, right)], axis=1)
    light = unit(np.array(LIGHT))
    shapes: list[Any] = []
    depths: list[float] = []
    looks: list[tuple[Any, Any, float]] = []
    fronts: list[FloatArray] = []
    numbers: list[tuple[FloatArray, FloatArray, str]] = []
    for k, piece in enumerate(pattern.pieces):
        corner = piece.vertices[piece.faces]
        normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
        area = np.linalg.norm(normal, axis=1)
        normal = normal / np.maximum(area, 1e-15)[:, None]
        front = normal @ to_eye > 0
        tone = np.array(to_rgb(TONES[k % len(TONES)]))
        for face in np.nonzero(front)[0]:
            colour = tuple(tone * (0.72 + 0.28 * max(0.0, float(normal[face] @ light))))
            shapes.append(corner[face] @ frame)
            depths.append(float(corner[face].mean(axis=0) @ to_eye))
            looks.append((colour, colour, 0.35))
        bounded = {
            frozenset(pair)
            for face in piece.faces[front].tolist()
            for pair in zip(face, face[1:] + face[:1], strict=True)
        }
        for edge in piece.edges:
            nodes = edge.nodes.tolist()
            for pair in pairwise(nodes):
                if frozenset(pair) in bounded:
                    ends = piece.vertices[list(pair)]
                    shapes.append(ends @ frame)
                    # Just before the triangles it bounds.
                    depths.append(float(ends.mean(axis=0) @ to_eye) + BEFORE_M)
                    looks.append(("none", style.INK, style.HEAVY if edge.kind != "free" else style.THIN))
        fronts.append(corner[front])
        if area[front].sum() > SHOWS * area.sum():
            middle = np.average(corner[front].mean(axis=1), axis=0, weights=(normal[front] @ to_eye) * area[front])
            numbers.append((corner[front].mean(axis=1), middle, str(piece.number)))
    order = np.argsort(np.array(depths), kind="stable")
    faces, edges, widths = ([looks[i][c] for i in order] for c in range(3))
    axes.add_collection(
        PolyCollection([shapes[i] for i in order], facecolors=faces, edgecolors=edges, linewidths=widths)
    )
    every = np.concatenate(fronts)
    for places, middle, number in numbers:
        near = np.argsort(np.linalg.norm(places - middle, axis=1), kind="stable")[::STRIDE]
        at = next((places[k] for k in near if not _covered(places[k], every, frame, to_eye)), None)
        if at is not None:
            _number(axes, at @ frame, number)
    _bare(axes)


def _covered(place: FloatArray, triangles: FloatArray, frame: FloatArray, to_eye: FloatArray) -> bool:
    """Whether any of the triangles (f, 3, 3) lies before a place (3,)."""
    flat = triangles @ frame - place @ frame
    a, b, c = flat[:, 0], flat[:, 1], flat[:, 2]
    sides = [one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0] for one, two in ((a, b), (b, c), (c, a))]
    over = np.all(np.stack(sides) >= 0, axis=0) | np.all(np.stack(sides) <= 0, axis=0)
    before = (triangles - place).mean(axis=1) @ to_eye > BEFORE_M
    return bool((over & before).any())


def _number(axes: Any, at: FloatArray, number: str) -> None:
    box = {"boxstyle": "circle,pad=0.25", "facecolor": "white", "edgecolor": style.INK, "linewidth": style.THIN}
    axes.text(at[0], at[1], number, fontsize=9, weight="bold", ha="center", va="center", bbox=box, zorder=9)


def _flats(axes: Any, pattern: Pattern) -> None:
    """Side by side, standing on one line; triangles over the foam's limit are hatched."""
    from matplotlib.collections import PolyCollection

    limit, scale = max(pattern.foam.limit, 1e-6), style.scale()
    left, tallest = 0.0, 0.0
    for piece in pattern.pieces:
        low, high = piece.flat[piece.outline].min(axis=0), piece.flat[piece.outline].max(axis=0)
        shift = np.array([left, 0.0]) - low
        strain = face_strain(piece)
        corner = piece.flat[piece.faces] + shift
        colours = scale(np.clip(strain / limit, 0.0, 1.0))
        axes.add_collection(PolyCollection(corner, facecolors=colours, edgecolors=colours, linewidths=0.3))
        over = corner[strain > limit]
        if len(over):
            axes.add_collection(
                PolyCollection(over, facecolors="none", edgecolors=style.MARKED, hatch="xxxx", linewidths=0.0)
            )
        walk = np.vstack([piece.flat[piece.outline], piece.flat[piece.outline[:1]]]) + shift
        axes.plot(*walk.T, color=style.INK, lw=style.MEDIUM)
        spot = polygon_of(piece).representative_point()
        at = np.array([spot.x, spot.y]) + shift
        _number(axes, at, str(piece.number))
        axes.annotate("", xy=at + [0.0, 0.055], xytext=at + [0.0, 0.018],
                      arrowprops={"arrowstyle": "-|>", "color": style.INK, "lw": style.THIN, "shrinkA": 0, "shrinkB": 0})  # fmt: skip
        left += float(high[0] - low[0]) + APART_M
        tallest = max(tallest, float(high[1] - low[1]))
    y = -0.12 * tallest
    axes.plot([0.0, BAR_M], [y, y], color=style.INK, lw=style.HEAVY, solid_capstyle="butt")
    axes.text(BAR_M + 0.008, y, f"{BAR_M * 100:g} cm", fontsize=8, va="center")
    _bare(axes)


def _key(axes: Any, limit: float) -> None:
    """What the tones of the flat pieces mean."""
    axes.imshow(
        np.linspace(0, 1, 64)[:, None], aspect="auto", origin="lower", cmap=style.scale(), extent=(0, 1, 0, limit * 100)
    )
    axes.set_xticks([])
    axes.yaxis.tick_right()
    axes.set_yticks([0, limit * 50, limit * 100], ["0 %", f"{limit * 50:g} %", f"{limit * 100:g} %"], fontsize=8)
    axes.set_title("stretched;\nover the\nlimit: hatched", fontsize=7.5, loc="left")
