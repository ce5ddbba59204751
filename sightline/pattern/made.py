"""Everything that is made for one limb: seams by sight, pattern, marks, sheets, cut list and the order of assembly."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from sightline.errors import FileError
from sightline.house.eyes import Eye
from sightline.pattern.arrows import UP, Way
from sightline.pattern.assembly import Assembly, assembly
from sightline.pattern.cutlist import CutList, cut_list, piece_area_m2
from sightline.pattern.exposure import Shown, exposure_of
from sightline.pattern.flatshape import ways_on
from sightline.pattern.layout import Layout, Stock
from sightline.pattern.limb import limb_named, oddities, tube_of
from sightline.pattern.looks import NOBODY, Looks, limb_index, looks_of
from sightline.pattern.making import WRIST, pattern_of
from sightline.pattern.marked import MarkedPiece
from sightline.pattern.marks import mark
from sightline.pattern.nesting import GAP_M, nest
from sightline.pattern.notches import edge_marks
from sightline.pattern.onskin import Skin
from sightline.pattern.pattern import Pattern
from sightline.pattern.piece import Piece
from sightline.pattern.plan import Choices
from sightline.pattern.routing import Routing, Weighting
from sightline.pattern.sheetfoam import foam_of
from sightline.pattern.sightseams import fixed_seams, sight_seams
from sightline.pattern.stock import DEFAULT
from sightline.pattern.tube import Tube
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.audience import audience
from sightline.staging.places import kept
from sightline.staging.stage import put_together
from sightline.workshop.anatomy import estimated_arm
from sightline.workshop.bench import Bench
from sightline.workshop.limbs import BenchLimb, LimbPose

NOT_CHECKED = (
    "Whether glue holds on this foam, and how it takes colour: try both on an off-cut.",
    "The line where the hand meets the wrist is no seam of the pattern; if it shows, write it in the scene as a ring.",
    "The show's light on seams, foam and covering: look at them under the lamps, from the nearest seat.",
)


# Ways of placing seams that need somebody to hide them from.
HIDDEN = ("hide", "balanced")


@dataclass(frozen=True)
class Wants:
    """What the maker asks for. Without `seams` they are hidden where anybody watches, else they lie flat.

    `best_s`: look for a better layout for so many seconds (needs the packer of the extra `nest`).
    """

    choices: Choices = field(default_factory=Choices)
    seams: Weighting | None = None
    stock: Stock = DEFAULT
    gap_m: float = GAP_M
    best_s: int | None = None


@dataclass(frozen=True)
class Made:
    """`routing`, `skin` are None where nobody watches; `why_not` then says so. `fixed`: what is seen of other seams."""

    limb: BenchLimb
    pattern: Pattern
    routing: Routing | None
    fixed: Mapping[str, Shown]
    skin: Skin | None
    why_not: str | None
    marked: tuple[MarkedPiece, ...]
    layout: Layout
    cuts: CutList
    assembly: Assembly
    notes: tuple[str, ...] = field(default=())

    @property
    def assumptions(self) -> list[str]:
        """What was taken for granted, each sentence once."""
        routed = self.routing.said if self.routing else ()
        return list(dict.fromkeys([*self.pattern.assumptions, *routed, *self.cuts.notes, *self.notes]))

    @property
    def not_checked(self) -> list[str]:
        return list(dict.fromkeys([*self.pattern.not_checked, *NOT_CHECKED]))


def bench_for_pattern(written: Written[Scene], seams: Weighting | None) -> Bench:
    """The scene on the bench, even where nobody watches: then somebody stands in who is asked nothing.

    Raises FileError where nobody watches though seams are to be hidden, and as `bench_of` does.
    """
    house = kept(written, audience(written))
    if not house.eyes:
        if seams in HIDDEN:
            raise written.problem((), NOBODY)
        house = replace(house, eyes=[Eye("nobody", "point", (0.0, -10.0, 1.2))])
    return Bench(written, put_together(written, house))


def make(
    bench: Bench, name: str | None = None, wants: Wants | None = None, tick: Callable[[str], None] = lambda _: None
) -> Made:
    """All of it for the false limb of that name, or the only one. `tick` is told what is being done.

    Raises SightlineError as its parts do: no such limb, nobody watching though seams are to be hidden, foam too thick,
    a sheet too small.
    """
    wants = wants or Wants()
    written = bench.written
    if name is not None:
        limb_index(written, name)
    limb = limb_named(bench, name)
    tick("skin")
    foam, taken = foam_of(written, limb.index)
    taken = (*oddities(limb), *estimated_arm(bench.sheet), *taken)
    tube, choices = tube_of(limb), wants.choices
    looks, why_not = _looks(bench, limb, tube, wants, tick)
    routing = None
    if looks is not None:
        tick("who sees what of the limb")
        found = sight_seams(looks, exposure_of(looks), tube, choices, wants.seams or "hide", tick)
        routing, choices = found.routing, replace(choices, lines=found.lines)
    pattern = pattern_of(tube, foam, choices, title=bench.scene.title, assumptions=taken, progress=tick)
    fixed: dict[str, Shown] = {}
    if looks is not None and routing is not None:
        fixed = fixed_seams(looks, pattern.seams, [route.wish.name for route in routing.routes])
    tick("marks and sheets")
    marked = mark(pattern, _ways(pattern, limb))
    notes: tuple[str, ...] = ()
    if wants.best_s is None:
        layout = nest(pattern.pieces, wants.stock, wants.gap_m)
    else:
        from sightline.pattern.bestnest import best_nest

        layout, said = best_nest(pattern.pieces, wants.stock, wants.gap_m, seconds=wants.best_s)
        notes = (said,)
    cuts = cut_list(pattern, layout, bench.scene.materials)
    order = assembly(pattern, edge_marks(pattern))
    skin = None if looks is None else looks.skin
    return Made(limb, pattern, routing, fixed, skin, why_not, marked, layout, cuts, order, notes)


def _looks(
    bench: Bench, limb: BenchLimb, tube: Tube, wants: Wants, tick: Callable[[str], None]
) -> tuple[Looks | None, str | None]:  # fmt: skip
    """All looks at the limb, or why there are none. Where seams must be hidden, that is an error."""
    tick("looks")
    try:
        return looks_of(bench.written, limb.name, tube), None
    except FileError as error:
        if wants.seams in HIDDEN or error.problems[0].sentence != NOBODY:
            raise
        return None, NOBODY


def _ways(pattern: Pattern, limb: BenchLimb) -> list[Way]:
    """Up, and where the hand has its palm and its thumb: told on the piece at the wrist."""
    if limb.pose is None:
        return [UP]
    palm, thumb = limb.pose.palm, thumb_of(limb.pose, limb.side)
    return [UP, *(Way(said, way, _at_wrist(pattern, way)) for said, way in (("PALM", palm), ("THUMB", thumb)))]


def thumb_of(pose: LimbPose, side: str) -> np.ndarray:
    """Which way the thumb of a hand is, (3,): a left hand's thumb, palm and fingers are a right-handed frame."""
    if pose.thumb_tip is not None:
        return np.asarray(pose.thumb_tip - pose.wrist)
    return np.asarray(np.cross(pose.palm, pose.fingers) * (1.0 if side == "left" else -1.0))


def _at_wrist(pattern: Pattern, way: np.ndarray) -> int:
    """The piece at the wrist that faces this way most."""
    there = [piece for piece in pattern.pieces if any(edge.seam == WRIST for edge in piece.edges)]
    size = float(np.linalg.norm(way))
    facing = [round(float(ways_on(piece, way / size)[1].max()), 9) for piece in there]
    return there[int(np.argmax(facing))].number


@dataclass(frozen=True)
class Whole:
    """Strain over all pieces together, shares of edge length; `over` the share of area over the material's limit."""

    rms: float
    p95: float
    p99: float
    largest: float
    over: float


def whole_strain(pieces: tuple[Piece, ...]) -> Whole:
    """Of every edge of every piece; a pattern without edges has none."""
    edges = np.concatenate([piece.strain.edge for piece in pieces])
    if not len(edges):
        return Whole(0.0, 0.0, 0.0, 0.0, 0.0)
    size = np.abs(edges)
    areas = np.array([piece_area_m2(piece) for piece in pieces])
    over = float(areas @ [piece.strain.over for piece in pieces] / areas.sum())
    p95, p99 = np.percentile(size, [95, 99])
    return Whole(float(np.sqrt(np.mean(edges**2))), float(p95), float(p99), float(size.max()), over)
