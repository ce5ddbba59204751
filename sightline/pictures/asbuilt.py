"""The sizes to measure afterwards, for the pages of the mock-up: what is planned, and room to write what was built."""

from __future__ import annotations

from collections.abc import Sequence

from sightline.pictures import style
from sightline.pictures.page import MARGIN_MM, Page
from sightline.pictures.sheets import TOP_MM, Sheets
from sightline.workshop.asbuiltsize import Size

COLUMNS = (("of", 40.0), ("measure", 58.0), ("planned", 18.0), ("as built", 28.0), ("line of the sheet", 42.0))
# Room to write: from the planned size to the name of the line.
WRITE_MM = (MARGIN_MM + sum(width for _, width in COLUMNS[:3]), COLUMNS[3][1] - 3.0)


def draw_sizes(sheets: Sheets, sizes: Sequence[Size], name: str) -> None:
    """On sheets of their own, every size with a line to write on. `name` is the file that it is written into."""
    page = sheets.page("sizes as built")
    said = (
        f"Measure what was built, pencil it in, and write it into {name} beside the same line. Where the tape is not sure, a "
        "range (46-47 cm); what cannot be measured: unknown; what was not measured stays blank and is taken as planned."
    )
    page, y = sheets.text(page, TOP_MM + 1.0, said)
    rows, last = [], ""
    for size in sizes:
        rows.append([size.group if size.group != last else "", size.how, size.said, "", size.key])
        last = size.group
    drawn: list[tuple[Page, float]] = []
    sheets.table(page, y + 7.0, "Sizes", COLUMNS, rows, drawn)
    for there, base in drawn:
        left, wide = WRITE_MM
        there.line([left, left + wide], [base + 0.8, base + 0.8], style.THIN, style.QUIET)
