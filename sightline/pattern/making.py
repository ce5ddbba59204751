"""From a limb to its pattern: skin, plan, sheets, and pieces that lie flat."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.cutting import Ground, Surface, grounds
from sightline.pattern.darts import with_darts
from sightline.pattern.flatten import Pair, Patch, flattened
from sightline.pattern.layers import layers
from sightline.pattern.pattern import Foam, Pattern, SeamLine
from sightline.pattern.piece import Piece
from sightline.pattern.plan import RING, Choices, Dart, Plan, plan_of
from sightline.pattern.slit import Rim, slit
from sightline.pattern.strain import strain_of
from sightline.pattern.tube import Tube

Progress = Callable[[str], None]
# Names of the free ends.
SHOULDER, WRIST = "shoulder", "wrist"


@dataclass(frozen=True)
class Cut:
    """A tube cut along a plan: its sheets, the patches made from them on the neutral surface, and which edges meet."""

    plan: Plan
    grounds: tuple[Ground, ...]
    patches: tuple[Patch, ...]
    pairs: tuple[Pair, ...]


def pattern_of(
    tube: Tube,
    foam: Foam,
    choices: Choices | None = None,
    *,
    title: str = "",
    assumptions: tuple[str, ...] = (),
    progress: Progress = lambda _: None,
) -> Pattern:
    """The pattern of one limb. Raises SightlineError for foam too thick, seams that cross, pieces that overlap flat."""
    from threadpoolctl import threadpool_limits

    # One thread: the small systems gain nothing by more, and sums come out the same on every machine.
    with threadpool_limits(1):
        return _made(tube, foam, choices or Choices(), title, assumptions, progress)


def _made(
    tube: Tube, foam: Foam, choices: Choices, title: str, assumptions: tuple[str, ...], progress: Progress
) -> Pattern:
    progress("foam")
    skin = layers(tube, foam)
    plan = plan_of(tube, choices)
    surface = Surface(skin.neutral)
    plan = with_darts(surface, plan, foam.limit, choices.darts, progress)
    while True:
        progress("flattening")
        cut = cut_along(surface, plan)
        patches = flattened(list(cut.patches), list(cut.pairs))
        pieces = [_piece(patch, number, len(patches), foam.limit) for number, patch in enumerate(patches, start=1)]
        over = [piece.number - 1 for piece in pieces if overlap(piece) is not None]
        fewer = [dart for i, dart in enumerate(plan.darts) if not _last_of(plan.darts, i, over)]
        if len(fewer) == len(plan.darts):
            break
        # A dart that closes on itself where the whole pattern is laid is no dart: its piece does with one less.
        plan = plan.with_darts(fewer)
    for piece in pieces:
        refuse_overlap(piece)
    seams = seam_lines(Surface(skin.outside), cut)
    return Pattern(title or tube.name, tube.name, foam, tube, seams, tuple(pieces), assumptions, NOT_CHECKED)


NOT_CHECKED = (
    "Whether the glue, the seams and the foam hold is not checked; neither is how the foam springs back.",
    "The hand is not in the pattern; it is modelled or bought and fixed at the wrist.",
)


def cut_along(surface: Surface, plan: Plan) -> Cut:
    """The sheets of a plan and their patches, not yet flat."""
    made = grounds(surface, plan)
    count = surface.tube.points.shape[1]
    ringed = len(plan.parts) == 2
    around = _round(made) if ringed else count
    stops = _ring_stops(made, plan, around) if ringed else set()
    patches, ends = [], []
    for k, ground in enumerate(made):
        part = plan.parts[ground.part]
        panels = len(part.curves)
        before, after = part.curves[ground.panel], part.curves[(ground.panel + 1) % panels]
        top = ground.part == 0
        broken = tuple(i for i, place in enumerate(ground.ring) if int(place) % around in stops)
        rim = Rim(
            first=(SHOULDER, "free", "a") if top else (RING, "seam", "b"),
            last=(RING, "seam", "a") if ringed and top else (WRIST, "free", "a"),
            a=(before.name, "seam", "a"),
            b=(after.name, "seam", "b"),
            breaks={
                "last" if top else "first": broken if ringed else (),
                "a": _rows_of(made, plan, k, -1),
                "b": _rows_of(made, plan, k, +1),
            },
        )
        darts = [(_dart_name(plan, made, i), dart) for i, dart in enumerate(plan.darts) if dart.sheet == k]
        shape = slit((ground.columns.shape[0], ground.columns.shape[1]), darts, rim, surface.tube.outward)
        points = surface.at(ground.first, ground.last, ground.columns).reshape(-1, 3)
        name = part.name if panels == 1 else f"{part.name} {ground.panel + 1}"
        patches.append(
            Patch(name, points[shape.of], shape.faces, shape.edges, shape.outline, np.zeros((0, 2)))
        )  # fmt: skip
        ends.append(shape.of)
    return Cut(plan, tuple(made), tuple(patches), tuple(_pairs(patches)))


def _round(made: list[Ground]) -> int:
    """How many places the shared ring has."""
    return sum(len(ground.ring) - 1 for ground in made if ground.part == 0)


def _ring_stops(made: list[Ground], plan: Plan, around: int) -> set[int]:
    """Places of the shared ring where any sheet ends or a dart begins."""
    out = {int(place) % around for ground in made for place in (ground.ring[0], ground.ring[-1])}
    for dart in plan.darts:
        ground = made[dart.sheet]
        if dart.end == ("last" if ground.part == 0 else "first"):
            out.add(int(ground.ring[dart.place]) % around)
    return out


def _rows_of(made: list[Ground], plan: Plan, k: int, side: int) -> tuple[int, ...]:
    """Rows where the sheet beside this one has darts that begin at the seam between them."""
    ground = made[k]
    panels = len(plan.parts[ground.part].curves)
    other = next(
        i for i, g in enumerate(made) if g.part == ground.part and g.panel == (ground.panel + side) % panels
    )  # fmt: skip
    end = "b" if side < 0 else "a"
    return tuple(dart.place for dart in plan.darts if dart.sheet == other and dart.end == end)


def _dart_name(plan: Plan, made: list[Ground], index: int) -> str:
    ground = made[plan.darts[index].sheet]
    part = plan.parts[ground.part]
    number = 1 + sum(made[dart.sheet].part == ground.part for dart in plan.darts[:index])
    return f"{part.name} dart {number}"


def _pairs(patches: list[Patch]) -> list[Pair]:
    """Edges that meet: side a with the side b that lies in the same places."""
    sides: dict[str, list[list[tuple[int, np.ndarray]]]] = {}
    for i, patch in enumerate(patches):
        for edge in patch.edges:
            if edge.kind != "free":
                sides.setdefault(edge.seam, [[], []])[edge.side == "b"].append((i, edge.nodes))
    out: list[Pair] = []
    for one, other in sides.values():
        for i, nodes in one:
            at = patches[i].vertices[nodes]
            fit = [
                (float(np.abs(patches[j].vertices[theirs] - at).max()), n)
                for n, (j, theirs) in enumerate(other) if len(theirs) == len(nodes)
            ]  # fmt: skip
            out.append(((i, nodes), other[min(fit)[1]]))
    return out


def _piece(patch: Patch, number: int, of: int, limit: float) -> Piece:
    """The patch as it is cut: seen from inside, the shoulder's end up, its lower left corner at 0."""
    flat = patch.flat * [-1.0, 1.0]
    up = _up(patch, flat)
    flat = flat @ np.array([[up[1], up[0]], [-up[0], up[1]]])
    flat = flat - flat.min(axis=0)
    strain = strain_of(patch.vertices, patch.faces, flat, limit)
    # The walk follows the faces, which run clockwise from inside.
    outline = patch.outline[::-1].copy()
    return Piece(patch.name, number, of, patch.vertices, patch.faces, patch.edges, flat, outline, strain)


def _up(patch: Patch, flat: FloatArray) -> FloatArray:
    """Towards the shoulder on the table, unit (2,): from the middle of the lower ring's edge to that of the upper one's."""
    ends = [edge for edge in patch.edges if edge.kind == "free" or edge.seam == RING]
    upper = [edge for edge in ends if edge.seam == SHOULDER or (edge.seam == RING and edge.side == "b")]
    lower = [edge for edge in ends if edge.seam == WRIST or (edge.seam == RING and edge.side == "a")]
    top, low = (np.concatenate([flat[edge.nodes] for edge in some]).mean(axis=0) for some in (upper, lower))
    return np.asarray((top - low) / np.linalg.norm(top - low))


def _last_of(darts: tuple[Dart, ...], index: int, sheets: list[int]) -> bool:
    """Whether a dart is the last one of its sheet, and its sheet among those given."""
    sheet = darts[index].sheet
    return sheet in sheets and all(dart.sheet != sheet for dart in darts[index + 1 :])


def overlap(piece: Piece) -> str | None:
    """How a piece lies over itself on the table, in a word or two; None where it does not."""
    from shapely.geometry import Polygon
    from shapely.validation import explain_validity

    shape = Polygon(piece.flat[piece.outline])
    if not shape.is_valid:
        return str(explain_validity(shape)).split("[")[0].strip().lower()
    a, b, c = (piece.flat[piece.faces[:, k]] for k in range(3))
    ab, ac = b - a, c - a
    return "a fold" if bool((ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0] >= 0.0).any()) else None


def refuse_overlap(piece: Piece) -> None:
    """Raise SightlineError for a piece that lies over itself on the table."""
    what = overlap(piece)
    if what is not None:
        raise SightlineError(
            f"Piece {piece.number}, '{piece.name}', lies over itself when it is laid flat ({what}): no sheet can be cut to it. "
            "Mitre the elbow, take more panels, or move its seam to the inside of the bend."
        )


def seam_lines(outside: Surface, cut: Cut) -> tuple[SeamLine, ...]:
    """Every seam and dart once, on the skin as it shows."""
    plan, made = cut.plan, cut.grounds
    out = []
    for ground in made:
        part = plan.parts[ground.part]
        name = part.curves[ground.panel].name
        out.append(
            _line(
                outside, name, "lengthwise", ground, np.arange(len(ground.columns)), np.zeros(len(ground.columns), int)
            )
        )
    if len(plan.parts) == 2:
        whole = [g for g in made if g.part == 0]
        columns = np.concatenate([whole[0].columns[-1], *[g.columns[-1][1:] for g in whole[1:]]])
        ring = replace(whole[0], first=whole[0].last, columns=columns[None])
        out.append(_line(outside, RING, "ring", ring, np.zeros(len(columns), int), np.arange(len(columns))))
    for i, dart in enumerate(plan.darts):
        ground = made[dart.sheet]
        rows, places = _dart_cells(dart, ground)
        out.append(_line(outside, _dart_name(plan, list(made), i), "dart", ground, rows, places))
    return tuple(out)


def _dart_cells(dart: Dart, ground: Ground) -> tuple[np.ndarray, np.ndarray]:
    m, k = ground.columns.shape
    if dart.end in ("first", "last"):
        rows = np.arange(dart.tip + 1) if dart.end == "first" else np.arange(m - 1, dart.tip - 1, -1)
        return rows, np.full(len(rows), dart.place)
    places = np.arange(dart.tip + 1) if dart.end == "a" else np.arange(k - 1, dart.tip - 1, -1)
    return np.full(len(places), dart.place), places


def _line(outside: Surface, name: str, kind: str, ground: Ground, rows: np.ndarray, places: np.ndarray) -> SeamLine:
    points = outside.at(ground.first, ground.last, ground.columns)[rows, places]
    share, around = outside.said(ground.first, ground.last, ground.columns)
    return SeamLine(name, kind, share[rows, places], around[rows, places], points)  # type: ignore[arg-type]
