"""The as-built sheet ready to fill in: every size with its plan, and a line for each place the mock-up is looked at from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sightline.blocking.notation import distance
from sightline.units import printed_length
from sightline.workshop.asbuiltedits import plain
from sightline.workshop.asbuiltsize import Size
from sightline.workshop.roomsheet import RoomSheet, shows
from sightline.workshop.roomspot import Spot
from sightline.workshop.roomtable import ahead_words, side_words

HEAD = """\
# Measure what was built, and write it after 'measured:' with its unit: 46.5 cm, 465 mm, 18 1/4 in, 75 deg.
# Where the tape is not sure, a range: 46-47 cm, or about 46 cm. Where it cannot be measured: unknown. Blank: not measured.
# Leave 'planned:' as it is: it tells whether the scene has changed since.
# Then:  sightline compare {scene} --as-built {sheet}
"""
TICKS = """\
# What was seen, the performer making every move of the puppet. After 'saw:' yes if anything secret showed, no if nothing
# did (not whether it differs from what is expected), unknown if somebody looked and is not sure, which counts as yes;
# blank: nobody looked. After 'where:' what it was, and past which edge. 'camera' is its place from the mark: left, back
# (negative is ahead), up; take it away where somebody looked from the seat itself. Any seat may be added, by its id.
"""
# Where the words on how to measure begin.
COMMENT_AT = 66


def sheet_text(title: str, sizes: Sequence[Size], room: RoomSheet, scene: str, sheet: str) -> str:
    """The sheet as the text of a file."""
    return "\n".join(_lines(title, sizes, room, scene, sheet)) + "\n"


def _lines(title: str, sizes: Sequence[Size], room: RoomSheet, scene: str, sheet: str) -> Iterator[str]:
    yield f"# As built: {title}"
    yield HEAD.format(scene=scene, sheet=sheet).rstrip()
    yield "version: 1"
    yield f"as built: {plain(title)}"
    yield "by:"
    yield "date:"
    yield ""
    yield "sizes:"
    group = None
    for size in sizes:
        if size.group != group:
            group = size.group
            yield f"  # {group}"
        line = f"  {_key(size.key)}: {{planned: {plain(size.said)}, measured: }}"
        yield f"{line:<{COMMENT_AT}}  # {size.how}"
    yield ""
    yield TICKS.rstrip()
    yield "ticks:"
    for spot in room.spots:
        yield f"  # {_place(spot)}"
        yield f"  {plain(spot.eye)}:"
        if spot.camera_m is not None:
            yield f"    camera: [{', '.join(printed_length(float(x)) for x in spot.camera_m)}]"
        yield from ("    saw:", "    where:")


def _key(key: str) -> str:
    """A key of the sheet: square brackets within it are plain outside of braces."""
    return key if plain(key.replace("[", "(").replace("]", ")"))[:1] != '"' else plain(key)


def _place(spot: Spot) -> str:
    """Which line of the mock-up's sheet this is, and what is expected there."""
    chosen = f"{spot.number}, {spot.chosen}"
    if spot.camera_m is None:
        return f"{chosen}: cannot be tried in the room ({spot.why_not}); only from the seat itself"
    x, y, z = (float(v) for v in spot.camera_m)
    return f"{chosen}; camera {ahead_words(y)}, {side_words(x)}, {distance(z)} up; expected: {shows(spot.predicted)}"
