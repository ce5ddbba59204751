"""What `venue` prints for a person at a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

MOST_BLOCKED = 8


def venue_words(found: dict[str, Any]) -> str:
    return "\n".join(_lines(found)) + "\n"


def _lines(found: dict[str, Any]) -> Iterator[str]:
    whole = found["whole"]
    yield f"{found['venue']}: {whole['eyes']} eyes, {_kinds(whole['kinds'])}"
    if not whole["eyes"]:
        yield "  Nobody sits or stands in this venue."
        return
    yield f"  from {whole['distance_m'][0]:.1f} to {whole['distance_m'][1]:.1f} m away from the edge of the stage"
    for level, figures in found["levels"].items():
        yield ""
        away, down = _from_to(figures["distance_m"], "m"), _from_to(figures["look_down_deg"], "deg")
        yield f"  {level}: {figures['eyes']} eyes, {away}; looking down {down}"
        rows = [row for row in found["rows"] if row["level"] == level]
        if rows:
            yield from _table(rows, found["heads_count"])
    yield ""
    yield from _blocked(found)
    yield from _chairs(found)
    yield from _bands(found)
    yield ""
    yield f"  Taken for granted ({len(found['assumptions'])}):"
    yield from (f"    - {said}" for said in found["assumptions"])
    yield "  Not checked:"
    yield from (f"    - {said}" for said in found["not_checked"])


def _table(rows: list[dict[str, Any]], heads: bool) -> Iterator[str]:
    several = len({row["block"] for row in rows}) > 1
    yield (
        f"    {'row':<20}{'seats':>6}{'metres away':>14}{'C, mm':>8}{'middle':>8}{'rise, cm':>10}{'for 60 mm':>11}{'down':>8}{'aside':>8}"
        f"{'blocked':>9}{'by heads':>10}"
    )[: None if heads else -10]
    for row in rows:
        name = f"{row['block']} {row['row']}" if several else row["row"]
        away = f"{row['distance_m'][0]:.1f}-{row['distance_m'][1]:.1f}"
        c, half = ("-" if row[key] is None else f"{row[key] * 1000:.0f}" for key in ("c_least_m", "c_median_m"))
        rise, needs = ("-" if row[key] is None else f"{row[key] * 100:.1f}" for key in ("rise_m", "rise_for_60_mm_m"))
        line = f"    {name[:19]:<20}{row['eyes']:>6}{away:>14}{c:>8}{half:>8}{rise:>10}{needs:>11}"
        line += f"{row['look_down_deg'][1]:>8.1f}{row['side_deg'][1]:>8.1f}{row['blocked']:>9}"
        yield line + (f"{row['blocked_by_heads']:>10}" if heads else "")


def _blocked(found: dict[str, Any]) -> Iterator[str]:
    points = len(found["reference_points_m"])
    which = "the point" if points == 1 else f"all {points} points"
    count = found["whole"]["blocked"]
    yield f"  {count} of {found['whole']['eyes']} do not see {which} of the stage that everybody should, for scenery and rails."
    if found["heads_count"]:
        yield f"  {found['whole']['blocked_by_heads']} more have one of them behind another person's head."
    else:
        yield "  Other people's heads are not counted; ask with --heads."
    hidden = [seat["id"] for seat in found["blocked"] if seat["points"]]
    if hidden:
        more = f" and {len(hidden) - MOST_BLOCKED} more" if len(hidden) > MOST_BLOCKED else ""
        yield f"    {', '.join(hidden[:MOST_BLOCKED])}{more}"


def _chairs(found: dict[str, Any]) -> Iterator[str]:
    chairs, beside = found["wheelchair"], found["companions"]
    if not chairs:
        yield "  No place for a wheelchair is named in this venue."
        return
    said = f"  Wheelchair places ({len(chairs)}): {', '.join(chairs[:12])}{' ...' if len(chairs) > 12 else ''}"
    if beside:
        said += f"; beside them, for companions ({len(beside)}): {', '.join(beside[:12])}{' ...' if len(beside) > 12 else ''}"
    yield said + "."


def _bands(found: dict[str, Any]) -> Iterator[str]:
    bands, beyond = found["bands"], found["beyond"]
    said = ", ".join(f"{band['from'] * 1000:.0f} mm {band['words']}" for band in bands["bands_m"])
    yield (
        f"  C: least and middle of a row's clearances over the eyes in front; {said}; less, blocked by the head in front "
        f"({bands['source']})."
    )
    yield f"  {bands['scope']}"
    yield (
        f"  {bands['angles_source']}: {beyond['farther_than_22_86_m']} are farther than 22.9 m (75 ft) from the stage, "
        f"{beyond['look_down_more_than_30_deg']} look down more than 30 deg, {beyond['look_up_more_than_30_deg']} look up more "
        f"than 30 deg to a head near the edge, {beyond['more_than_60_deg_aside']} sit more than 60 deg off the centre line."
    )


def _kinds(kinds: dict[str, int]) -> str:
    return ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items(), key=lambda item: (-item[1], item[0])))


def _from_to(span: list[float], unit: str) -> str:
    return f"{span[0]:.1f} to {span[1]:.1f} {unit}"
