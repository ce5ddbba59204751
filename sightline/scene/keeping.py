"""A kept move taken into a scene's text: mark and facing where they belong, and a record of what, why, who and when."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import yaml

from sightline.errors import SightlineError
from sightline.scene.editing import Edit, EditError, edited, quoted
from sightline.scene.kept import KeptMove
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.units import printed_angle, printed_length

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class Taken:
    """The changed text, and what changed in a sentence."""

    text: str
    words: str


def take_move(written: Written[Scene], text: str, kept: KeptMove, any_title: bool = False) -> Taken:
    """The scene's text with the move in it; comments and everything else stay to the byte.

    Raises SightlineError where the move was kept on the page of another scene (unless `any_title`), and EditError
    where the text cannot be changed by itself.
    """
    scene, blocking = written.model, written.model.blocking
    if kept.scene != scene.title and not any_title:
        raise SightlineError(
            f"This move was kept on the page of '{kept.scene}', and the scene is '{scene.title}'; say --any-title if it is "
            "meant for this one all the same."
        )
    mark = f"[{printed_length(kept.mark[0])}, {printed_length(kept.mark[1])}]"
    facing = printed_angle(math.degrees(kept.facing))
    if blocking.aim_at is not None:
        text = _aim_replaced(text, facing)
    edits = [Edit(("blocking", "mark"), mark), Edit(("blocking", "facing"), facing)]
    edits.append(Edit(("moves taken",), _record(written, kept, mark, facing), append=True))
    words = f"mark {mark}, facing {facing}"
    if blocking.beats:
        words += "; the beats are left as they are: mark and facing are where 'check' looks"
    return Taken(edited(text, edits), words)


def _record(written: Written[Scene], kept: KeptMove, mark: str, facing: str) -> str:
    """The entry of `moves taken`, on one line."""
    blocking = written.model.blocking
    entry = [f"mark: {mark}", f"facing: {facing}"]
    was = blocking.mark
    entry.append(f"was mark: [{printed_length(was[0])}, {printed_length(was[1])}]")
    if isinstance(blocking.facing, tuple):
        entry.append(f"was facing: [{', '.join(f'{x:.6g}' for x in blocking.facing)}]")
    elif blocking.facing is not None:
        entry.append(f"was facing: {printed_angle(math.degrees(blocking.facing))}")
    if blocking.aim_at is not None:
        entry.append(f"was aim at: {quoted(blocking.aim_at)}")
    entry += [
        f"{key}: {quoted(said)}"
        for key, said in (("note", kept.note), ("by", kept.initials), ("date", kept.date))
        if said.strip()
    ]
    return "{" + ", ".join(entry) + "}"


def _aim_replaced(text: str, facing: str) -> str:
    """The text with `aim at: SEAT` of the blocking made into a facing: a scene says one of the two."""
    root = yaml.compose(text, Loader=_Loader)
    inside = (
        [value for key, value in root.value if key.value == "blocking"] if isinstance(root, yaml.MappingNode) else []
    )
    if inside and isinstance(inside[0], yaml.MappingNode):
        for key, value in inside[0].value:
            if key.value == "aim at" and isinstance(value, yaml.ScalarNode) and value.style not in ("|", ">"):
                return text[: key.start_mark.index] + f"facing: {facing}" + text[value.end_mark.index :]
    raise EditError("The blocking's 'aim at' is written in a way that cannot be changed by itself; change it by hand.")
