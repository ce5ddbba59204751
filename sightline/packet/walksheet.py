"""The house-walk sheet: where to sit, what should be seen, a box to tick, and what to change."""

from __future__ import annotations

import numpy as np

from sightline.packet.brief import Brief
from sightline.packet.director import view_on
from sightline.packet.flow import BOX_MM, Flow
from sightline.packet.paper import Kind, LeftOut, Sheets
from sightline.packet.walk import changes_for, walk_eyes
from sightline.pictures import style
from sightline.pictures.page import Page
from sightline.pictures.verdicts import down_to, must_see_sentence, verdict_sentence

PICTURE_MM = (44.0, 35.0)
ANSWERS = ("clean", "seen", "not possible")


def _sheets(brief: Brief) -> Sheets:
    seats = walk_eyes(brief)
    if not seats:
        raise LeftOut("The scene has no eyes.")
    try:
        changes = changes_for(brief, seats)
    except LeftOut:
        changes = ["the scene cannot say: what is secret stays where it is when the performer moves." for _ in seats]
    way = _way(brief, seats)
    said = (
        f"{len(seats)} seats that settle most, in the shortest order, about {way:.0f} m of way. Somebody stands on the mark in costume, as "
        "drawn; sit, put your eye at the height given, look at the whole act once through. Hatched on a picture: what shows."
    )
    flow = Flow(brief.paper, "House walk", said, text_pt=7.6)
    for n, (seat, change) in enumerate(zip(seats, changes, strict=True), 1):
        _seat(brief, flow, n, seat, change)
    flow.need(24.0)
    flow.blanks(["walked by", "on the mark", "costume, light and cue at which it was looked at"])
    return Sheets(flow.pages)


def _way(brief: Brief, seats: list[int]) -> float:
    points = brief.moment.eye_points()[seats]
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _seat(brief: Brief, flow: Flow, n: int, seat: int, change: str) -> None:
    """One seat: number and name, picture, what should be seen, boxes, the change."""
    eye = brief.moment.eyes[seat]
    page, top = flow.space(PICTURE_MM[1] + 5.0)
    page.line([flow.left, flow.left + flow.wide], [top + 1.0, top + 1.0], style.THIN, style.QUIET)
    top += 3.0
    brief.tick(f"view from {eye.id}")
    view_on(brief, page, seat, (flow.left + 9.0, top, *PICTURE_MM))
    page.say(flow.left, top + 6.0, str(n), 15.0, weight="bold")
    x = flow.left + 9.0 + PICTURE_MM[0] + 5.0
    wide = flow.left + flow.wide - x
    page.say(x, top + 3.6, eye.id, 10.0, weight="bold", width_mm=wide)
    height = eye.position_m[2] - (eye.floor_m or 0.0)
    lines = [f"{eye.kind} eye, {height:.2f} m above its floor; {eye.position_m[2]:.2f} m above the performing floor"]
    lines += _should(brief, seat)
    y = top + 5.0
    for text in lines:
        for line in page.lines_of(text, wide):
            y += page.line_mm
            page.say(x, y, line, flow.text_pt)
    for line in page.lines_of(f"If it fails: {change}", wide, "bold"):
        y += page.line_mm
        page.say(x, y + 0.8, line, flow.text_pt, weight="bold")
    _boxes(page, x, top + PICTURE_MM[1] - 3.2, wide)


def _should(brief: Brief, seat: int) -> list[str]:
    """What this seat should see, by the plan."""
    finding = brief.finding
    verdict = verdict_sentence(finding, seat)
    least = finding.least_margin()
    if finding.worst_verdict()[seat] == 0 and least is not None and not np.isnan(least[seat]):
        hidden = down_to(finding, seat, list(finding.secrets))
        verdict = f"All hidden, {hidden}, with {least[seat]:.1f} deg to spare."
    return [f"You should see: {verdict}", must_see_sentence(finding, seat)]


def _boxes(page: Page, x: float, y: float, wide: float) -> None:
    for word in ANSWERS:
        page.line([x, x + BOX_MM, x + BOX_MM, x, x], [y, y, y + BOX_MM, y + BOX_MM, y], style.MEDIUM)
        page.say(x + BOX_MM + 1.4, y + BOX_MM - 0.4, word, 8.0)
        x += BOX_MM + 7.0 + page.width_mm(word, 8.0)
    page.say(x, y + BOX_MM - 0.4, "what, when:", 8.0, color=style.QUIET)


KINDS = [Kind("walk", "house-walk", "House walk", ("director", "stage manager"), "closed", _sheets)]
