"""A move kept on the page of a packet: mark, facing, and who wants it so, as `sightline apply` reads it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sightline.scene.fields import Angle, Part, Spot, Words

MOST_NOTE = 2000


class KeptMove(Part):
    """One mark and facing that somebody tried on a packet's page and wants to keep.

    `scene` is the title of the scene that the page was made of; `date` is as typed, it is not worked out from any
    clock. All texts are somebody's own words: never to be taken for anything but text.
    """

    version: Literal["1"]
    scene: Words
    mark: Spot
    facing: Angle
    note: Annotated[str, Field(max_length=MOST_NOTE)] = ""
    initials: Annotated[str, Field(max_length=40)] = ""
    date: Annotated[str, Field(max_length=40)] = ""
