"""A whole pattern: the skin, its seams, the pieces, and what the foam is taken to do."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from sightline.geometry.frame import FloatArray
from sightline.pattern.piece import Piece
from sightline.pattern.tube import Tube


@dataclass(frozen=True)
class Foam:
    """The sheet the pieces are cut from. `limit` is the strain it takes without a crease, as a share; `neutral` where
    in its thickness length is kept, 0 at the inside and 1 at the outside.

    `skin` says which face of the foam is the limb's surface of the scene: its `outside` or its `inside`.
    """

    material: str
    thickness_m: float
    skin: Literal["outside", "inside"]
    neutral: float
    ease_m: float
    limit: float


@dataclass(frozen=True)
class SeamLine:
    """A seam or dart on the limb: `share` (k,) along and `around_rad` (k,) round it, `points` (k, 3) m on the skin as it
    shows (the foam's outside)."""

    name: str
    kind: Literal["lengthwise", "ring", "dart"]
    share: FloatArray
    around_rad: FloatArray
    points: FloatArray


@dataclass(frozen=True)
class Pattern:
    """All that is cut for one limb."""

    title: str
    limb: str
    foam: Foam
    skin: Tube
    seams: tuple[SeamLine, ...]
    pieces: tuple[Piece, ...]
    assumptions: tuple[str, ...] = field(default=())
    not_checked: tuple[str, ...] = field(default=())
