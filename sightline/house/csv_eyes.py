"""A table of eyes: `id,x_m,y_m,z_m[,kind][,weight]`, from a stranger, all its faults reported with their places."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator

import numpy as np

from sightline.errors import FileError, Place, Problem
from sightline.house.places import Places
from sightline.scene.fields import FARTHEST_M
from sightline.scene.seats import EYE_KINDS

MOST_BYTES = 20_000_000
MOST_EYES = 200_000
MOST_PROBLEMS = 20
COLUMNS = ("id", "x_m", "y_m", "z_m")
MORE_COLUMNS = ("kind", "weight")
MOST_ID = 200

# No underscores, no `nan` or `inf`, no hexadecimal: only what a spreadsheet or an instrument writes.
_NUMBER = re.compile(r"[+-]?(?:\d{1,15}(?:\.\d{0,15})?|\.\d{1,15})(?:[eE][+-]?\d{1,2})?")


def read_eyes(raw: bytes, file: str) -> Places:
    """The eyes of a table; FileError with everything that is wrong in it, up to MOST_PROBLEMS."""
    rows = _rows(_text(raw, file), file)
    try:
        _, header = next(rows)
    except StopIteration:
        raise FileError(
            [Problem("The table of eyes is empty; its first line names the columns: id,x_m,y_m,z_m.", Place(file))]
        ) from None
    return _Table(file, header).read(rows)


def _text(raw: bytes, file: str) -> str:
    if len(raw) > MOST_BYTES:
        raise FileError(
            [
                Problem(
                    f"The table of eyes is {len(raw) / 1e6:.0f} MB; the most that is read: {MOST_BYTES // 10**6} MB.",
                    Place(file),
                )
            ]
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise FileError([Problem("The table of eyes is not text in UTF-8; save it as 'CSV UTF-8'.", Place(file))])
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _rows(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Line number and cells of every row that is not blank."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        raise FileError([Problem(f"The table cannot be read here: {error}.", Place(file, line))]) from None


class _Table:
    """The columns of one table and what is wrong in it."""

    def __init__(self, file: str, header: list[str]):
        self.file = file
        self.problems: list[Problem] = []
        names = [cell.strip().casefold() for cell in header]
        if len(names) == 1 and re.search(r"[;\t]", names[0]):
            self._fail("The columns must be separated by commas, not by semicolons or tabs.", 1, 1)
        if not set(names) & set(COLUMNS):
            self._fail("The first line must name the columns: id,x_m,y_m,z_m and, if wanted, kind and weight.", 1, 1)
        for index, name in enumerate(names):
            if name not in (*COLUMNS, *MORE_COLUMNS):
                hint = f"the columns are {', '.join((*COLUMNS, *MORE_COLUMNS))}"
                self._note(f"'{_short(name)}' is no column of a table of eyes; {hint}.", 1, _column(header, index))
            elif name in names[:index]:
                self._note(f"The column '{name}' is there twice.", 1, _column(header, index))
        for name in COLUMNS:
            if name not in names:
                self._note(f"The column '{name}' is missing; the first line must name id, x_m, y_m and z_m.", 1, 1)
        self._stop()
        self.names = names

    def read(self, rows: Iterable[tuple[int, list[str]]]) -> Places:
        where = {name: index for index, name in enumerate(self.names)}
        seen: dict[str, int] = {}
        kinds: list[str] = []
        weights: list[float] = []
        points: list[tuple[float, ...]] = []
        for line, cells in rows:
            if len(cells) != len(self.names):
                self._note(
                    f"This line has {len(cells)} values; the first line names {len(self.names)} columns.", line, 1
                )
                continue
            if len(seen) >= MOST_EYES:
                self._fail(f"The table has more than {MOST_EYES:,} eyes.", line, 1)
            name = cells[where["id"]].strip()
            at = _column(cells, where["id"])
            if not name or len(name) > MOST_ID or not name.isprintable():
                self._note(f"An eye's id is one line of 1 to {MOST_ID} printable characters.", line, at)
            elif name in seen:
                self._note(f"The id '{_short(name)}' is there twice; the first is in line {seen[name]}.", line, at)
            seen.setdefault(name, line)
            points.append(tuple(self._number(cells, where[key], line, key) for key in COLUMNS[1:]))
            kinds.append(self._kind(cells, where.get("kind"), line))
            weights.append(self._weight(cells, where.get("weight"), line))
        if not seen and not self.problems:
            self._note("The table names its columns but holds no eye.", 1, 1)
        self._stop()
        return Places(list(seen), kinds, np.array(points, dtype=float).reshape(-1, 3), weights)

    def _number(self, cells: list[str], index: int, line: int, key: str) -> float:
        said = cells[index].strip()
        if not _NUMBER.fullmatch(said):
            self._note(
                f"'{_short(said)}' is not a number; {key} is plain metres such as -4.25.", line, _column(cells, index)
            )
            return 0.0
        if abs(value := float(said)) > FARTHEST_M:
            self._note(
                f"{_short(said)} m is too far; the most is {FARTHEST_M / 1000:g} km.", line, _column(cells, index)
            )
        return value

    def _kind(self, cells: list[str], index: int | None, line: int) -> str:
        said = cells[index].strip() if index is not None else ""
        if said and said not in EYE_KINDS:
            self._note(
                f"'{_short(said)}' is no kind of eye; the kinds are {', '.join(EYE_KINDS)}.",
                line,
                _column(cells, index or 0),
            )
        return said or "point"

    def _weight(self, cells: list[str], index: int | None, line: int) -> float:
        said = cells[index].strip() if index is not None else ""
        if not said:
            return 1.0
        if not _NUMBER.fullmatch(said) or not 0 < float(said) <= 1e9:
            self._note(
                f"'{_short(said)}' is not a weight; it is a plain number more than 0.", line, _column(cells, index or 0)
            )
            return 1.0
        return float(said)

    def _note(self, sentence: str, line: int, column: int) -> None:
        self.problems.append(Problem(sentence, Place(self.file, line, column)))
        if len(self.problems) >= MOST_PROBLEMS:
            self._stop()

    def _fail(self, sentence: str, line: int, column: int) -> None:
        self.problems.append(Problem(sentence, Place(self.file, line, column)))
        self._stop()

    def _stop(self) -> None:
        if self.problems:
            raise FileError(self.problems)


def _column(cells: list[str], index: int) -> int:
    """Where a cell starts, counted from 1 (cells in quotes before it may shift it)."""
    return 1 + sum(len(cell) + 1 for cell in cells[:index])


def _short(text: str) -> str:
    clean = "".join(c if c.isprintable() else "?" for c in text)
    return clean if len(clean) <= 40 else clean[:37] + "..."
