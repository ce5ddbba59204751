"""Seats from a DXF plan: the inserts, points or circles that the venue says are seats."""

from __future__ import annotations

import io
import logging
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

import numpy as np

from sightline.errors import Misfit, SightlineError
from sightline.geometry.frame import FloatArray, about_z
from sightline.house.blocks import row_labels, seat_numbers
from sightline.house.faults import Faults
from sightline.house.people import EYE_HEIGHT_M
from sightline.house.places import Places
from sightline.house.seatlist import MOST_NAME, MOST_SEATS, refuse_wrong_unit, under_floor
from sightline.scene.fields import FARTHEST_M
from sightline.scene.seatsource import PlanBlock, SeatSource

# $INSUNITS of the DXF reference: the unit of the drawing, as metres. 0 is "unitless".
INSUNITS_M = {1: 0.0254, 2: 0.3048, 4: 0.001, 5: 0.01, 6: 1.0, 10: 0.9144}
# Rows nearer than this to each other are one: least row spacing less stagger. Common practice, no source.
ROW_APART_M = 0.3
MOST_DEPTH = 4
# Names of blocks that a note lists, the rest are counted.
MOST_TOLD = 3
ANONYMOUS = "dynamic or anonymous blocks"
# A layer, and the block inserted on it or None for a point or circle; both casefolded.
_What = tuple[str, str | None]
# Things of the plan itself, and those that stand in blocks and grids of blocks: a small file may hold 10^12 of these.
# Both are counted over all blocks of the venue; at 2 and 10-40 us each (measured) that is some seconds.
MOST_ENTITIES, MOST_OPENED = 2_000_000, 200_000


@dataclass
class _Seat:
    """A seat where the plan has it, m in the venue's frame; words of its attributes."""

    at_m: FloatArray
    said: dict[str, str] = field(default_factory=dict)


@dataclass
class _Search:
    """One walk through the plan: for `wanted`, where `taken` is what any block of the venue takes for a seat.

    `count` goes on from block to block of the venue: what costs time is how many are looked at in all. `too_deep` is a
    block that was not opened.
    """

    wanted: _What
    taken: set[_What]
    count: list[int]
    key: tuple[str | int, ...]
    too_deep: str | None = None


def read_dxf(raw: bytes, source: SeatSource, lowest_m: float, note: Callable[[str], object] = str) -> Places:
    """The seats of a plan in the venue's frame. Misfit, with the key path within the source, for what does not fit it.

    `note` is told of inserts on a layer of seats that were not taken for any.
    """
    plan = _plan(raw, source)
    unit = source.unit_m or INSUNITS_M.get(int(plan.header.get("$INSUNITS", 0)))
    if unit is None:
        raise Misfit(("dxf",), "The plan does not say its unit; write it beside the file's name: unit: mm.")
    count = [0, 0]
    # By layer, so that several blocks of one layer tell of it once.
    passed: dict[str, Counter[str]] = {}
    parts = [
        _block(plan, mapping, index, unit, source, lowest_m, count, passed)
        for index, mapping in enumerate(source.blocks)
    ]
    points = np.concatenate([part.positions_m for part in parts])
    ids = [name for part in parts for name in part.ids]
    twins = [name for name, count in Counter(ids).items() if count > 1]
    if twins:
        raise Misfit(
            ("blocks",),
            f"Two seats of the plan are called '{min(twins)}'; give their blocks different names, or their rows.",
        )
    refuse_wrong_unit(points, Faults(source.file))
    for layer, names in passed.items():
        if names:
            note(_not_taken(names, layer, source.file))
    return Places(
        ids,
        [kind for part in parts for kind in part.kinds],
        points,
        [weight for part in parts for weight in part.weights],
        rows=[row for part in parts for row in part.rows or []],
        seats=[seat for part in parts for seat in part.seats or []],
        levels=[part.level for part in parts for _ in part.ids],
        floors_m=np.concatenate([part.floors_m for part in parts if part.floors_m is not None]),
    )


def _plan(raw: bytes, source: SeatSource) -> Any:
    from ezdxf import recover

    # It tells the terminal what it mends, a stranger's characters among it.
    said, logger = io.StringIO(), logging.getLogger("ezdxf")
    handler, passes_on = logging.StreamHandler(said), logger.propagate
    logger.addHandler(handler)
    logger.propagate = False
    try:
        plan, _ = recover.read(io.BytesIO(raw))
        plan.modelspace()
    except Exception as error:
        # Readers of a foreign format fail in any way they like; all of it means the same to the user.
        raise Misfit(("dxf",), f"'{source.file}' cannot be read as a DXF plan ({type(error).__name__}).") from error
    finally:
        logger.removeHandler(handler)
        logger.propagate = passes_on
    if "invalid floating point value" in said.getvalue():
        # What it guesses then may be where a seat is.
        raise Misfit(("dxf",), f"'{source.file}' is damaged: it holds a number that cannot be read. Save it again.")
    return plan


def _block(
    plan: Any, mapping: PlanBlock, index: int, unit_m: float, source: SeatSource, lowest_m: float, count: list[int],
    passed: dict[str, Counter[str]],
) -> Places:  # fmt: skip
    key = ("blocks", index)
    layers = [layer.dxf.name for layer in plan.layers]
    if mapping.layer.casefold() not in {name.casefold() for name in layers}:
        raise Misfit((*key, "layer"), f"The plan has no layer '{mapping.layer}'{_near(mapping.layer, layers)}")
    try:
        search = _Search(_what(mapping), {_what(other) for other in source.blocks}, count, key)
        names: Counter[str] = Counter()
        found = _found(plan, mapping, unit_m, source, search, names)
    except SightlineError:
        raise
    except Exception as error:
        # Things of unknown kinds have not even a layer.
        raise Misfit(("dxf",), f"'{source.file}' cannot be read as a DXF plan ({type(error).__name__}).") from error
    if mapping.block is not None:
        layer = next(name for name in layers if name.casefold() == mapping.layer.casefold())
        # One walk may open what another does not; what both see is the same.
        passed[layer] = passed.get(layer, Counter()) | names
    if not found:
        inserted = sorted({name for name in (b.name for b in plan.blocks) if not name.startswith(("*", "_"))})
        if mapping.block is not None and mapping.block.casefold() not in {name.casefold() for name in inserted}:
            raise Misfit((*key, "block"), f"The plan has no block '{mapping.block}'{_near(mapping.block, inserted)}")
        what = f"insert of '{mapping.block}'" if mapping.block is not None else "point or circle"
        raise Misfit(key, f"There is no {what} on the layer '{mapping.layer}' of the plan.")
    _name_rows(found, mapping, key)
    return _places(found, mapping, source, lowest_m, key)


def _near(name: str, known: list[str]) -> str:
    close = get_close_matches(name, known, n=1)
    shown = ", ".join(known[:12]) or "none"
    return f"; did you mean '{close[0]}'?" if close else f"; there are: {shown}."


def _what(mapping: PlanBlock) -> _What:
    return mapping.layer.casefold(), mapping.block.casefold() if mapping.block is not None else None


def _not_taken(names: Counter[str], layer: str, file: str) -> str:
    """What to say of inserts on a layer of seats that are none: how many of which blocks."""
    named = Counter({name: number for name, number in names.items() if not name.startswith("*")})
    told = [f"{number} of '{name[:MOST_NAME]}'" for name, number in named.most_common(MOST_TOLD)]
    if others := named.most_common()[MOST_TOLD:]:
        told.append(
            f"{sum(number for _, number in others)} of {len(others)} other block{'s' if len(others) > 1 else ''}"
        )
    if anonymous := names.total() - named.total():
        told.append(f"{anonymous} of {ANONYMOUS}")
    count = "1 insert" if names.total() == 1 else f"{names.total()} inserts"
    return (
        f"{count} on the layer '{layer}' of '{file}' {'was' if names.total() == 1 else 'were'} not taken for seats, "
        f"as 'block' names other ones: {', '.join(told)}. If people sit there, their eyes are missing."
    )


def _found(
    plan: Any, mapping: PlanBlock, unit_m: float, source: SeatSource, search: _Search, passed: Counter[str]
) -> list[_Seat]:  # fmt: skip
    turn, origin, key = about_z(source.turn), np.array(source.origin), search.key
    out = []
    for entity, what in _seats(plan.modelspace(), search, None, 0, passed):
        if what != search.wanted:
            continue
        kind = entity.dxftype()
        if kind == "INSERT":
            raw = entity.ocs().to_wcs(entity.dxf.insert)
        else:
            raw = entity.dxf.location if kind == "POINT" else entity.ocs().to_wcs(entity.dxf.center)
        at = turn @ (np.array([raw[0], raw[1], raw[2]], dtype=float) * unit_m) + origin
        if not np.all(np.isfinite(at)) or np.abs(at).max() > FARTHEST_M:
            raise Misfit(key, f"A seat of the plan is farther than {FARTHEST_M / 1000:g} km away. Is the unit right?")
        said = {a.dxf.tag.upper(): str(a.dxf.text).strip() for a in entity.attribs} if kind == "INSERT" else {}
        out.append(_Seat(at, said))
        if len(out) > MOST_SEATS:
            raise Misfit(key, f"The plan has more than {MOST_SEATS:,} seats here.")
    if search.too_deep is not None:
        # Told at the end: of a plan that is too large as well, that is the better answer.
        raise Misfit(
            key,
            f"The plan has blocks nested more than {MOST_DEPTH} deep, the innermost of them unread "
            f"('{search.too_deep[:MOST_NAME]}'), and seats may be in there; explode the outer ones or save the seats alone.",
        )
    return out


def _seats(
    space: Any, search: _Search, holder: str | None, depth: int, passed: Counter[str]
) -> Iterator[tuple[Any, _What]]:  # fmt: skip
    """What any block of the venue takes for a seat, inserts of other blocks than the wanted opened, as a row of seats is
    often a block of its own.

    `holder` is the layer of the insert that holds `space`. `passed` counts, by block, the inserts on the wanted layer
    that are no seats and hold none; what such an insert holds is a part of it and not counted.
    """
    for entity in space:
        _count(search.count, depth > 0, search.key)
        layer = entity.dxf.layer.casefold()
        if holder is not None and layer == "0":
            # By the DXF reference, what a block has on layer 0 lies on the layer that the block is inserted on.
            layer = holder
        if entity.dxftype() != "INSERT":
            if entity.dxftype() in ("POINT", "CIRCLE") and (layer, None) in search.taken:
                yield entity, (layer, None)
            continue
        for single in entity.multi_insert() if entity.mcount > 1 else [entity]:
            # One insert may stand for a grid of any size, of a block that holds nothing.
            _count(search.count, True, search.key)
            name = single.dxf.name
            what = (layer, name.casefold())
            if what in search.taken:
                yield single, what
            if name.casefold() == search.wanted[1]:
                continue
            if depth == MOST_DEPTH:
                search.too_deep = name
                continue
            held, inner = what in search.taken, Counter[str]()
            for seat in _seats(single.virtual_entities(), search, layer, depth + 1, inner):
                held = True
                yield seat
            if layer == search.wanted[0] and not held:
                passed[name] += 1
            elif what not in search.taken:
                passed.update(inner)


def _count(count: list[int], opened: bool, key: tuple[str | int, ...]) -> None:
    count[opened] += 1
    if count[0] > MOST_ENTITIES or count[1] > MOST_OPENED:
        most = f"{MOST_OPENED:,} things inside its blocks" if opened else f"{MOST_ENTITIES:,} things"
        raise Misfit(key, f"The plan has more than {most} to look at; save the seats alone.")


def _name_rows(found: list[_Seat], mapping: PlanBlock, key: tuple[str | int, ...]) -> None:
    """Give row and seat to those whose attributes do not: all of them or none."""
    row_tag, seat_tag = mapping.row_tag.upper(), mapping.seat_tag.upper()
    named = [bool(seat.said.get(row_tag) and seat.said.get(seat_tag)) for seat in found]
    if all(named):
        return
    if any(named):
        raise Misfit(
            key,
            f"{named.count(False)} of the {len(named)} seats have no attributes {row_tag} and {seat_tag}, the others do.",
        )
    at = np.array([seat.at_m[:2] for seat in found])
    outward = np.array([np.sin(mapping.bearing), -np.cos(mapping.bearing)])
    rightward = np.array([-outward[1], outward[0]])
    if mapping.centre is None:
        back, across = at @ outward, at @ rightward
    else:
        from_centre = at - np.array(mapping.centre)
        back = np.linalg.norm(from_centre, axis=1)
        across = np.arctan2(from_centre @ rightward, from_centre @ outward)
    order = np.argsort(back, kind="stable")
    rows = np.zeros(len(found), dtype=int)
    rows[order] = np.concatenate([[0], np.cumsum(np.diff(back[order]) > ROW_APART_M)])
    labels = row_labels(mapping.letters, int(rows.max()) + 1, mapping.skip_letters)
    for row, label in enumerate(labels):
        members = np.flatnonzero(rows == row)
        members = members[np.argsort(across[members], kind="stable")]
        numbers = seat_numbers(len(members), mapping.numbers_from, mapping.first_number)
        for member, number in zip(members, numbers, strict=True):
            found[member].said |= {row_tag: label, seat_tag: number}


def _places(
    found: list[_Seat], mapping: PlanBlock, source: SeatSource, lowest_m: float, key: tuple[str | int, ...]
) -> Places:  # fmt: skip
    tags = [tag.upper() for tag in (mapping.row_tag, mapping.seat_tag, mapping.id_tag)]
    rows, seats, given = ([seat.said.get(tag, "") for seat in found] for tag in tags)
    ids = [own or f"{mapping.called} {row}{seat}" for own, row, seat in zip(given, rows, seats, strict=True)]
    for name in (*ids, *rows, *seats):
        if len(name) > MOST_NAME or not name.isprintable():
            raise Misfit(key, f"A name in the plan is longer than {MOST_NAME} characters or not printable.")
    labels = list(dict.fromkeys(rows))
    if mapping.floor is not None:
        # Rows count from the front, which for named rows is the one that lies nearest the stage.
        fronts = _fronts(found, rows, mapping)
        labels = sorted(labels, key=fronts.__getitem__)
        floor_of = dict(zip(labels, _floors(mapping, len(labels), key), strict=True))
        floor = np.array([floor_of[row] for row in rows])
    else:
        floor = np.array([seat.at_m[2] for seat in found])
    chairs = set(mapping.wheelchair)
    missing = chairs - {row + seat for row, seat in zip(rows, seats, strict=True)}
    if missing:
        raise Misfit((*key, "wheelchair"), f"There is no seat {min(missing)} among these seats of the plan.")
    kinds = ["wheelchair" if row + seat in chairs else str(mapping.eye) for row, seat in zip(rows, seats, strict=True)]
    up = np.array([
        mapping.eye_height if mapping.eye_height is not None and kind == mapping.eye else EYE_HEIGHT_M[kind]
        for kind in kinds
    ])  # fmt: skip
    points = np.array([seat.at_m for seat in found])
    points[:, 2] = floor + up
    for name, eye_m, floor_m in zip(ids, points[:, 2], floor, strict=True):
        if sentence := under_floor(name, float(eye_m), float(floor_m), lowest_m):
            raise Misfit(key, sentence)
    return Places(ids, kinds, points, [mapping.weight] * len(ids), mapping.level_name, rows, seats, floor)


def _fronts(found: list[_Seat], rows: list[str], mapping: PlanBlock) -> dict[str, float]:
    """How far from the stage each row lies, m: the mean of its seats."""
    at = np.array([seat.at_m[:2] for seat in found])
    if mapping.centre is not None:
        far = np.linalg.norm(at - np.array(mapping.centre), axis=1)
    else:
        far = at @ np.array([np.sin(mapping.bearing), -np.cos(mapping.bearing)])
    members: dict[str, list[float]] = {}
    for row, value in zip(rows, far.tolist(), strict=True):
        members.setdefault(row, []).append(value)
    return {row: float(np.mean(values)) for row, values in members.items()}


def _floors(mapping: PlanBlock, count: int, key: tuple[str | int, ...]) -> list[float]:
    assert mapping.floor is not None
    if mapping.steps is not None:
        if len(mapping.steps) != count - 1:
            raise Misfit(
                (*key, "steps"),
                f"'steps' needs one height between each two rows, {count - 1} for these {count}; it lists {len(mapping.steps)}.",
            )
        return [mapping.floor + float(rise) for rise in np.cumsum([0.0, *mapping.steps])]
    return [mapping.floor + row * (mapping.rise or 0.0) for row in range(count)]
