"""Moves that were tried on a packet's page and taken into the scene by `sightline apply`: what, why, who, when."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sightline.scene.fields import Angle, Facing, Part, Spot, Words
from sightline.scene.kept import MOST_NOTE


class MoveTaken(Part):
    """A record for people to read; nothing is worked out from it. `was mark`, `was facing`: how the scene stood before."""

    mark: Spot
    facing: Angle
    was_mark: Spot | None = None
    was_facing: Facing | None = None
    was_aim_at: Words | None = None
    note: Annotated[str, Field(max_length=MOST_NOTE)] = ""
    by: Annotated[str, Field(max_length=40)] = ""
    date: Annotated[str, Field(max_length=40)] = ""
