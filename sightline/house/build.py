"""A venue built: eyes, covers, lines of the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover, Mesh
from sightline.house import balcony, blocks, followers, scenery, stage, standing
from sightline.house.csv_eyes import read_eyes
from sightline.house.csv_seats import read_csv
from sightline.house.dxf_seats import read_dxf
from sightline.house.eyes import Camera, Eye
from sightline.house.geojson_seats import read_geojson
from sightline.house.ground import outlines
from sightline.house.lamps import Lamp, lamp_of
from sightline.house.mirrors import Mirror, mirror_of
from sightline.house.outline import Outline, line
from sightline.house.people import SHOES_M
from sightline.house.places import Places
from sightline.scene.crowd import PLANNED_PER_M2, EyeSpot, StandingArea
from sightline.scene.seatsource import SeatSource
from sightline.scene.service import level_of
from sightline.scene.venue import Venue

MOST_EYES = standing.MOST_EYES


@dataclass(frozen=True)
class House:
    """What a venue comes to. `levels` in the order written; `notes` are assumptions that the plan must state."""

    name: str = ""
    eyes: list[Eye] = field(default_factory=list)
    scenery: list[Cover] = field(default_factory=list)
    outlines: list[Outline] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    levels: list[str] = field(default_factory=list)
    mirrors: list[Mirror] = field(default_factory=list)
    lamps: list[Lamp] = field(default_factory=list)

    @cached_property
    def positions_m(self) -> FloatArray:
        """All eyes (n, 3), in their order."""
        return np.array([eye.position_m for eye in self.eyes], dtype=float).reshape(-1, 3)


@dataclass
class _Parts:
    eyes: list[Eye] = field(default_factory=list)
    covers: list[Cover] = field(default_factory=list)
    outlines: list[Outline] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    levels: list[str] = field(default_factory=list)
    owners: dict[str, tuple[str | int, ...]] = field(default_factory=dict)


def build(venue: Venue, *, read_file: Callable[[str], bytes], read_mesh: Callable[[str], Mesh]) -> House:
    """Work out a venue. `read_file` and `read_mesh` are given names as written in it.

    Raises Misfit, with the key path within the venue, for what cannot be built; FileError for faults in a table.
    No eyes at all is no error here.
    """
    _check_count(venue)
    parts = _Parts()
    parts.covers += stage.covers(venue.stage)
    parts.outlines += stage.outlines(venue.stage)
    _add_seats(venue, parts)
    _add_lists(venue, parts, read_file)
    _add_standing(venue, parts)
    _add_single(venue, parts, read_file)
    names = {cover.name for cover in parts.covers}
    for index, piece in enumerate(venue.scenery):
        with _inside("scenery", index):
            for cover, outline in scenery.pieces(piece, read_mesh, parts.notes.append):
                if cover.name in names:
                    raise Misfit(
                        ("name",), f"There is already scenery named '{cover.name}'; every piece needs its own name."
                    )
                names.add(cover.name)
                parts.covers.append(cover)
                parts.outlines.append(outline)
    mirrors, lamps = _mirrors(venue, parts, names), _lamps(venue, parts)
    for number, wall in enumerate(venue.walls, 1):
        parts.outlines.append(line(f"wall {number}", "wall", wall))
    for kind, areas in (("keep clear", venue.keep_clear), ("exit", venue.exits), ("edge", venue.edges)):
        for place in areas:
            parts.outlines += outlines(place, place.name, kind)
    for drawn in venue.drawn:
        parts.outlines += outlines(drawn, drawn.name, drawn.kind)
    parts.notes += _eye_notes(parts.eyes)
    return House(venue.name, parts.eyes, parts.covers, parts.outlines, parts.notes, parts.levels, mirrors, lamps)


@contextmanager
def _inside(*path: str | int) -> Iterator[None]:
    """Misfits raised within belong under this path."""
    try:
        yield
    except Misfit as error:
        raise Misfit((*path, *error.path), error.sentence) from None


def _check_count(venue: Venue) -> None:
    """Refuse before anything is laid out what would be too many eyes."""
    total = 0.0
    sources = [("seats", i, float(block.most_seats)) for i, block in enumerate(venue.seats)]
    sources += [("standing", i, standing.most_eyes(crowd)) for i, crowd in enumerate(venue.standing)]
    sources += [("followers", i, float(crowd.count)) for i, crowd in enumerate(venue.followers)]
    for key, index, count in sources:
        total += count
        if total > MOST_EYES:
            raise Misfit(
                (key, index), f"With this the venue would have about {total:,.0f} eyes; the most is {MOST_EYES:,}."
            )


def _add(parts: _Parts, places: Places, venue: Venue, path: tuple[str | int, ...]) -> None:
    """Take eyes in, each id once."""
    for name in places.ids:
        if name in parts.owners:
            first = parts.owners[name]
            where = f"{first[0]}[{first[1]}]" if len(first) > 1 else str(first[0])
            raise Misfit(
                (), f"Two eyes are called '{name}'; the first comes from {where}. Give one of them another name."
            )
        parts.owners[name] = path
    parts.eyes += places.eyes(venue.looks_at)
    if len(parts.eyes) > MOST_EYES:
        raise Misfit((), f"The venue has more than {MOST_EYES:,} eyes.")
    parts.levels += [level for level in places.all_levels() if level not in parts.levels]


def _add_seats(venue: Venue, parts: _Parts) -> None:
    edge = stage.outline_m(venue.stage)
    for index, written in enumerate(venue.seats):
        with _inside("seats", index):
            block = blocks.work_out(written, venue.stage.height, edge)
            _add(parts, blocks.eyes_of(block), venue, ("seats", index))
            parts.covers += balcony.covers(block)
            parts.outlines += blocks.outlines_of(block) + balcony.outlines(block)
        if written.c_value is not None:
            last = block.floors_m[-1] - block.floors_m[0]
            clearance = f"a C-value of {written.c_value * 1000:.0f} mm"
            parts.notes.append(
                f"Row heights of '{written.block}' are solved for {clearance} (borrowed "
                f"from stadiums, no standard asks it of a theatre); the last row is {last:.2f} m above the first."
            )


def _add_lists(venue: Venue, parts: _Parts, read_file: Callable[[str], bytes]) -> None:
    """Seats from files of other programs."""
    for index, source in enumerate(venue.seats_from):
        with _inside("seats from", index):
            lowest = source.floor if source.floor is not None else -venue.stage.height
            places = _listed(source, read_file(source.file), lowest, parts.notes.append)
            _add(parts, places, venue, ("seats from", index))
        parts.notes.append(
            f"{len(places.ids)} seats come from '{source.file}' as they stand there; nobody measured them here."
        )


def _listed(source: SeatSource, raw: bytes, lowest_m: float, note: Callable[[str], object]) -> Places:
    if source.csv is not None:
        return read_csv(raw, source, lowest_m)
    if source.geojson is not None:
        return read_geojson(raw, source, lowest_m)
    return read_dxf(raw, source, lowest_m, note)


def _add_standing(venue: Venue, parts: _Parts) -> None:
    for index, crowd in enumerate(venue.standing):
        with _inside("standing", index):
            _add(parts, standing.eyes_of(crowd), venue, ("standing", index))
        for ground in standing.grounds(crowd):
            parts.outlines += outlines(ground, crowd.area, "standing area")
        parts.notes += _crowd_notes(crowd)
    for index, follow in enumerate(venue.followers):
        with _inside("followers", index):
            _add(parts, followers.eyes_of(follow), venue, ("followers", index))
        parts.outlines.append(line(follow.followers, "standing area", follow.route))


def _crowd_notes(crowd: StandingArea) -> list[str]:
    out = []
    if not standing.in_file(crowd) and crowd.per_m2 > PLANNED_PER_M2 + 1e-9:
        out.append(
            f"'{crowd.area}' is planned at {crowd.per_m2:.1f} people per square metre; HSG195 plans "
            f"{PLANNED_PER_M2:g}. The venue decides what is allowed."
        )
    if crowd.service is not None:
        out.append(
            f"'{crowd.area}' stands at {1 / crowd.per_m2:.2f} m2 for each person, the crowded end of {crowd.service}; "
            f"as a queue that is Fruin's level {level_of('fruin queue', 1 / crowd.per_m2)} (queue levels from memory)."
        )
    if crowd.sampled:
        out.append(
            f"The people of '{crowd.area}' are drawn by chance (seed {crowd.seed}): statures by ANSUR II and the CDC growth "
            "charts of 2000. Another draw gives another result; ask with --draws how much."
        )
    if crowd.closed_behind:
        out.append(f"'{crowd.area}' has closed behind the act by {crowd.closed_behind * 100:.0f} % of its open part.")
    return out


def _add_single(venue: Venue, parts: _Parts, read_file: Callable[[str], bytes]) -> None:
    for index, spot in enumerate(venue.eyes):
        with _inside("eyes", index):
            places = read_eyes(read_file(spot.csv), spot.csv) if spot.csv is not None else _single(spot)
            _add(parts, places, venue, ("eyes", index))


def _single(spot: EyeSpot) -> Places:
    assert spot.id is not None
    assert spot.at is not None
    known = spot.field_of_view is not None or spot.pixels is not None
    camera = Camera(spot.field_of_view, spot.pixels) if known else None
    return Places([spot.id], [str(spot.kind)], np.array([spot.at]), [spot.weight], cameras=[camera])


def _mirrors(venue: Venue, parts: _Parts, names: set[str]) -> list[Mirror]:
    """The mirrors, each a cover as well; `names` are those of the covers so far."""
    found = [mirror_of(written) for written in venue.mirrors]
    for index, mirror in enumerate(found):
        if mirror.name in names:
            sentence = f"There is already scenery named '{mirror.name}'; every mirror needs its own name."
            raise Misfit(("mirrors", index, "name"), sentence)
        names.add(mirror.name)
        parts.covers.append(mirror.cover())
        parts.outlines.append(mirror.outline())
    return found


def _lamps(venue: Venue, parts: _Parts) -> list[Lamp]:
    found = [lamp_of(written) for written in venue.lamps]
    for index, lamp in enumerate(found):
        if any(other.name == lamp.name for other in found[:index]):
            raise Misfit(("lamps", index, "name"), f"There is already a lamp named '{lamp.name}'; give each its own.")
        parts.outlines.append(lamp.outline())
    return found


def _eye_notes(eyes: list[Eye]) -> list[str]:
    kinds = {eye.kind for eye in eyes if eye.floor_m is not None}
    said = {
        "seated": "Seated eyes are 1.12 m up unless the venue says otherwise (Long; Theatre Catalog 1947).",
        "standing": f"Standing eyes follow ANSUR II, half women and half men, plus {SHOES_M * 1000:.0f} mm of shoes.",
        "child": "Children's eyes are 1.01 to 1.47 m up (about 5 to 12 years, from tables seen at second hand).",
        "floor child": "Children on the floor have their eyes 0.65 to 0.75 m up (from memory).",
        "wheelchair": "Eyes in a wheelchair are 1.205 m above their floor (US Justice Department, mean).",
        "phone": "Raised phones are 1.9 to 2.3 m up (from memory) and stand for their holders' own eyes.",
    }
    return [sentence for kind, sentence in said.items() if kind in kinds]
