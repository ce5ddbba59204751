"""What is cut and what is bought for one limb: pieces, sheets, masses, costs, and the glue of every seam."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sightline.errors import SightlineError
from sightline.pattern.joints import Joint, joints_of
from sightline.pattern.layout import Layout
from sightline.pattern.pattern import Pattern
from sightline.pattern.piece import Piece
from sightline.scene.materials import Materials, Price
from sightline.workshop.materials import Material, material

# Tape is cut with an overlap at every end and torn once. Common practice, no source.
TAPE_SPARE = 1.1
# Butt-jointed foam is coated on both faces. Common practice, no source.
GLUED_FACES = 2
# A false hand is held by two screws, so that it cannot turn (workshop/screws.py).
SCREWS = 2


@dataclass(frozen=True)
class CutRow:
    """One piece to cut. `width_m` x `height_m` is the box round it as it lies with its grain upright; `sheet` counts
    from 1 and is None before it is laid out."""

    number: int
    of: int
    name: str
    width_m: float
    height_m: float
    area_m2: float
    mass_kg: float
    sheet: int | None


@dataclass(frozen=True)
class Bought:
    """One line of the shopping list. What is None is not known: its column is left empty to fill in by hand."""

    name: str
    quantity: str
    mass_kg: float | None
    mass_how: str
    cost: float | None
    cost_how: str


@dataclass(frozen=True)
class GlueRow:
    """The glue of one seam, all its joints together: length, and area of both faces."""

    seam: str
    kind: str
    pieces: tuple[int, ...]
    length_m: float
    area_m2: float


@dataclass(frozen=True)
class CutList:
    """All of it. `currency` is the scene's, None where it says none."""

    pieces: tuple[CutRow, ...]
    bought: tuple[Bought, ...]
    glue: tuple[GlueRow, ...]
    currency: str | None
    notes: tuple[str, ...]

    @property
    def mass_kg(self) -> float:
        """Of the cut pieces together, without glue, tape, hand and cover."""
        return sum(row.mass_kg for row in self.pieces)

    @property
    def glue_m(self) -> float:
        return sum(row.length_m for row in self.glue)

    @property
    def glue_m2(self) -> float:
        return sum(row.area_m2 for row in self.glue)

    @property
    def cost(self) -> float | None:
        """Of what has a price; None where nothing has."""
        known = [row.cost for row in self.bought if row.cost is not None]
        return sum(known) if known else None


def cut_list(pattern: Pattern, layout: Layout | None, said: Materials) -> CutList:
    """Raises SightlineError for a foam of no thickness, or of a material that nobody knows."""
    foam = pattern.foam
    if not foam.thickness_m > 0:
        raise SightlineError(f"Foam of {foam.thickness_m * 1000:g} mm is none; it must be thicker than nothing.")
    try:
        sheet = material(said, foam.material)
    except KeyError:
        raise SightlineError(f"Nobody knows what '{foam.material}' weighs; add it under materials: own.") from None
    per_m2 = _per_m2(sheet, foam.thickness_m)
    sheets = {placed.number: placed.sheet for placed in layout.placed} if layout else {}
    rows = tuple(_row(piece, per_m2, sheets.get(piece.number)) for piece in pattern.pieces)
    joints = joints_of(pattern)
    kinds = {seam.name: seam.kind for seam in pattern.seams}
    glue = _glue(joints, foam.thickness_m, kinds)
    tape = sum(row.length_m for row in glue) * TAPE_SPARE
    bought = (
        _foam_row(pattern, layout, sheet, per_m2, said),
        _sundry("glue", f"for {sum(r.area_m2 for r in glue) * 1e4:.0f} cm2, both faces", None, 1, said),
        _sundry("seam tape", f"{tape:.2f} m, inside over every seam", tape, None, said),
        _sundry("screws", f"{SCREWS}, each with a broad washer", None, SCREWS, said),
        _sundry("breakaway fastener", "1 pair, magnet or hook-and-loop", None, 1, said),
    )
    weighed = f"{sheet.name} at {_density(sheet)}, {sheet.source}"
    notes = (
        f"Masses are of the foam alone ({weighed}); weigh the finished limb and write it in the scene.",
        "Glue area is seam length times foam thickness times both faces; how far a tin of glue goes is on its own sheet.",
        "An empty mass, cost or certificate is to be filled in by hand; a certificate is of the batch that was bought.",
    )
    return CutList(rows, bought, glue, said.currency, notes)


def piece_area_m2(piece: Piece) -> float:
    """Area of a flat piece, m2."""
    at = piece.flat[piece.faces]
    one, two = at[:, 1] - at[:, 0], at[:, 2] - at[:, 0]
    return float(abs((one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]).sum()) / 2)


def _row(piece: Piece, per_m2_kg: float, sheet: int | None) -> CutRow:
    width, height = np.ptp(piece.flat[piece.outline], axis=0)
    area = piece_area_m2(piece)
    return CutRow(
        piece.number, piece.of, piece.name, float(width), float(height), area, area * per_m2_kg, sheet
    )  # fmt: skip


def _per_m2(sheet: Material, thickness_m: float) -> float:
    """Mass of a square metre of the sheet, kg."""
    if sheet.per_m2_kg is not None:
        return sheet.per_m2_kg
    assert sheet.per_m3_kg is not None
    return sheet.per_m3_kg * thickness_m


def _density(sheet: Material) -> str:
    return f"{sheet.per_m3_kg:g} kg/m3" if sheet.per_m3_kg is not None else f"{sheet.per_m2_kg:g} kg/m2"


def _glue(joints: tuple[Joint, ...], thickness_m: float, kinds: Mapping[str, str]) -> tuple[GlueRow, ...]:
    """One row a seam, in the order of the pieces; `kinds` of the seams as they run on the limb."""
    out = []
    for name in dict.fromkeys(joint.seam for joint in joints):
        own = [joint for joint in joints if joint.seam == name]
        length = sum(joint.length_m for joint in own)
        pieces = tuple(sorted({number for joint in own for number in joint.pieces}))
        out.append(GlueRow(name, kinds.get(name, own[0].kind), pieces, length, length * thickness_m * GLUED_FACES))
    return tuple(out)


def _foam_row(pattern: Pattern, layout: Layout | None, sheet: Material, per_m2_kg: float, said: Materials) -> Bought:
    """The foam as it is bought: whole sheets where they are laid out, else the area of the pieces."""
    thick = f"{sheet.name}, {pattern.foam.thickness_m * 1000:g} mm"
    if layout is None:
        area = sum(piece_area_m2(piece) for piece in pattern.pieces)
        return Bought(thick, f"{area:.3f} m2, not laid out", area * per_m2_kg, "the pieces", None, "")
    stock = layout.stock
    area = layout.sheets * stock.width_m * stock.height_m
    count = f"{layout.sheets} sheet{'s' if layout.sheets != 1 else ''} of {stock.name}"
    cost, how = _cost(said.prices.get(sheet.name), layout.sheets)
    return Bought(thick, count, area * per_m2_kg, "whole sheets", cost, how)


def _sundry(name: str, quantity: str, metres: float | None, count: int | None, said: Materials) -> Bought:
    cost, how = _cost(said.prices.get(name), None, metres, count)
    return Bought(name, quantity, None, "", cost, how)


def _cost(
    price: Price | None, sheets: int | None = None, metres: float | None = None, count: int | None = None
) -> tuple[float | None, str]:
    """What so much of it costs, and how that was reckoned; None where the price is by another measure."""
    if price is None:
        return None, ""
    for amount, each, unit in (
        (sheets, price.per_sheet, "a sheet"),
        (metres, price.per_metre, "a metre"),
        (count, price.each, "each"),
    ):
        if amount is not None and each is not None:
            return amount * each, f"{amount:.4g} at {each:g} {unit}"
    return None, "its price is by another measure"
