"""A table of a stranger's, separated by commas: its text, its rows with their lines, where a cell starts."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from sightline.errors import FileError, Place, Problem

MOST_BYTES = 20_000_000
_PLAIN_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?")
# Also as wide letters, which some spreadsheets take for the same.
_FORMULA = tuple("=+-@\t\r\n＝＋－＠")


def text_of(raw: bytes, file: str, what: str) -> str:
    """The text of a table; FileError for one that is too large or no text. `what` it is, in words."""
    if len(raw) > MOST_BYTES:
        raise FileError(
            [
                Problem(
                    f"The {what} is {len(raw) / 1e6:.0f} MB; the most that is read: {MOST_BYTES // 10**6} MB.",
                    Place(file),
                )
            ]
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise FileError([Problem(f"The {what} is not text in UTF-8; save it as 'CSV UTF-8'.", Place(file))])
    return text.replace("\r\n", "\n").replace("\r", "\n")


def rows_of(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
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


def column_of(cells: list[str], index: int) -> int:
    """Where a cell starts, counted from 1 (cells in quotes before it may shift it)."""
    return 1 + sum(len(cell) + 1 for cell in cells[:index])


def guarded(cell: str) -> str:
    """A cell as it is written: what a spreadsheet would run as a formula gets a quote before it; names are strangers'."""
    return f"'{cell}" if _would_run(cell) else cell


def unguarded(cell: str) -> str:
    """A cell as it was before `guarded`: whatever that was, so that our own tables read back as they were."""
    return cell[1:] if cell.startswith("'") and _would_run(cell) else cell


def _would_run(cell: str) -> bool:
    """Also one that has quotes already, or taking one away would not give back what was there."""
    bare = cell.lstrip("'")
    return bare.startswith(_FORMULA) and not _PLAIN_NUMBER.fullmatch(bare)
