"""What a tour comes to: the best variant for all of it, what moves from venue to venue, how often strays are seen."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from sightline.blocking.cautions import BLIND, NEW_MARK
from sightline.blocking.odds import wilson
from sightline.errors import SightlineError
from sightline.scene.editing import Edit
from sightline.sight.report import rounded
from sightline.staging.stage import NOT_CHECKED as SCENE_NOT_CHECKED
from sightline.staging.stage import act_notes
from sightline.tour.plan import Plan, said_edit
from sightline.tour.run import Ran
from sightline.tour.table import Row, table

SCHEMA_VERSION = 1
RULE = (
    "The best variant is the one that fewest people can see a secret of, added up over all venues, each venue at its worst "
    "beat; of equals the one whose worst venue is best, then the one written first. A variant that failed in a venue "
    "where another one did not is never the best; a venue where all failed is left out."
)
ASSUMPTIONS = (
    "A venue of the tour takes the place of each scene's own venue and eyes; all else is as the scene says.",
    "Rows with draw 0 are the act as meant; the others miss every mark by one draw of the stated stray.",
)
NOT_CHECKED = (
    "fit, load and what of the venue its file does not say; what is taken for granted of one venue: sightline check",
    "the way from beat to beat in rows that are static or strayed",
    "shadows of secrets, and whoever saw a secret at the mock-up (as built: seen from): not counted here, nor for a "
    "requirement (sightline check)",
    *(said for said in SCENE_NOT_CHECKED if "sightline rehearse" not in said and "fit" not in said),
)
FIELDS_NOTE = (
    "strayed rows trust direction fields where these are certain that nothing shows; as meant, rows are by rays alone "
    "at every beat (sightline drift confirms strays by rays)"
)


@dataclass(frozen=True)
class Total:
    """One variant over the tour, in people; `complete`: it has a figure in every venue that counts."""

    variant: str
    people_seen: float
    worst_venue: str | None
    worst_people_seen: float
    complete: bool


def document(ran: Ran, name: str) -> dict[str, Any]:
    """The whole report as plain dicts and lists. The keys are a contract; no times are in it."""
    plan, rows = ran.plan, table(ran)
    totals, left_out = totals_of(plan, rows)
    best = best_of(totals)
    meant = [row for row in rows if row["draw"] == 0]
    many = plan.tour.drift is not None and any("fields" in str(row["looked"]) for row in rows)
    return {
        "schema_version": SCHEMA_VERSION,
        "title": plan.tour.title,
        "tour": name,
        "venues": [{"name": stop.name, "use": stop.use, "changes": _said(stop.edits)} for stop in plan.stops],
        "variants": [{"name": act.name, "scene": act.file, "changes": _said(act.edits)} for act in plan.variants],
        "rows": rows,
        "best": {
            "variant": None if best is None else best.variant, "rule": RULE, "left_out": left_out,
            "totals": [
                {"variant": t.variant, "people_seen": rounded(t.people_seen), "worst_venue": t.worst_venue,
                 "worst_people_seen": rounded(t.worst_people_seen), "complete": t.complete}
                for t in totals
            ],
        },
        "moves": moves_of(ran),
        "moves_say": moves_say(ran),
        "strays": strays_of(plan, rows),
        "summary": {
            "rows": len(rows), "failed": sum(row["error"] is not None for row in rows),
            "most_seen": max((row["seen"] for row in meant if row["seen"] is not None), default=None),
        },
        "cautions": [NEW_MARK, BLIND] if ran.moved else [BLIND],
        "assumptions": [*ASSUMPTIONS, *_granted(plan)],
        "not_checked": [*NOT_CHECKED, *([FIELDS_NOTE] if many else [])],
    }  # fmt: skip


def _granted(plan: Plan) -> list[str]:
    """What the scenes themselves take for granted wherever they are played, with the variants that do, each said once."""
    whose: dict[str, list[str]] = {}
    for act in plan.variants:
        # A scene that does not stand is told of in its rows.
        with suppress(SightlineError):
            for said in act_notes(act.written):
                whose.setdefault(said, []).append(act.name)
    every = len(plan.variants)
    return [said if len(names) == every else f"{', '.join(names)}: {said}" for said, names in whose.items()]


def _said(edits: Sequence[Edit]) -> list[dict[str, Any]]:
    return [said_edit(edit) for edit in edits]


def totals_of(plan: Plan, rows: Sequence[Row]) -> tuple[list[Total], list[str]]:
    """Every variant over all venues, and the venues in which all of them failed."""
    worst: dict[tuple[str, str], float | None] = {}
    for row in rows:
        if row["draw"] != 0:
            continue
        key = (row["venue"], row["variant"])
        before = worst.get(key, 0.0)
        worst[key] = None if row["error"] is not None or before is None else max(before, row["people_seen"])
    venues = [stop.name for stop in plan.stops]
    left_out = [v for v in venues if all(worst.get((v, act.name)) is None for act in plan.variants)]
    out = []
    for act in plan.variants:
        there = {v: found for v in venues if (found := worst.get((v, act.name))) is not None}
        top = max(there, key=lambda v: (there[v], -venues.index(v)), default=None)
        complete = bool(there) and len(there) + len(left_out) == len(venues)
        out.append(Total(act.name, sum(there.values()), top, 0.0 if top is None else there[top], complete))
    return out, left_out


def best_of(totals: Sequence[Total]) -> Total | None:
    """The best by RULE; None where no variant has a figure everywhere."""
    whole = [total for total in totals if total.complete]
    return min(whole, key=lambda t: (rounded(t.people_seen), rounded(t.worst_people_seen)), default=None)


def moves_of(ran: Ran) -> list[dict[str, Any]]:
    """Per venue and variant what of the scene is otherwise there: said in the tour file, or found by retargeting."""
    plan, out = ran.plan, []
    solved = {(p.stop, p.variant): result for p, result in ran.moved.items()}
    for s, stop in enumerate(plan.stops):
        for v, act in enumerate(plan.variants):
            result = solved.get((s, v))
            found = None if result is None or result["error"] is not None else result
            out.append(
                {
                    "venue": stop.name, "variant": act.name, "changes": _said(stop.edits),
                    "solved": [] if found is None else found["edits"],
                    "words": None if found is None else found["words"],
                    "before": None if found is None else found["before"],
                    "after": None if found is None else found["after"],
                    "own_mark_refused": None if found is None else found["own_mark_refused"],
                    "not_checked": [] if found is None else found["not_checked"],
                    "error": None if result is None else result["error"],
                }
            )  # fmt: skip
    return out


def moves_say(ran: Ran) -> str:
    """In one sentence what differs from venue to venue."""
    entries = moves_of(ran)
    paths = sorted({c["path"] for entry in entries for c in (*entry["changes"], *entry["solved"])})
    if not paths:
        return "Nothing moves from venue to venue: marks, facings and cues are the scene's own everywhere."
    other = [path for path in paths if path.split(".")[0].split("[")[0] != "blocking"]
    if not other:
        return (
            f"Only these marks and cues move from venue to venue: {', '.join(paths)}. All else stays as the scene says."
        )
    return f"From venue to venue these change: {', '.join(paths)}. Of them, not marks or cues: {', '.join(other)}."


def strays_of(plan: Plan, rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Per venue, variant and beat in how many of the draws anybody sees a secret, with Wilson's interval for 95 %."""
    if plan.tour.drift is None:
        return []
    seen: dict[tuple[str, str, str], list[bool]] = {}
    failed: dict[tuple[str, str], int] = {}
    for row in rows:
        if row["draw"] == 0:
            continue
        if row["error"] is not None:
            # Nobody knows what was to be seen there: doubt goes against the plan.
            failed[row["venue"], row["variant"]] = failed.get((row["venue"], row["variant"]), 0) + 1
        else:
            seen.setdefault((row["venue"], row["variant"], row["beat"]), []).append(row["seen"] > 0)
    out = []
    for (venue, variant, beat), hits in seen.items():
        lost = failed.get((venue, variant), 0)
        count, of = sum(hits) + lost, len(hits) + lost
        low, high = wilson(count, of)
        out.append(
            {"venue": venue, "variant": variant, "beat": beat, "draws": of, "seen": count, "p_seen": rounded(count / of),
             "interval": [rounded(low), rounded(high)]}
        )  # fmt: skip
    return out


def shortfall(report: dict[str, Any], allowed: int | None) -> str | None:
    """Why the tour does not end well: all failed, or a requirement is not met or not shown to be met; None if it does."""
    meant = [row for row in report["rows"] if row["draw"] == 0]
    failed = [row for row in meant if row["error"] is not None]
    if len(failed) == len(meant):
        return "Every venue failed; no figure was found."
    if allowed is None:
        return None
    over = [row for row in meant if row["seen"] is not None and row["seen"] > allowed]
    if over:
        worst = max(over, key=lambda row: row["seen"])
        return f"{worst['seen']} eyes can see a secret in {worst['venue']} ({worst['variant']}); {allowed} are allowed."
    if failed:
        return f"{failed[0]['venue']} ({failed[0]['variant']}) failed, so that the requirement is not shown to be met there."
    return None
