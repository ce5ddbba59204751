"""The front, the rail and the underside of a raised block of seats."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.blocks import Block
from sightline.house.outline import Outline, line
from sightline.house.solids import sheet, strip

_STEP_M = 0.5


def _line(block: Block, behind_front_m: float) -> FloatArray:
    """A line (n, 2) along the block so far behind its front face, right end first: the front lies on its right."""
    balcony = block.written.balcony
    assert balcony is not None
    row = (behind_front_m - balcony.front) / block.written.row_spacing
    if block.radius_m is None:
        half = max(block.half_widths_m()) + balcony.overhang
        return block.along(row, np.array([half, -half]))
    # The ends of all lines lie on two spokes, so that the front and the rows end together.
    radii = block.radius_m + np.arange(block.written.rows) * block.written.row_spacing
    reach = min(float(np.max((np.array(block.half_widths_m()) + balcony.overhang) / radii)), np.pi)
    radius = block.radius_m + row * block.written.row_spacing
    return block.along(row, np.linspace(reach, -reach, max(5, int(2 * reach * radii[-1] / _STEP_M) + 1)) * radius)


def covers(block: Block) -> list[Cover]:
    """Fascia, rail and underside as covers; none for a block without a balcony."""
    balcony = block.written.balcony
    if balcony is None:
        return []
    name, floor = block.written.block, float(block.floors_m[0])
    face = _line(block, 0.0)
    out = []
    low, top = floor - balcony.depth, floor + balcony.fascia
    out.append(Cover(f"{name} fascia", strip(face, _line(block, balcony.thickness), low, top)))
    if balcony.rail is not None:
        bar = strip(
            face,
            _line(block, balcony.rail_thickness),
            floor + balcony.rail - balcony.rail_thickness,
            floor + balcony.rail,
        )
        out.append(Cover(f"{name} rail", bar))
    out.append(Cover(f"{name} underside", _underside(block, low)))
    return out


def _underside(block: Block, low_m: float) -> Mesh:
    balcony, spacing = block.written.balcony, block.written.row_spacing
    assert balcony is not None
    behind = [0.0, *(balcony.front + row * spacing for row in range(block.written.rows + 1))]
    drops = [0.0, *(block.floors_m - block.floors_m[0]), block.floors_m[-1] - block.floors_m[0]]
    lines = []
    for back, rise in zip(behind, drops, strict=True):
        points = _line(block, back)
        lines.append(np.column_stack([points, np.full(len(points), low_m + rise)]))
    return sheet(lines)


def outlines(block: Block) -> list[Outline]:
    if block.written.balcony is None:
        return []
    return [line(block.written.block, "balcony front", _line(block, 0.0))]
