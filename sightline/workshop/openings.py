"""Openings: the smallest that passes hand and arm, what is left of the wall, and what every needless millimetre shows."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sightline.figure.tables import ANSUR, Sex
from sightline.geometry.frame import FloatArray
from sightline.props.box import opening_names
from sightline.scene.prop import Opening
from sightline.staging.wearing import for_arm
from sightline.workshop import cutting, gauge
from sightline.workshop.bench import Bench
from sightline.workshop.gauge import Allowances, Passing
from sightline.workshop.grips import GripReach, cloth_of, grips
from sightline.workshop.reach import mm
from sightline.workshop.section import Item, Section, State

NAME = "openings"
FORM_A = "Form A of ISO 15534: body + clothing + movement"
# Larger than needed by less than this is what a saw and a tape are good for. Common practice, no source.
EXACT_M = 0.003
CAUTION = (
    "Round and pad every edge that flesh meets: the inside of the upper arm lies over nerves and vessels. Cutting is done "
    "with eye protection and the piece held down; solvents and glues by their own sheets."
)
ACCESS = (
    "Access-opening standards (EN 547, MIL-STD-1472) are for machines, not for a costume, and their tables were not read. "
    "From memory: lower arm about 120 mm and upper arm about 121 mm plus some 20 mm (EN 547-3); bare arm to the elbow "
    "100 x 115 mm, to the shoulder 125 mm (MIL-STD-1472). A 95th percentile man's flexed upper arm is 133 mm (ANSUR II), "
    "more than either: take the larger, and tape your own arm."
)  # fmt: skip


def section(bench: Bench) -> Section:
    """The section of the report; an opening that no finger goes through never gets onto the bench."""
    missing = _missing(bench)
    if missing:
        return Section(NAME, [Item("openings", "not known", f"The openings are not known: {missing}.")])
    assert bench.prop is not None
    assert bench.box is not None
    items: list[Item] = []
    for opening, name in zip(bench.prop.openings, opening_names(bench.prop.openings), strict=True):
        if for_arm(opening) and bench.sheet is not None:
            items += _passes(bench, opening, name, grips(bench) if opening is _arms(bench) else [])
        items += _cut(bench, opening, name)
    if any(for_arm(opening) for opening in bench.prop.openings):
        items.append(Item("access standards", "told", ACCESS, source="from memory"))
    if bench.sheet is None:
        items.append(Item("hand", "not known", "Whether a hand passes is not known: the scene has no performer."))
    assumptions = []
    if bench.sheet is not None:
        assumptions = [
            _allowed_words(bench),
            "People's sizes are taken as spread by Gauss; soldiers (ANSUR II) stand for all.",
        ]
    not_checked = [
        "whether the wall's material holds at all, and whether a ring is glued well",
        "rings, watches and long nails",
    ]
    return Section(NAME, items, [CAUTION], assumptions, not_checked)


def _missing(bench: Bench) -> str | None:
    if bench.prop is None:
        return "the scene has no prop"
    if bench.box is None:
        return "the prop is an imported mesh, and its holes are not told apart from its walls"
    return None if bench.prop.openings else "the prop has no opening"


def allowances(bench: Bench) -> Allowances:
    """Glove, clothing and movement of the scene, in all."""
    fit = bench.scene.fit
    return Allowances(fit.glove, 2 * cloth_of(bench)[0], fit.movement)


def _allowed_words(bench: Bench) -> str:
    add = allowances(bench)
    return (
        f"Added where hand and arm go through: glove {mm(add.glove_m)}, clothing {mm(add.clothing_m)} ({cloth_of(bench)[1]}), "
        f"movement {mm(add.movement_m)} (fit: {{glove, clothing, movement}})."
    )


def _arms(bench: Bench) -> Opening | None:
    return bench.arm_opening[1] if bench.arm_opening else None


def deepest(found: list[GripReach]) -> tuple[int, float]:
    """The bone and the share along it that stand in the wall when the arm is farthest in: what went through lies beyond.

    Without a known grip: to the middle of the upper arm, which is on the careful side.
    """
    at = [(w.bone, w.share) for g in found if (w := g.best) is not None and w.bone is not None and w.share is not None]
    return min(at, default=(0, 0.5))


def _passes(bench: Bench, opening: Opening, name: str, found: list[GripReach]) -> Iterator[Item]:
    sheet = bench.sheet
    assert sheet is not None
    add = allowances(bench)
    hand, arm = gauge.hand_through(sheet), gauge.arm_through(sheet, *deepest(found))
    need = gauge.least_size(opening.shape, hand, arm, add)
    have = tuple(sorted(opening.size_m, reverse=True))
    yield _bare(name, "hand", have, hand, add.glove_m, opening, "over the thumb, gloved as said")
    yield _bare(name, "arm", have, arm, add.clothing_m, opening, "clothed, as far as it goes in")
    said = {shape: gauge.least_size(shape, hand, arm, add) for shape in ("round", "slot", "rectangle")}
    words = (
        f"The smallest that passes hand and arm with all allowances: round {mm(said['round'][0])}; slot or rectangle "
        f"{mm(said['slot'][0])} by {mm(said['slot'][1])}."
    )
    yield Item(f"{name}: smallest", "told", words, [*said["round"][:1], *said["slot"]], "m", FORM_A)
    yield _size(name, have, need, found)
    yield _share(bench, name, opening, add.glove_m)
    if found and any(grip.best for grip in found):
        yield _place(name, found)


def _bare(
    name: str, what: str, have: tuple[float, ...], part: Passing, cloth_m: float, opening: Opening, how: str
) -> Item:
    """Whether it goes through at all, without room to move."""
    broad, thick = part.broad_m + cloth_m, part.thick_m + cloth_m
    spare = (
        have[1] - max(broad, thick) if opening.shape == "round" else min(have[0] - max(broad, thick), have[1] - thick)
    )
    state: State = "yes" if spare >= 0 else "no"
    doing = f"passes with {mm(spare)} in all to spare" if spare >= 0 else f"is {mm(spare)} too thick"
    words = f"{name}: the {what} ({mm(broad)} by {mm(min(thick, broad))}, {how}) {doing}."
    return Item(f"{name}: {what}", state, words, spare, "m", part.source)


def _size(name: str, have: tuple[float, ...], need: tuple[float, float], found: list[GripReach]) -> Item:
    """Against what is needed, allowances and moves included: too small, too large, or right."""
    over = min(have[0] - need[0], have[1] - need[1])
    most = max(have[0] - need[0], have[1] - need[1])
    edges = [way.edge.distance_m for grip in found if (way := grip.best) is not None and way.edge is not None]
    moves = min(edges) if edges else None
    if over < -EXACT_M:
        words = f"{name}: {mm(over)} smaller than hand or arm with all allowances; the movement allowance is not there."
        return Item(f"{name}: size", "warn", words, over, "m", FORM_A)
    if most <= EXACT_M:
        return Item(
            f"{name}: size", "yes", f"{name}: as small as hand, arm and allowances let it be.", most, "m", FORM_A
        )
    words = f"{name}: {mm(most)} larger than needed, and every millimetre shows"
    # Where the moves swing the arm to an edge, size is spent on place: moving the hole comes before cutting it smaller.
    if moves is not None and 2 * moves < most:
        words += (
            f"; but where it is, the moves need {mm(most - 2 * moves)} of that: move it first (see its place)"
            if moves >= 0 else "; but where it is, the arm presses its edge: move it first (see its place)"
        )  # fmt: skip
    return Item(f"{name}: size", "warn", words + ".", most, "m", FORM_A)


def _share(bench: Bench, name: str, opening: Opening, glove_m: float) -> Item:
    # The long side of a slot takes the breadth; the thickness has no published spread here.
    long = max(opening.size_m)
    sexes: tuple[tuple[str, Sex], ...] = (("men", "male"), ("women", "female"))
    shares = {
        whose: gauge.share_passing(long, ANSUR[sex]["handbreadth"].mean, ANSUR[sex]["handbreadth"].sd, glove_m)
        for whose, sex in sexes
    }
    said = " and ".join(f"{share * 100:.1f} % of {whose}" for whose, share in shares.items())
    words = f"{name}: by the hand's breadth it would pass {said}, without room to move."
    return Item(
        f"{name}: share passing", "told", words, list(shares.values()), None, "ANSUR II, mean and sd of hand breadth"
    )


def crossings(found: list[GripReach]) -> FloatArray:
    """Where the arm's middle crosses the wall by each move's best elbow, from the opening's middle (n, 2), m."""
    at = [grip.best.cross_m for grip in found if grip.best is not None and grip.best.cross_m is not None]
    return np.array(at).reshape(-1, 2)


def _place(name: str, found: list[GripReach]) -> Item:
    at = crossings(found)
    if not len(at):
        return Item(f"{name}: place", "not known", f"{name}: where the arm crosses the wall is not known.")
    middle = (at.min(axis=0) + at.max(axis=0)) / 2
    spread = at.max(axis=0) - at.min(axis=0)
    off = float(np.hypot(*middle))
    wander = f"the moves swing it {mm(spread[0])} across and {mm(spread[1])} up and down"
    if off <= 0.005:
        return Item(f"{name}: place", "yes", f"{name}: the arm crosses it in the middle; {wander}.", off, "m")
    # Added to the opening's own `at`, so it is said along the wall's across and up as the file says them.
    words = (
        f"{name}: by the best elbows the arm crosses {mm(off)} off its middle; add [{middle[0] * 100:+.1f} cm, "
        f"{middle[1] * 100:+.1f} cm] to its 'at' and the hole lies round the arm ({wander})."
    )
    return Item(
        f"{name}: place", "warn", words, [float(x) for x in middle], "m", "middle lines of the arm in all moves"
    )


def _cut(bench: Bench, opening: Opening, name: str) -> Iterator[Item]:
    assert bench.box is not None
    assert bench.prop is not None
    left = cutting.margins(bench.box, opening, bench.prop.openings)
    where = {"left" if opening.wall not in ("left", "right") else "back": left.left_m,
             "right" if opening.wall not in ("left", "right") else "front": left.right_m,
             "bottom" if opening.wall not in ("top", "bottom") else "front": left.below_m,
             "top" if opening.wall not in ("top", "bottom") else "back": left.above_m}  # fmt: skip
    edge = min(where, key=lambda side: where[side])
    narrow = left.least_m < cutting.MARGIN_M
    bridge = "" if left.bridge_m is None else f", to the next hole {mm(left.bridge_m)}"
    words = (
        f"{name}: {mm(where[edge])} to the {edge} edge at the least, {mm(left.corner_m)} to the nearest corner{bridge}; "
        f"{left.left_share * 100:.0f} % of the {opening.wall} wall is left."
    )
    yield Item(f"{name}: material left", "warn" if narrow else "yes", words, left.least_m, "m", cutting.COMMON)
    ring = cutting.ring_size(opening)
    fits = left.least_m >= cutting.RING_M
    other = cutting.ring_from(opening, bench.prop.openings)
    outer = f"{mm(ring[0])} outside" if opening.shape == "round" else f"{mm(ring[0])} by {mm(ring[1])} outside"
    words = f"{name}: a reinforcing ring on the inside, {outer}, {mm(cutting.RING_M)} wide, is "
    words += (
        f"needed: less than {mm(cutting.MARGIN_M)} is left" if narrow else "advised where the wall is board or foam"
    )
    words += "" if fits else f"; but only {mm(left.least_m)} is there for it, so glue a batten along that edge instead"
    if other is not None:
        at = bench.prop.openings.index(other)
        words += f"; it can be cut from the piece that the {opening_names(bench.prop.openings)[at]} leaves"
    yield Item(
        f"{name}: ring", "warn" if narrow else "told", words + ".", [float(x) for x in ring], "m", cutting.COMMON
    )
    if opening.shape == "rectangle":
        small = opening.corner_radius < cutting.CORNER_M
        words = f"{name}: its corners are rounded {mm(opening.corner_radius)}"
        words += f"; below {mm(cutting.CORNER_M)} they tear." if small else "."
        yield Item(f"{name}: corners", "warn" if small else "yes", words, opening.corner_radius, "m", cutting.COMMON)
    piece = [x - cutting.KERF_M for x in opening.size_m]
    size = mm(piece[0]) if opening.shape == "round" else f"{mm(piece[0])} by {mm(piece[1])}"
    words = (
        f"{name}: cut inside the line in one piece and keep it ({size}): the wall's own colour and grain for patches and glue "
        "tests, a stopper while the prop travels, a gauge for the next wall."
    )
    yield Item(f"{name}: cut-out", "told", words, piece, "m", cutting.COMMON)
