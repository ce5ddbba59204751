"""The report of a tour for a person at a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

# So many rows are told; the rest is in the table.
MOST_ROWS = 60


def tour_words(report: dict[str, Any]) -> str:
    """All lines of it."""
    return "\n".join(_lines(report)) + "\n"


def _lines(report: dict[str, Any]) -> Iterator[str]:
    from sightline.cli.say import closing

    venues, variants = len(report["venues"]), len(report["variants"])
    summary = report["summary"]
    yield (
        f"{report['title']}: {venues} venue{_s(venues)} x {variants} variant{_s(variants)}, {summary['rows']} rows"
        + (f", {summary['failed']} failed" if summary["failed"] else "")
    )
    yield ""
    meant = [row for row in report["rows"] if row["draw"] == 0]
    yield from _rows(meant[:MOST_ROWS])
    if len(meant) > MOST_ROWS:
        yield f"  ... and {len(meant) - MOST_ROWS} more rows: see table.csv (--out)"
    yield ""
    yield from _best(report["best"], variants)
    yield f"  {report['moves_say']}"
    yield from _moves(report["moves"])
    for stray in report["strays"]:
        low, high = stray["interval"]
        yield (
            f"  {stray['venue']}, {stray['variant']}, {stray['beat']}: somebody sees a secret in {stray['seen']} of "
            f"{stray['draws']} strays ({100 * low:.0f} to {100 * high:.0f} %, 95 % interval)"
        )
    yield from (f"  ! {said}" for said in report["cautions"])
    yield from closing(report["assumptions"], report["not_checked"])


def _rows(rows: list[dict[str, Any]]) -> Iterator[str]:
    heads = ("venue", "variant", "beat", "eyes", "seen", "faint", "people", "eye-s", "to spare", "clear", "worst eye")
    cells = [heads]
    for row in rows:
        if row["error"] is not None:
            cells.append((row["venue"], row["variant"], "failed", *[""] * 7, row["error"]))
            continue
        cells.append(
            (
                row["venue"], row["variant"], row["beat"], str(row["eyes"]), str(row["seen"]), str(row["faint"]),
                f"{row['people_seen']:g}", _number(row["eye_seconds"], ".0f"), _number(row["least_margin_deg"], ".1f"),
                _number(row["must_see_clear"], "d"), row["worst_eye"] or "-",
            )
        )  # fmt: skip
    wide = [max(len(line[k]) for line in cells) for k in range(len(heads) - 1)]
    for line in cells:
        names = [line[k].ljust(wide[k]) for k in range(3)]
        figures = [line[k].rjust(wide[k]) for k in range(3, len(heads) - 1)]
        yield ("  " + "  ".join([*names, *figures, line[-1]])).rstrip()


def _best(best: dict[str, Any], variants: int) -> Iterator[str]:
    if variants > 1:
        if best["variant"] is None:
            yield "  No variant has figures in every venue, so none is called the best."
        else:
            yield f"  Best variant for the whole tour: {best['variant']}"
        for total in best["totals"]:
            worst = f"; worst in {total['worst_venue']}: {total['worst_people_seen']:g}" if total["worst_venue"] else ""
            lacks = "" if total["complete"] else " (failed in a venue)"
            yield f"    {total['variant']}: {total['people_seen']:g} people can see a secret in all venues{worst}{lacks}"
        yield f"    ({best['rule']})"
    if best["left_out"]:
        yield f"  Left out, everything failed there: {', '.join(best['left_out'])}"


def _moves(moves: list[dict[str, Any]]) -> Iterator[str]:
    for entry in moves:
        name = f"    {entry['venue']}, {entry['variant']}: "
        if entry["error"] is not None:
            yield f"{name}not retargeted. {entry['error']}"
        elif entry["words"] is not None:
            before = entry["before"]
            seen = f"{before['seen']} -> {entry['after']['seen']}" if before else f"{entry['after']['seen']}"
            yield f"{name}{entry['words']}; {seen} can see a secret"
            if entry["own_mark_refused"] is not None:
                yield f"      the scene's own mark will not do here: {entry['own_mark_refused']}"
            yield from (f"      {said}" for said in entry["not_checked"])
        elif entry["changes"]:
            yield name + ", ".join(f"{change['path']}: {change['value']}" for change in entry["changes"])


def _number(value: float | None, form: str) -> str:
    return "-" if value is None else format(value, form)


def _s(count: int) -> str:
    return "" if count == 1 else "s"
