"""The repair sheet of one limb: what wears, what is in the kit, which piece is cut anew, and what holds for one show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pattern.cutlist import CutList, CutRow, GlueRow
from sightline.pattern.pattern import Pattern
from sightline.props.box import opening_names
from sightline.workshop.bench import Bench
from sightline.workshop.limbs import LimbPose, limbs_of

# A patch of foam and cloth that covers the usual tear; and how much of everything the kit holds beyond one repair of
# the longest seam. Common practice, no source.
PATCH_M = 0.10
KIT_TIMES = 2
LOG_LINES = 24
BLANK = "____________"
CHECK_AGAIN = (
    "After any repair to an opening, a mount or the limb, check again before use: the performer's arm goes through and comes out, every "
    "strap and breakaway is pulled by hand, nothing sharp is left near the performer; then look at the limb from the worst seats "
    "(sightline check, with the scene changed where the limb now is otherwise)."
)


@dataclass(frozen=True)
class Wear:
    """One place that wears: what to look for, what to pull at, and the pieces there by number."""

    name: str
    look: str
    pull: str
    pieces: tuple[int, ...] = ()


@dataclass(frozen=True)
class Damage:
    """One damage: the single piece to cut anew (None where no piece is), its sheet and pages, and both fixes."""

    what: str
    piece: int | None
    sheet: int | None
    pages: tuple[str, ...]
    quick: str
    proper: str


@dataclass(frozen=True)
class Spare:
    name: str
    quantity: str
    note: str = ""


@dataclass(frozen=True)
class RepairSheet:
    """All of it. `blanks` are lines to fill in once; `log_lines` empty lines follow at the end."""

    title: str
    limb: str
    wear: tuple[Wear, ...]
    damages: tuple[Damage, ...]
    kit: tuple[Spare, ...]
    blanks: tuple[str, ...]
    check_again: str = CHECK_AGAIN
    log_lines: int = LOG_LINES


def repair_sheet(bench: Bench, pattern: Pattern, cuts: CutList, pages: Mapping[int, tuple[str, ...]]) -> RepairSheet:
    """`pages`: on which pages of the tiles each piece is, by its number; pieces without any say no page."""
    pose = next((limb.pose for limb in limbs_of(bench) if limb.name == pattern.limb), None)
    where = _pieces_at(pattern, pose)
    return RepairSheet(
        pattern.title, pattern.limb, tuple(_wear(bench, pattern, where)), tuple(_damages(bench, cuts, where, pages)),
        tuple(_kit(bench, pattern, cuts)), _blanks(pattern),
    )  # fmt: skip


def _pieces_at(pattern: Pattern, pose: LimbPose | None) -> dict[str, int]:
    """The piece nearest to each joint of the limb; of equally near ones that with the lower number.

    Without landmarks the rings of the skin stand for the joints.
    """
    rings = pattern.skin.points
    middle = len(rings) // 2 if pattern.skin.elbow is None else pattern.skin.elbow
    at: dict[str, FloatArray] = {
        "shoulder": rings[0].mean(axis=0) if pose is None else pose.shoulder,
        "elbow": rings[middle].mean(axis=0) if pose is None else pose.elbow,
        "wrist": rings[-1].mean(axis=0) if pose is None else pose.wrist,
    }

    def off_mm(number: int, place: FloatArray) -> int:
        piece = next(p for p in pattern.pieces if p.number == number)
        return round(float(np.linalg.norm(piece.vertices - place, axis=1).min()) * 1000)

    numbers = sorted(piece.number for piece in pattern.pieces)
    return {name: min(numbers, key=lambda n, place=place: (off_mm(n, place), n)) for name, place in at.items()}  # type: ignore[misc]


def _wear(bench: Bench, pattern: Pattern, where: dict[str, int]) -> Iterator[Wear]:
    """In the order of a walk round the act: prop, hand, limb from wrist to shoulder, rig."""
    prop = bench.prop
    if prop is not None:
        yield Wear(
            "mount under the false hand", "screws tight and covered, washers not sunk in, wall not crushed or split round them",
            "hold the prop, pull the false hand straight off, then turn it: nothing gives, nothing creaks", (where["wrist"],),
        )  # fmt: skip
        for name in opening_names(prop.openings):
            yield Wear(
                f"edge of the {name}", "padding whole and glued all round, no bare or sharp edge, no tear at a corner",
                "run the back of a bare hand round it, then the arm in and out as in the show",
            )  # fmt: skip
    yield Wear("wrist", "no crack, no glue line showing under the cuff, no colour rubbed off",
               "bend the hand up and down by a finger's breadth", (where["wrist"],))  # fmt: skip
    rings = [seam.name for seam in pattern.seams if seam.kind == "ring"]
    elbow = tuple(sorted({where["elbow"], *_at_ring(pattern, rings)}))
    yield Wear("elbow seam" if rings else "elbow", "seam closed all round, no hairline, no crease in the bend",
               "bend and twist it gently, seam towards you: no gap opens", elbow)  # fmt: skip
    for seam in pattern.seams:
        if seam.kind == "lengthwise":
            yield Wear(
                f"seam '{seam.name}'",
                "closed from end to end, tape inside lies flat",
                "press both sides apart every 5 cm",
            )
    yield Wear("breakaway at the shoulder", "magnet or hook-and-loop clean, sewn or glued all round, no knot or buckle beside it",
               "pull as a grab would: it comes away at once, and holds when the prop is swung", (where["shoulder"],))  # fmt: skip
    for part in bench.scene.rig:
        if part.strap is not None:
            yield Wear(_named("strap", part.strap.name), "stitching whole, webbing not frayed or cut, buckle not bent, pad in place",
                       "hang the prop on it and let it down with a small jerk, over the floor, nobody beneath")  # fmt: skip
        if part.hook is not None:
            yield Wear(_named("hook", part.hook.name), "not bent or cracked, its screws tight and covered",
                       "pull the way the weight hangs, then lift it off as in the show")  # fmt: skip


def _named(kind: str, name: str) -> str:
    return kind if name == kind else f"{kind} '{name}'"


def _at_ring(pattern: Pattern, rings: list[str]) -> set[int]:
    return {piece.number for piece in pattern.pieces for edge in piece.edges if edge.seam in rings}


_TAPE = "Cloth tape inside if a hand gets there, else a strip across it from outside under the sleeve; colour over. Good for one show."


def _damages(
    bench: Bench, cuts: CutList, where: dict[str, int], pages: Mapping[int, tuple[str, ...]]
) -> Iterator[Damage]:
    rows = {row.number: row for row in cuts.pieces}

    def piece(what: str, row: CutRow, quick: str, proper: str) -> Damage:
        return Damage(what, row.number, row.sheet, pages.get(row.number, ()), quick, proper)

    yield piece(
        "elbow: seam open and foam torn beside it", rows[where["elbow"]], _TAPE,
        "Cut the seam clean, cut the piece anew, glue as in the assembly order, let it cure by the glue's own sheet.",
    )  # fmt: skip
    yield piece(
        "wrist: cracked or crushed", rows[where["wrist"]], "Tape round it under the cuff, a rolled strip of foam inside to fill it out.",
        "Take the hand off, cut the piece anew, fix the hand again by the mount template.",
    )  # fmt: skip
    yield piece(
        "shoulder end: torn out at the breakaway", rows[where["shoulder"]],
        "Move the breakaway 3 cm along and sew it through the foam with a cloth behind; try that it still comes away.",
        "Cut the piece anew; sew the breakaway to a cloth glued over a hand's breadth.",
    )  # fmt: skip
    for row in cuts.pieces:
        yield piece(
            f"piece {row.number} ('{row.name}'): hole, burn or crush that stays", row,
            f"A patch from the kit, chamfered at its edge, taped on; colour over. Larger than {PATCH_M * 100:.0f} cm: do not play it.",
            "Cut this piece anew and glue it in along all its seams.",
        )  # fmt: skip
    for glue in cuts.glue:
        yield Damage(f"seam '{glue.seam}' open, foam whole", None, None, (), _TAPE, _reglue(glue))
    if bench.prop is not None:
        yield Damage(
            "opening: edge bare or torn", None, None, (), "Tape the padding back on, cloth over it; nothing bare may touch an arm.",
            "New padding by the opening template; a torn wall gets a ring on both sides.",
        )  # fmt: skip
        yield Damage(
            "mount: screw loose or wall split", None, None, (), "Do not play it on one screw: a thicker washer, or leave the limb off.",
            "A plate inside over a hand's breadth, drilled by the mount template.",
        )  # fmt: skip
    if bench.scene.rig:
        yield Damage(
            "strap or hook: cut, frayed or bent", None, None, (),
            "There is none for what carries weight on a performer: change it for the spare.",
            "Sew or fit a new one; a qualified person says how it is proved, and looks at what hangs over people.",
        )  # fmt: skip


def _reglue(glue: GlueRow) -> str:
    return (
        f"Take old glue off, coat both faces ({glue.length_m * 100:.0f} cm, {glue.area_m2 * 1e4:.0f} cm2), press, cure by the glue's own "
        "sheet, tape inside."
    )


def _kit(bench: Bench, pattern: Pattern, cuts: CutList) -> Iterator[Spare]:
    """Enough to cut the largest piece once and to close the longest seam twice."""
    thick, foam = pattern.foam.thickness_m * 1000, pattern.foam.material
    largest = max(cuts.pieces, key=lambda row: (row.width_m * row.height_m, -row.number))
    size = f"{largest.width_m * 100:.0f} x {largest.height_m * 100:.0f} cm"
    yield Spare(f"{foam}, {thick:g} mm", f"1 of {size}", f"cuts any piece once; the largest is piece {largest.number}")
    yield Spare("patches of the same foam", f"2 of {PATCH_M * 100:.0f} x {PATCH_M * 100:.0f} cm", "coloured already")
    if cuts.glue:
        longest = max(cuts.glue, key=lambda row: row.length_m)
        yield Spare(
            "glue, the same as in the build", f"for {KIT_TIMES * longest.area_m2 * 1e4:.0f} cm2",
            f"'{longest.seam}' {KIT_TIMES} times; for the workshop, not for twenty minutes: it must air and cure",
        )  # fmt: skip
        yield Spare("cloth tape, skin or sleeve colour", f"{KIT_TIMES * longest.length_m:.1f} m")
    yield Spare("printed tiles of the pieces, both templates", "1 set", "or the files and a printer at hand")
    yield Spare("breakaway fastener", "1 pair")
    if bench.prop is not None:
        yield Spare("screws and broad washers", "2 of each", "and the driver for them")
        yield Spare("padding for the opening's edge", "1 round of the opening")
    for part in bench.scene.rig:
        if part.strap is not None:
            yield Spare(_named("strap", part.strap.name) + ", sewn ready", f"1, {part.strap.width * 1000:.0f} mm wide")
        if part.hook is not None:
            yield Spare(_named("hook", part.hook.name), "1")
    yield Spare("needle, thread, blunt-tipped shears, gloves", "1 of each")
    yield Spare(
        "colour, brush, painted off-cut", "1 of each", "the off-cut is the colour reference: match under show light"
    )


def _blanks(pattern: Pattern) -> tuple[str, ...]:
    return (
        f"Glue: maker and name {BLANK}{BLANK}  batch {BLANK}  opened on {BLANK}",
        f"By its own sheet: open time {BLANK}  cure before it may be bent {BLANK}  before a person wears it {BLANK}",
        f"Colour: name and number {BLANK}{BLANK}  mixed as {BLANK}{BLANK}  over primer {BLANK}",
        f"Foam: {pattern.foam.material}, {pattern.foam.thickness_m * 1000:g} mm, seller {BLANK}  batch {BLANK}  "
        f"flame test certificate {BLANK}",
    )
