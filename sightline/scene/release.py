"""How the performer gets out, as found by hand in the workshop."""

from __future__ import annotations

from typing import Literal

from sightline.scene.fields import Flag, Part


class Release(Part):
    """Each answer is what was tried by hand, at full size, with the performer in it. Nothing said is nothing known.

    `neck`: what goes round it, `nothing`, something with a `breakaway`, or something `fixed`.
    """

    arm_pulls_straight: Flag | None = None
    loop_tightens: Flag | None = None
    neck: Literal["nothing", "breakaway", "fixed"] | None = None
    limb_parts: Flag | None = None
    ties_part: Flag | None = None
    hard_edges_padded: Flag | None = None
    drop_clear: Flag | None = None
