"""A list of seats from a file of another program, told by columns: checked, turned into the venue's frame, made eyes.

Columns: `id` (or `row` and `seat`), `x`, `y`, then `z`, the height of the eye, or `floor`, that of the floor under the
seat, or both; `level`, `row`, `seat`, `kind`, `weight`, and for cameras `fov_deg` and `pixels`. A length column with
`_m` at its end is in metres; without, in the unit that the venue names.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

import numpy as np

from sightline.geometry.frame import FloatArray, about_z
from sightline.house.eyes import Camera
from sightline.house.faults import Faults, short
from sightline.house.people import EYE_HEIGHT_M
from sightline.house.places import Places
from sightline.scene.fields import FARTHEST_M
from sightline.scene.seats import EYE_KINDS
from sightline.scene.seatsource import SeatSource

LENGTHS = ("x", "y", "z", "floor")
WORDS = ("id", "level", "row", "seat", "kind")
NUMBERS = ("weight", "fov_deg", "pixels")
COLUMNS = (*WORDS, *LENGTHS, *NUMBERS)
MOST_SEATS = 200_000
MOST_NAME = 200
# Half of all seats of a real house have no neighbour so near, nor so far; with a wrong unit they have. Common practice,
# no source.
LEAST_APART_M, MOST_APART_M = 0.2, 20.0

# No underscores, no `nan` or `inf`, no hexadecimal, no digits of other scripts: only what a spreadsheet, an instrument or
# a program writes that gives every digit (2.0999999999999996).
NUMBER = re.compile(r"[+-]?(?:[0-9]{1,15}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:[eE][+-]?[0-9]{1,2})?")


@dataclass(frozen=True)
class Record:
    """One seat as written: text by column, and where it stands. `columns` are the places of the cells in their line."""

    cells: dict[str, str]
    line: int = 1
    path: str = ""
    columns: dict[str, int] = field(default_factory=dict)

    def text(self, key: str) -> str:
        return self.cells.get(key, "").strip()


def check_columns(names: list[str], source: SeatSource, faults: Faults) -> None:
    """Refuse columns that are missing, doubled in two units or without any unit. `names` as written, each once."""
    bare = [name.removesuffix("_m") if name.removesuffix("_m") in LENGTHS else name for name in names]
    if {"lon", "lat", "longitude", "latitude", "lng"} & set(names):
        faults.fail("Longitudes and latitudes place no seat; save the list in local lengths and name their unit.")
    for name in LENGTHS:
        if bare.count(name) > 1:
            faults.note(f"There are two columns for '{name}'; keep one of them.")
    if "id" not in bare and not {"row", "seat"} <= set(bare):
        faults.note("The column 'id' is missing; or name each seat by the columns 'row' and 'seat'.")
    for name in ("x", "y"):
        if name not in bare:
            faults.note(f"The column '{name}' is missing (or '{name}_m', in metres).")
    if not {"z", "floor"} & set(bare):
        faults.note(
            "Neither 'z', the height of each eye, nor 'floor', that of the floor under each seat, is there; one is needed."
        )
    plain = [name for name in names if name in LENGTHS]
    if plain and source.unit_m is None:
        faults.note(
            f"The unit of '{plain[0]}' is not known: write unit: m (or mm, cm, in, ft) beside the file's name in the "
            f"venue, or call the column '{plain[0]}_m'."
        )
    if not plain and source.unit_m is not None and source.unit != "m":
        faults.note(f"The columns are in metres by their names, but the venue says unit: {source.unit}.")
    faults.stop()


class SeatList:
    """Reads records into eyes; what is wrong goes to `faults`."""

    def __init__(self, source: SeatSource, lowest_m: float, faults: Faults, has_floor: bool):
        """`lowest_m`: the floor under which nobody sits; `has_floor`: the list says floors, so none is guessed."""
        self.source, self.lowest_m, self.faults, self.has_floor = source, lowest_m, faults, has_floor
        self.turn = about_z(source.turn)
        self.seen: dict[str, str] = {}
        self.rows: list[tuple[str, str, float, str | None, str | None, str | None, float | None, Camera | None]] = []
        self.points: list[FloatArray] = []

    def add(self, record: Record) -> None:
        if len(self.points) >= MOST_SEATS:
            self.faults.fail(f"The list has more than {MOST_SEATS:,} seats.", record.line, path=record.path)
        level = self._name(record, "level") or self.source.level
        row, seat = self._name(record, "row"), self._name(record, "seat")
        kind = self._kind(record)
        own, unit = np.array([0.0, 0.0, 0.0]), self.source.unit_m or 1.0
        for axis, key in enumerate("xy"):
            own[axis] = self._length(record, key, unit) or 0.0
        z, floor = self._length(record, "z", unit, False), self._length(record, "floor", unit, False)
        self._camera_fits(record, kind)
        raised = self.source.eye_height if self.source.eye_height and kind == self.source.eye else EYE_HEIGHT_M[kind]
        up = self.source.origin[2]
        floor_m = None if floor is None else floor + up
        if not any(record.text(key) for key in ("z", "z_m", "floor", "floor_m")):
            self._note(record, "z", "This seat has no height: neither 'z' nor 'floor' is written.")
        own[2] = z if z is not None else (floor or 0.0) + raised
        point = self.turn @ own + np.array(self.source.origin)
        if floor_m is None and not self.has_floor and kind not in ("point", "camera"):
            floor_m = float(point[2]) - raised
        name = self._id(record, level, row, seat)
        self._above_floor(record, name, float(point[2]), None if floor is None else floor_m)
        self.points.append(point)
        self.rows.append((name, kind, self._weight(record), level, row, seat, floor_m, self._camera(record)))

    def places(self) -> Places:
        """All seats; FileError when anything was wrong."""
        if not self.points and not self.faults.problems:
            self.faults.note("The list holds no seat.")
        self.faults.stop()
        points = np.array(self.points)
        refuse_wrong_unit(points, self.faults)
        ids, kinds, weights, levels, rows, seats, floors, cameras = (
            list(column) for column in zip(*self.rows, strict=True)
        )
        return Places(
            ids, kinds, points, weights, rows=rows, seats=seats, cameras=cameras, levels=levels, floors=floors,
        )  # fmt: skip

    def _note(self, record: Record, key: str, sentence: str) -> None:
        path = f"{record.path}.{key}" if record.path else ""
        self.faults.note(sentence, record.line, record.columns.get(key, 1), path)

    def _name(self, record: Record, key: str) -> str | None:
        said = record.text(key)
        if len(said) > MOST_NAME or not said.isprintable():
            self._note(record, key, f"A {key} is one line of at most {MOST_NAME} printable characters.")
            return None
        return said or None

    def _id(self, record: Record, level: str | None, row: str | None, seat: str | None) -> str:
        name = self._name(record, "id") or ""
        if not name and row and seat:
            name = f"{level} {row}{seat}" if level else f"{row}{seat}"
        where = f"line {record.line}" if not record.path else record.path
        if not name:
            self._note(record, "id", "This seat has no id, and no row and seat to make one of.")
        elif name in self.seen:
            self._note(record, "id", f"The id '{short(name)}' is there twice; the first is in {self.seen[name]}.")
        self.seen.setdefault(name, where)
        return name

    def _kind(self, record: Record) -> str:
        said = record.text("kind")
        if said and said not in EYE_KINDS:
            self._note(
                record, "kind", f"'{short(said)}' is no kind of eye; the kinds are {', '.join(EYE_KINDS)}."
            )  # fmt: skip
            return "seated"
        return said or str(self.source.eye)

    def _number(self, record: Record, key: str) -> float | None:
        said = record.text(key)
        if not said:
            return None
        if not NUMBER.fullmatch(said):
            self._note(record, key, f"'{short(said)}' is not a number; '{key}' is a plain number such as -4.25.")
            return None
        return float(said)

    def _length(self, record: Record, key: str, unit_m: float, needed: bool = True) -> float | None:
        """Metres; None where nothing is written."""
        found = key if key in record.cells else f"{key}_m"
        value = self._number(record, found)
        if value is None:
            if needed and not record.text(found):
                self._note(record, found, f"This seat has no '{key}'.")
            return None
        value *= 1.0 if found.endswith("_m") else unit_m
        if abs(value) > FARTHEST_M:
            self._note(
                record, found, f"{value:g} m is too far; the most is {FARTHEST_M / 1000:g} km. Is the unit right?"
            )
        return value

    def _weight(self, record: Record) -> float:
        value = self._number(record, "weight")
        if value is not None and not 0 < value <= 1e9:
            self._note(record, "weight", f"'{short(record.text('weight'))}' is not a weight; it is more than 0.")
        return 1.0 if value is None else value

    def _camera(self, record: Record) -> Camera | None:
        fov, pixels = self._number(record, "fov_deg"), self._number(record, "pixels")
        if fov is None and pixels is None:
            return None
        return Camera(None if fov is None else math.radians(fov), None if pixels is None else int(pixels))

    def _camera_fits(self, record: Record, kind: str) -> None:
        fov, pixels = self._number(record, "fov_deg"), self._number(record, "pixels")
        if (fov is not None or pixels is not None) and kind not in ("camera", "phone"):
            self._note(record, "kind", "Only a camera or a phone has a field of view and pixels.")
        if fov is not None and not 0 < fov < 180:
            self._note(record, "fov_deg", "A field of view is more than 0 and less than 180 deg.")
        if pixels is not None and (pixels < 1 or pixels != int(pixels)):
            self._note(record, "pixels", "Pixels are a whole number of 1 or more.")

    def _above_floor(self, record: Record, name: str, eye_m: float, floor_m: float | None) -> None:
        key = "z" if "z" in record.cells else "z_m" if "z_m" in record.cells else "floor"
        sentence = under_floor(name, eye_m, floor_m, self.lowest_m)
        if sentence:
            self._note(record, key, sentence)


def under_floor(name: str, eye_m: float, floor_m: float | None, lowest_m: float) -> str:
    """What is wrong with a seat under a floor, or nothing."""
    if floor_m is not None and eye_m <= floor_m - 1e-9:
        return (
            f"The seat '{short(name)}' is under its floor: its eye is at {eye_m:.2f} m, its floor at {floor_m:.2f} m."
        )
    bottom = eye_m if floor_m is None else floor_m
    if bottom < lowest_m - 1e-6:
        what = "its eye" if floor_m is None else "its floor"
        return (
            f"The seat '{short(name)}' is under the floor of the house: {what} is at {bottom:.2f} m, the house at "
            f"{lowest_m:.2f} m. If the house goes lower, say so beside the file: floor: {math.floor(bottom):d} m."
        )
    return ""


def refuse_wrong_unit(points: FloatArray, faults: Faults) -> None:
    """Refuse seats (n, 3), m, that cannot be in metres: half of them nearer to the next than any chair is wide, or lost."""
    from scipy.spatial import cKDTree

    if len(points) < 3:
        return
    apart = float(np.median(cKDTree(points).query(points, k=2)[0][:, 1]))
    if apart < LEAST_APART_M:
        faults.fail(
            f"Half of these seats are within {apart * 1000:.3g} mm of the next one: the unit is wrong, or these are "
            "longitudes and latitudes, which place no seat. Save the list in local lengths and name their unit."
        )
    if apart > MOST_APART_M:
        faults.fail(f"Half of these seats are {apart:,.0f} m or more from the next one: the unit is wrong.")
