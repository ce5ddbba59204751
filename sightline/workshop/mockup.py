"""The cheapest proof before cutting: the box in cardboard, the limb as a stuffed sleeve, and marks of tape.

Lengths in metres. Places are in the performer's own frame: +x to the performer's left, -y ahead, +z up from the floor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.errors import SightlineError
from sightline.figure.armskin import BICEPS_AT, FOREARM_AT, fore_flesh, upper_flesh
from sightline.geometry.frame import FloatArray
from sightline.props.box import opening_names, wall_of
from sightline.props.falselimb import FalseArm, limb_name
from sightline.scene.performer import WallSpot
from sightline.scene.prop import CarriedBox, Opening
from sightline.workshop.bench import Bench

# Ordinary double-faced corrugated card. Common practice, no source.
CARD_M = 0.004
CARD_RANGE_M = (0.0005, 0.020)
# On each side of a sleeve that is sewn or taped. Common practice, no source.
SEAM_M = 0.010
WALLS = ("front", "back", "left", "right", "top", "bottom")


@dataclass(frozen=True)
class Cut:
    """A hole in a panel: its middle from the panel's left and bottom edges, seen from outside."""

    name: str
    shape: str
    across_m: float
    up_m: float
    from_left_m: float
    from_bottom_m: float
    corner_radius_m: float

    @property
    def least_border_m(self) -> float:
        """What is left between the hole and the panel's left or bottom edge; see `Panel.border_m` for all four."""
        return min(self.from_left_m - self.across_m / 2, self.from_bottom_m - self.up_m / 2)


@dataclass(frozen=True)
class Panel:
    """One piece of card, its outside face towards you. `edges`: which wall each edge meets: left, right, bottom, top."""

    name: str
    across_m: float
    up_m: float
    cuts: tuple[Cut, ...]
    edges: tuple[str, str, str, str]

    def border_m(self, cut: Cut) -> float:
        """The least card left round a hole."""
        right = self.across_m - cut.from_left_m - cut.across_m / 2
        top = self.up_m - cut.from_bottom_m - cut.up_m / 2
        return min(cut.least_border_m, right, top)


@dataclass(frozen=True)
class Station:
    """One girth along a limb: how far from its upper end, round it, and the flat width to cut with both seams."""

    name: str
    along_m: float
    girth_m: float
    cut_m: float


@dataclass(frozen=True)
class Sleeve:
    """A false arm as a stuffed tube. `bend_deg` is how far the elbow is bent from straight."""

    name: str
    side: str
    upper_m: float
    fore_m: float
    hand_m: float
    hand_girth_m: float
    bend_deg: float
    straight_m: float
    stations: tuple[Station, ...]
    hand_words: str


@dataclass(frozen=True)
class TapeMark:
    """A place to tape or to hang: on the floor, and how high above it where it is not on it."""

    name: str
    at_m: tuple[float, float, float]
    words: str


@dataclass(frozen=True)
class Mockup:
    title: str
    card_m: float
    size_m: tuple[float, float, float] | None
    panels: tuple[Panel, ...]
    sleeves: tuple[Sleeve, ...]
    marks: tuple[TapeMark, ...]
    notes: tuple[str, ...]


def mockup_of(bench: Bench, card_m: float = CARD_M) -> Mockup:
    """Everything to cut, stuff and tape. What the scene has not is said in the notes. Raises SightlineError."""
    if not CARD_RANGE_M[0] <= card_m <= CARD_RANGE_M[1]:
        low, high = (value * 1000 for value in CARD_RANGE_M)
        raise SightlineError(f"Card of {card_m * 1000:g} mm is none; it is {low:g} to {high:g} mm thick.")
    notes: list[str] = []
    panels: tuple[Panel, ...] = ()
    size = None
    if bench.carried is not None:
        size = (float(bench.carried.size_m[0]), float(bench.carried.size_m[1]), float(bench.carried.size_m[2]))
        if 2 * card_m >= min(size):
            raise SightlineError(f"Card of {card_m * 1000:g} mm leaves no inside in so small a prop.")
        if bench.box is not None and bench.prop is not None:
            panels = box_panels(bench.box, bench.prop.openings, card_m)
        else:
            closed = CarriedBox.model_construct(width=size[0], depth=size[1], height=size[2], top="closed")
            panels = box_panels(closed, [], card_m)
            notes.append("The prop is an imported mesh: the card box has its outer size, without its form and holes.")
    else:
        notes.append("Not known: the scene has no prop, so there is no card to cut; set its covers up as written.")
    notes += [
        f"The {cut.name} comes within {max(panel.border_m(cut), 0) * 1000:.0f} mm of the {panel.name} panel's edge: "
        "tape that edge before cutting."
        for panel in panels
        for cut in panel.cuts
        if panel.border_m(cut) < 0.020
    ]
    sleeves = tuple(sleeve_of(arm, _spot(bench, arm), size) for arm in bench.false_arms)
    built = {arm.name for arm in bench.false_arms}
    notes += [
        f"The {limb_name(limb)} is an imported mesh: measure the model itself."
        for limb in bench.scene.false_limbs
        if limb_name(limb) not in built
    ]
    if not bench.scene.false_limbs:
        notes.append("Not known: the scene has no false limb to stuff.")
    if bench.body is None:
        notes.append("Not known: the scene has no performer; places are from its mark.")
    return Mockup(bench.scene.title, card_m, size, panels, sleeves, tuple(tape_marks(bench)), tuple(notes))


def box_panels(box: CarriedBox, openings: Sequence[Opening], card_m: float) -> tuple[Panel, ...]:
    """The panels of a box of the same outer size in card: front and back whole, the sides between them, top and bottom
    let in between all four."""
    size = np.array([box.width, box.depth, box.height])
    names = opening_names(list(openings))
    panels = []
    for wall in WALLS:
        if wall == "top" and box.top == "open":
            continue
        inset = _inset(wall, card_m)
        across, up = wall_of(size, wall).size_m
        cuts = []
        for name, opening in zip(names, openings, strict=True):
            if opening.wall != wall:
                continue
            width, height = opening.size_m
            left, bottom = from_edges(size, wall, opening.at)
            radius = min(width, height) / 2 if opening.shape in ("round", "slot") else opening.corner_radius
            cuts.append(Cut(name, opening.shape, width, height, left - inset[0], bottom - inset[1], radius))
        panels.append(Panel(wall, across - 2 * inset[0], up - 2 * inset[1], tuple(cuts), _edges(size, wall)))
    return tuple(panels)


def _inset(wall: str, card_m: float) -> tuple[float, float]:
    """How much a panel is less on each side, across and up, than the box's outside."""
    return {"front": (0.0, 0.0), "back": (0.0, 0.0), "left": (card_m, 0.0), "right": (card_m, 0.0)}.get(
        wall, (card_m, card_m)
    )


def _rightward(size: FloatArray, wall: str) -> float:
    """+1 where the wall's own `across` runs to the right for who stands before its outside, -1 where to the left."""
    w = wall_of(size, wall)
    return float(np.sign(np.cross(-w.outward, w.up) @ w.across))


def from_edges(size: FloatArray, wall: str, at: Sequence[float]) -> tuple[float, float]:
    """A place on a wall from its left and its bottom edge, as seen from outside."""
    across, up = wall_of(size, wall).size_m
    return across / 2 + _rightward(size, wall) * at[0], up / 2 + at[1]


def _edges(size: FloatArray, wall: str) -> tuple[str, str, str, str]:
    w = wall_of(size, wall)
    right = w.across * _rightward(size, wall)
    beyond = [-right, right, -w.up, w.up]
    found = [next(n for n in WALLS if float(wall_of(size, n).outward @ way) > 0.5) for way in beyond]
    return found[0], found[1], found[2], found[3]


def _spot(bench: Bench, arm: FalseArm) -> WallSpot | None:
    return next((limb.hand_at for limb in bench.scene.false_limbs if limb_name(limb) == arm.name), None)


def sleeve_of(arm: FalseArm, spot: WallSpot | None, size: tuple[float, float, float] | None) -> Sleeve:
    """The tube to stuff: bone lengths from the solved arm, girths of its skin."""
    upper, fore = (
        float(np.linalg.norm(arm.elbow - arm.shoulder)),
        float(np.linalg.norm(arm.hold.wrist - arm.elbow)),
    )
    one, other = (arm.shoulder - arm.elbow) / upper, (arm.hold.wrist - arm.elbow) / fore
    bend = 180.0 - float(np.degrees(np.arccos(np.clip(one @ other, -1.0, 1.0))))
    above, below = upper_flesh(arm.sheet), fore_flesh(arm.sheet)
    rows = [
        ("top of the arm", 0.12 * upper, above.read(np.array([0.12]))[0][0]),
        ("biceps", BICEPS_AT * upper, above.read(np.array([BICEPS_AT]))[0][0]),
        ("elbow", upper, arm.sheet.elbow_girth_m),
        ("forearm", upper + FOREARM_AT * fore, below.read(np.array([FOREARM_AT]))[0][0]),
        ("wrist", upper + fore, arm.sheet.wrist_girth_m),
    ]
    stations = tuple(
        Station(name, float(along), float(girth) * arm.girth, float(girth) * arm.girth + 2 * SEAM_M)
        for name, along, girth in rows
    )
    words = "where the scene puts it"
    if spot is not None and size is not None:
        left, bottom = from_edges(np.array(size), spot.wall, spot.at)
        words = (
            f"on the {spot.wall} panel, middle of the palm {left * 100:.1f} cm from the left and {bottom * 100:.1f} cm "
            "from the bottom edge of the box, seen from outside"
        )
    return Sleeve(
        arm.name, arm.side, upper, fore, arm.sheet.hand_length_m, arm.sheet.hand_girth_m * arm.girth, bend,
        float(np.linalg.norm(arm.hold.wrist - arm.shoulder)), stations, words,
    )  # fmt: skip


def tape_marks(bench: Bench) -> list[TapeMark]:
    """Where the performer stands, what is plumb below the box, and how high things hang."""
    marks = [TapeMark("mark", (0.0, 0.0, 0.0), "a cross, between the ankles")]
    if bench.carried is not None:
        half = bench.carried.size_m / 2
        words = "box's {} bottom corner"
        for n, (side, depth) in enumerate(((1, -1), (-1, -1), (-1, 1), (1, 1)), 1):
            corner = bench.carried.placement.points(half * np.array([side, depth, -1.0]))
            name = f"{'front' if depth < 0 else 'back'} {'left' if side > 0 else 'right'}"
            marks.append(_mark(f"box {n}", corner, words.format(name)))
    for arm in bench.false_arms:
        marks.append(_mark(f"{arm.name}: shoulder", arm.shoulder, "the sleeve's upper end"))
        marks.append(_mark(f"{arm.name}: elbow", arm.elbow, "its elbow"))
        marks.append(_mark(f"{arm.name}: wrist", arm.hold.wrist, "its wrist"))
    return marks


def _mark(name: str, at: FloatArray, words: str) -> TapeMark:
    return TapeMark(name, (float(at[0]), float(at[1]), float(at[2])), words)
