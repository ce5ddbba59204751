"""Seats from a table separated by commas."""

from __future__ import annotations

import re

from sightline.house.csvtable import column_of, rows_of, text_of, unguarded
from sightline.house.faults import Faults, short
from sightline.house.places import Places
from sightline.house.seatlist import COLUMNS, LENGTHS, Record, SeatList, check_columns
from sightline.scene.seatsource import SeatSource


def read_csv(raw: bytes, source: SeatSource, lowest_m: float) -> Places:
    """The seats of a table in the venue's frame; FileError with everything that is wrong in it."""
    faults = Faults(source.file)
    rows = rows_of(text_of(raw, source.file, "table of seats"), source.file)
    _, header = next(rows, (1, []))
    names = [cell.strip().casefold() for cell in header]
    if len(names) == 1 and re.search(r"[;\t]", names[0]):
        faults.fail("The columns must be separated by commas, not by semicolons or tabs.")
    if not names:
        faults.fail("The table of seats is empty; its first line names the columns, such as id,x_m,y_m,z_m.")
    known = (*COLUMNS, *[f"{name}_m" for name in LENGTHS])
    degrees = {"lon", "lat", "lng", "longitude", "latitude"}
    for index, name in enumerate(names):
        if name not in known and name not in degrees:
            faults.note(
                f"'{short(name)}' is no column of a table of seats; the columns are {', '.join(COLUMNS)}.",
                1, column_of(header, index),
            )  # fmt: skip
        elif name in names[:index]:
            faults.note(f"The column '{name}' is there twice.", 1, column_of(header, index))
    check_columns(list(dict.fromkeys(names)), source, faults)
    seats = SeatList(source, lowest_m, faults, bool({"floor", "floor_m"} & set(names)))
    for line, cells in rows:
        if len(cells) != len(names):
            faults.note(f"This line has {len(cells)} values; the first line names {len(names)} columns.", line)
            continue
        columns = {name: column_of(cells, index) for index, name in enumerate(names)}
        seats.add(Record(dict(zip(names, map(unguarded, cells), strict=True)), line, "", columns))
    return seats.places()
