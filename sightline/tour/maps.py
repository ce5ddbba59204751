"""The tour's small plans: every venue with every variant, each seat at its worst as meant, with its figures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from sightline.errors import SightlineError
from sightline.house.build import House
from sightline.moment import Moment, PlanOutline, Pose
from sightline.pictures.layer import Layer
from sightline.pictures.multiples import Small, draw_multiples
from sightline.scene.reading import scene_from_text
from sightline.staging.audience import audience
from sightline.staging.places import kept
from sightline.tour.point import Point
from sightline.tour.run import Ran
from sightline.tour.store import Result
from sightline.tour.work import laid_out

# Beyond so many plans only those of the best variant are drawn, and of them so many.
MOST_PLANS, MOST_OF_BEST = 90, 180


def draw_tour(ran: Ran, report: dict[str, Any]) -> list[Any]:
    """The figures, one a page."""
    best = report["best"]["variant"]
    said = report["moves_say"]
    if best is not None and len(ran.plan.variants) > 1:
        total = next(t for t in report["best"]["totals"] if t["variant"] == best)
        said = f"Best variant for the whole tour: {best}; {total['people_seen']:g} people can see a secret in all venues. {said}"
    plans = list(_plans(ran, report, best, None))
    if len(plans) > MOST_PLANS:
        plans = list(_plans(ran, report, best, best))[:MOST_OF_BEST]
        said += f" Only {len(plans)} plans are drawn, of the best variant; the others are in the table."
    # A row for each venue where its variants have room side by side.
    columns = len(ran.plan.variants) if len(ran.plan.variants) in (2, 3) and len(plans) <= MOST_PLANS else 3
    return draw_multiples(report["title"], said, plans, columns)


def _plans(ran: Ran, report: dict[str, Any], best: str | None, only: str | None) -> Iterator[Small]:
    single = len(ran.plan.variants) == 1
    rows: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for row in report["rows"]:
        if row["draw"] == 0:
            rows.setdefault((row["venue"], row["variant"]), []).append(row)
    meant = {(p.stop, p.variant): (p, result) for p, result in ran.looked.items() if p.draw is None}
    strays = {(e["venue"], e["variant"], e["beat"]): e for e in report["strays"]}
    houses: dict[tuple[Any, ...], House] = {}
    for s, stop in enumerate(ran.plan.stops):
        for v, act in enumerate(ran.plan.variants):
            if only is not None and act.name != only:
                continue
            here = rows.get((stop.name, act.name), [])
            title = stop.name if single else f"{stop.name}: {act.name}"
            point, result = meant.get((s, v), (None, None))
            if point is None or result is None or result["error"] is not None:
                yield Small(title, (f"Failed. {here[0]['error'] if here else 'Nothing is known.'}",))
                continue
            worst = max(here, key=lambda row: (row["people_seen"], row["seen"]))
            house = _house(ran, point, houses)
            yield Small(
                title, tuple(_words(here, worst, strays.get((stop.name, act.name, worst["beat"])))),
                _moment(house, result, title), _layer(result), act.name == best and not single,
            )  # fmt: skip


def _words(rows: list[dict[str, Any]], worst: dict[str, Any], strays: dict[str, Any] | None) -> Iterator[str]:
    beat = f" in '{worst['beat']}', the worst beat" if len(rows) > 1 else ""
    faint = f", {worst['faint']} faintly" if worst["faint"] else ""
    yield f"{worst['seen']} of {worst['eyes']} can see a secret{faint}{beat}" + (
        f"; worst: {worst['worst_eye']}" if worst["worst_eye"] else ""
    )
    seconds = [row["eye_seconds"] for row in rows if row["eye_seconds"] is not None]
    margins = [row["least_margin_deg"] for row in rows if row["least_margin_deg"] is not None]
    clear = [row["must_see_clear"] for row in rows if row["must_see_clear"] is not None]
    parts = [f"{sum(seconds):.0f} eye-seconds"] if seconds else []
    parts += [f"least {min(margins):.1f} deg to spare"] if margins else []
    parts += [f"clear view {min(clear)}"] if clear else []
    parts += [f"seen in {strays['seen']} of {strays['draws']} strays"] if strays else []
    if parts:
        yield "; ".join(parts)


def _house(ran: Ran, point: Point, houses: dict[tuple[Any, ...], House]) -> House:
    """The audience of a point; the same one for all variants that leave it as it is."""
    key = (point.use, point.file, point.edits, point.text)
    if key not in houses:
        root = laid_out(ran.plan.bundle.files)
        written = scene_from_text(point.scene_text(), point.file, (root / point.file).parent, root)
        houses.clear()
        houses[key] = kept(written, audience(written))
    return houses[key]


def _moment(house: House, result: Result, title: str) -> Moment:
    still = Pose("still")
    if result["eyes"] != len(house.eyes):
        raise SightlineError(f"The venue of '{title}' has other eyes than when it was looked at; run the tour again.")
    mark = None if result["mark_m"] is None else (result["mark_m"][0], result["mark_m"][1])
    return Moment(
        title, still, (still,), tuple(house.eyes), setting=tuple(house.scenery),
        plan=PlanOutline(tuple(house.outlines), mark, result["facing_rad"], house.name, tuple(house.levels)),
    )  # fmt: skip


def _layer(result: Result) -> Layer:
    verdict = np.array([int(digit) for digit in result["verdicts"]], dtype=np.int8)
    return Layer("Any secret", verdict, np.array(result["sizes_arcmin"], dtype=float))
