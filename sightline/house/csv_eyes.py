"""A table of eyes: `id,x_m,y_m,z_m[,kind][,weight]`, from a stranger, all its faults reported with their places."""

from __future__ import annotations

import re
from collections.abc import Iterable

import numpy as np

from sightline.errors import FileError, Place, Problem
from sightline.house.csvtable import MOST_BYTES, column_of, rows_of, text_of, unguarded
from sightline.house.faults import MOST_PROBLEMS, Faults, short
from sightline.house.places import Places
from sightline.house.seatlist import NUMBER
from sightline.scene.fields import FARTHEST_M
from sightline.scene.seats import EYE_KINDS

__all__ = ["MOST_BYTES", "MOST_PROBLEMS", "read_eyes"]

MOST_EYES = 200_000
COLUMNS = ("id", "x_m", "y_m", "z_m")
MORE_COLUMNS = ("kind", "weight")
MOST_ID = 200


def read_eyes(raw: bytes, file: str) -> Places:
    """The eyes of a table; FileError with everything that is wrong in it, up to MOST_PROBLEMS."""
    rows = rows_of(text_of(raw, file, "table of eyes"), file)
    try:
        _, header = next(rows)
    except StopIteration:
        raise FileError(
            [Problem("The table of eyes is empty; its first line names the columns: id,x_m,y_m,z_m.", Place(file))]
        ) from None
    return _Table(file, header).read(rows)


class _Table:
    """The columns of one table and what is wrong in it."""

    def __init__(self, file: str, header: list[str]):
        self.faults = Faults(file)
        names = [cell.strip().casefold() for cell in header]
        if len(names) == 1 and re.search(r"[;\t]", names[0]):
            self.faults.fail("The columns must be separated by commas, not by semicolons or tabs.", 1, 1)
        if not set(names) & set(COLUMNS):
            self.faults.fail(
                "The first line must name the columns: id,x_m,y_m,z_m and, if wanted, kind and weight.", 1, 1
            )
        for index, name in enumerate(names):
            if name not in (*COLUMNS, *MORE_COLUMNS):
                hint = f"the columns are {', '.join((*COLUMNS, *MORE_COLUMNS))}"
                self.faults.note(
                    f"'{short(name)}' is no column of a table of eyes; {hint}.", 1, column_of(header, index)
                )
            elif name in names[:index]:
                self.faults.note(f"The column '{name}' is there twice.", 1, column_of(header, index))
        for name in COLUMNS:
            if name not in names:
                self.faults.note(
                    f"The column '{name}' is missing; the first line must name id, x_m, y_m and z_m.", 1, 1
                )
        self.faults.stop()
        self.names = names

    def read(self, rows: Iterable[tuple[int, list[str]]]) -> Places:
        where = {name: index for index, name in enumerate(self.names)}
        seen: dict[str, int] = {}
        kinds: list[str] = []
        weights: list[float] = []
        points: list[tuple[float, ...]] = []
        for line, cells in rows:
            if len(cells) != len(self.names):
                self.faults.note(
                    f"This line has {len(cells)} values; the first line names {len(self.names)} columns.", line, 1
                )
                continue
            if len(seen) >= MOST_EYES:
                self.faults.fail(f"The table has more than {MOST_EYES:,} eyes.", line, 1)
            name = unguarded(cells[where["id"]].strip())
            at = column_of(cells, where["id"])
            if not name or len(name) > MOST_ID or not name.isprintable():
                self.faults.note(f"An eye's id is one line of 1 to {MOST_ID} printable characters.", line, at)
            elif name in seen:
                self.faults.note(f"The id '{short(name)}' is there twice; the first is in line {seen[name]}.", line, at)
            seen.setdefault(name, line)
            points.append(tuple(self._number(cells, where[key], line, key) for key in COLUMNS[1:]))
            kinds.append(self._kind(cells, where.get("kind"), line))
            weights.append(self._weight(cells, where.get("weight"), line))
        if not seen and not self.faults.problems:
            self.faults.note("The table names its columns but holds no eye.", 1, 1)
        self.faults.stop()
        return Places(list(seen), kinds, np.array(points, dtype=float).reshape(-1, 3), weights)

    def _number(self, cells: list[str], index: int, line: int, key: str) -> float:
        said = cells[index].strip()
        if not NUMBER.fullmatch(said):
            self.faults.note(
                f"'{short(said)}' is not a number; {key} is plain metres such as -4.25.", line, column_of(cells, index)
            )
            return 0.0
        if abs(value := float(said)) > FARTHEST_M:
            self.faults.note(
                f"{short(said)} m is too far; the most is {FARTHEST_M / 1000:g} km.", line, column_of(cells, index)
            )
        return value

    def _kind(self, cells: list[str], index: int | None, line: int) -> str:
        said = cells[index].strip() if index is not None else ""
        if said and said not in EYE_KINDS:
            self.faults.note(
                f"'{short(said)}' is no kind of eye; the kinds are {', '.join(EYE_KINDS)}.",
                line,
                column_of(cells, index or 0),
            )
        return said or "point"

    def _weight(self, cells: list[str], index: int | None, line: int) -> float:
        said = cells[index].strip() if index is not None else ""
        if not said:
            return 1.0
        if not NUMBER.fullmatch(said) or not 0 < float(said) <= 1e9:
            self.faults.note(
                f"'{short(said)}' is not a weight; it is a plain number more than 0.",
                line,
                column_of(cells, index or 0),
            )
            return 1.0
        return float(said)
