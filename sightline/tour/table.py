"""The tour's one table: a row for each venue, variant, beat and stray, in the order of the tour file; as CSV or Parquet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sightline.blocking.marks import csv_text
from sightline.tour.plan import Plan
from sightline.tour.run import Ran

Row = dict[str, Any]

# What each column holds, in their order. `draw` 0 is the act as meant, 1 and up the strays.
COLUMNS = {
    "venue": str, "variant": str, "beat": str, "at_s": float, "draw": int, "eyes": int, "people": float, "seen": int,
    "faint": int, "people_seen": float, "worst_eye": str, "worst_arcmin": float, "eye_seconds": float,
    "least_margin_deg": float, "must_see_clear": int, "looked": str, "error": str,
}  # fmt: skip
TIMES = {"venue": str, "variant": str, "draw": int, "seconds": float}


def table(ran: Ran) -> list[Row]:
    """All rows. A point that failed is one row with its `error` and nothing else known."""
    plan = ran.plan
    keyed: list[tuple[tuple[int, int, int, int], Row]] = []
    moved = {(p.stop, p.variant): result for p, result in ran.moved.items()}
    for (stop, variant), result in moved.items():
        if result["error"] is not None:
            keyed.append(
                ((stop, variant, 0, 0), _row(plan, stop, variant, 0, {}, f"Not retargeted: {result['error']}"))
            )
    for point, result in ran.looked.items():
        draw = 0 if point.draw is None else point.draw + 1
        rows = [_row(plan, point.stop, point.variant, draw, found, None) for found in result["rows"]]
        if result["error"] is not None:
            rows = [_row(plan, point.stop, point.variant, draw, {}, str(result["error"]))]
        keyed += [((point.stop, point.variant, beat, draw), row) for beat, row in enumerate(rows)]
    keyed.sort(key=lambda item: item[0])
    return [row for _, row in keyed]


def _row(plan: Plan, stop: int, variant: int, draw: int, found: dict[str, Any], error: str | None) -> Row:
    known = {"venue": plan.stops[stop].name, "variant": plan.variants[variant].name, "draw": draw, "error": error}
    return {column: known.get(column, found.get(column)) for column in COLUMNS}


def times(ran: Ran) -> list[Row]:
    """How long each point took where and when it was worked out: never part of the table, which is always the same."""
    plan = ran.plan
    return [
        {
            "venue": plan.stops[point.stop].name, "variant": plan.variants[point.variant].name,
            "draw": 0 if point.draw is None else point.draw + 1, "seconds": result["seconds"],
        }
        for point, result in ran.looked.items()
    ]  # fmt: skip


def as_csv(rows: Sequence[Row], columns: dict[str, type]) -> bytes:
    """By RFC 4180; what is not known is an empty cell."""
    return csv_text(({name: _cell(row[name]) for name in columns} for row in rows), list(columns)).encode()


def _cell(value: Any) -> str:
    return "" if value is None else f"{value:.9g}" if isinstance(value, float) else str(value)


def as_parquet(rows: Sequence[Row], columns: dict[str, type]) -> bytes | None:
    """The same for programs that read tables by column; None where pyarrow is not installed."""
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError:
        return None
    kinds = {str: pyarrow.string(), int: pyarrow.int64(), float: pyarrow.float64()}
    schema = pyarrow.schema([(name, kinds[kind]) for name, kind in columns.items()])
    made = pyarrow.table(
        {name: [None if row[name] is None else kind(row[name]) for row in rows] for name, kind in columns.items()},
        schema=schema,
    )  # fmt: skip
    out = pyarrow.BufferOutputStream()
    pyarrow.parquet.write_table(made, out)
    return bytes(out.getvalue())
