"""Seats from a GeoJSON file: point features in local lengths, their ids, rows and kinds as properties."""

from __future__ import annotations

import json
from typing import Any

from sightline.house.csvtable import text_of
from sightline.house.faults import Faults
from sightline.house.places import Places
from sightline.house.seatlist import NUMBERS, WORDS, Record, SeatList
from sightline.scene.seatsource import SeatSource
from sightline.units import UNITS

# Names of the coordinate system that GeoJSON means by itself: longitudes and latitudes.
DEGREES = ("4326", "CRS84")


def read_geojson(raw: bytes, source: SeatSource, lowest_m: float) -> Places:
    """The seats of a feature collection in the venue's frame; FileError with everything that is wrong in it.

    A third coordinate is the height of the eye, the property `floor` that of the floor under the seat. Properties of
    other names are passed over: maps carry many.
    """
    faults = Faults(source.file)
    features = _features(raw, source, faults)
    records = [found for index, feature in enumerate(features) if (found := _record(feature, index, faults))]
    faults.stop()
    seats = SeatList(source, lowest_m, faults, any("floor" in record.cells for record in records))
    for record in records:
        seats.add(record)
    return seats.places()


def _features(raw: bytes, source: SeatSource, faults: Faults) -> list[Any]:
    def refuse(name: str) -> float:
        raise ValueError(name)

    try:
        tree = json.loads(text_of(raw, source.file, "map of seats"), parse_constant=refuse)
    except json.JSONDecodeError as error:
        faults.fail(f"The GeoJSON is broken here: {error.msg}.", error.lineno, error.colno)
    except RecursionError:
        faults.fail("The GeoJSON is nested too deeply to be a list of seats.")
    except ValueError as error:
        faults.fail(f"The GeoJSON holds '{error}', which is no number.")
    if (
        not isinstance(tree, dict)
        or tree.get("type") != "FeatureCollection"
        or not isinstance(tree.get("features"), list)
    ):
        faults.fail("A GeoJSON list of seats is a FeatureCollection of points.")
    if any(name in json.dumps(tree.get("crs")) for name in DEGREES):
        faults.fail(
            "This GeoJSON is in longitudes and latitudes, which place no seat. Save it in local lengths and name their "
            "unit beside the file's name in the venue."
        )
    said = tree.get("unit")
    if isinstance(said, str) and said in UNITS["length"] and said != source.unit:
        faults.fail(f"The file says that its unit is {said}, but the venue says unit: {source.unit}.")
    features: list[Any] = tree["features"]
    return features


def _record(feature: Any, index: int, faults: Faults) -> Record | None:
    path = f"features[{index}]"
    shape = feature.get("geometry") if isinstance(feature, dict) else None
    if not isinstance(shape, dict) or shape.get("type") != "Point":
        faults.note("A seat is a Feature whose geometry is a Point.", path=path)
        return None
    at = shape.get("coordinates")
    if not isinstance(at, list) or len(at) not in (2, 3) or not all(_is_number(value) for value in at):
        faults.note("The coordinates of a seat are two or three numbers.", path=f"{path}.geometry")
        return None
    said = feature.get("properties")
    properties = said if isinstance(said, dict) else {}
    cells = {key: _text(value) for key, value in zip("xyz", at, strict=False)}
    for key in (*WORDS, *NUMBERS, "floor"):
        value = properties.get(key)
        if value is None and key == "id":
            value = feature.get("id")
        if value is None:
            continue
        if not (_is_number(value) or isinstance(value, str)):
            faults.note(f"'{key}' is one word or number, not a list or anything else.", path=f"{path}.properties.{key}")
            continue
        cells[key] = _text(value)
    return Record(cells, 1, path)


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _text(value: Any) -> str:
    """A number to a nanometre, as the list reads them; words as they are."""
    return f"{value:.9f}" if isinstance(value, float) and abs(value) < 1e15 else str(value)
