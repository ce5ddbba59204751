"""The director's papers: who can see what, the house in plan, the act from the seats that matter, the order of cues."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.blocking.contacteyes import ContactEye, contact_eyes
from sightline.blocking.notation import clock
from sightline.house.storeys import storeys
from sightline.packet.brief import Brief
from sightline.packet.flow import Flow
from sightline.packet.frame import heading, leaf, room_of
from sightline.packet.leafboard import LeafBoard
from sightline.packet.paper import Kind, LeftOut, Sheets
from sightline.packet.scaleplan import Scale, scale_for
from sightline.packet.wording import overview, places
from sightline.pictures import style
from sightline.pictures.layer import Layer, layers
from sightline.pictures.legend import ELSEWHERE, Key, draw_legend, keys_of, legend_in
from sightline.pictures.page import MM_IN, Page
from sightline.pictures.plan import GAP_IN, headline, named_seats
from sightline.pictures.planpanel import FOOT_IN, HEAD_IN, Ground, draw_panel, ground_of, panel_foot, panel_head
from sightline.pictures.verdicts import short_verdict
from sightline.pictures.view import Manner, picture_on, view_of

# Pictures to a sheet of views, their shape, and how tall the words under one are.
ACROSS, DOWN = 3, 3
PIXELS = (450, 360)
# Points of a picture to the mm on paper: no finer than print shows.
PER_MM = 7.5
WORDS_MM, BETWEEN_MM = 15.0, 5.0


def _sheets(brief: Brief) -> list[Sheets]:
    finding = brief.finding
    said = overview(finding, brief.moment.plan.venue) + _over_time(brief)
    plan, scale = _plan(brief, layers(finding)[0], "Who can see a secret", said)
    out = [Sheets([plan], scale)]
    if finding.least_margin() is not None:
        spare = layers(finding, margin=True)[0]
        page, scale = _plan(brief, spare, "How much there is to spare", headline(brief.moment, spare))
        out.append(Sheets([page], scale))
    flow = Flow(brief.paper, "Secret by secret")
    _per_secret(brief, flow)
    out.append(Sheets(flow.pages))
    eyes = contact_eyes(finding)
    out.append(Sheets(_views(brief, eyes, "colour", "From the seats that matter")))
    if brief.has_act:
        out.append(Sheets(_views(brief, _outlined(eyes), "silhouette", "The same act as an outline")))
    closing = Flow(brief.paper, "Order of cues" if brief.scene.blocking.beats else "What this rests on")
    _order(brief, closing)
    _rests_on(brief, closing)
    out.append(Sheets(closing.pages))
    return out


def _plan(brief: Brief, layer: Layer, title: str, said: str) -> tuple[Page, str]:
    """The whole house at a standard scale, storeys side by side, the worst seats with their sightlines.

    Upright or across, whichever lets it be larger.
    """
    tried = [_Laid.on(brief, layer, title, said, landscape) for landscape in (True, False)]
    laid = min(tried, key=lambda each: each.scale.divisor)
    laid.draw(brief, layer)
    return laid.page, laid.scale.words


@dataclass(frozen=True)
class _Laid:
    """A sheet with its heading, and the scale at which the plans fit between it and the legend; inches."""

    page: Page
    ground: Ground
    named: list[int]
    keys: list[Key]
    scale: Scale
    top: float
    foot: float

    @staticmethod
    def on(brief: Brief, layer: Layer, title: str, said: str, landscape: bool) -> _Laid:
        moment = brief.moment
        page = leaf(brief.paper, landscape)
        top = heading(page, title, said) * MM_IN
        board, ground, count = LeafBoard(page), ground_of(moment), len(storeys(moment.eyes))
        named = named_seats(moment, layer)
        keys = keys_of(moment, [layer], bool(named)) + ([ELSEWHERE] if count > 1 else [])
        foot = room_of(page)[3] * MM_IN - legend_in(keys, board.room_in)
        room = (board.room_in - (count - 1) * GAP_IN) / count, foot - top - HEAD_IN - FOOT_IN - 0.05
        scale = scale_for(ground.size_m, (room[0] / MM_IN, room[1] / MM_IN), brief.paper)
        return _Laid(page, ground, named, keys, scale, top, foot)

    def draw(self, brief: Brief, layer: Layer) -> None:
        board, floors = LeafBoard(self.page), storeys(brief.moment.eyes)
        inch = self.scale.mm_per_m * MM_IN
        wide, tall = (float(x) * inch for x in self.ground.size_m)
        gap, several = (board.room_in - len(floors) * wide) / len(floors), len(floors) > 1
        for k, storey in enumerate(floors):
            x, y = style.EDGE_IN + gap / 2 + k * (wide + gap), self.top + HEAD_IN
            panel_head(board, x, self.top, wide, storey.name if several else "")
            draw_panel(board, x, y, inch, self.ground, storey, layer, True, self.named, ghosts=several)
            panel_foot(board, x, y + tall, wide, inch)
        draw_legend(board, self.foot, self.keys, layer.margin_deg is not None)


def _per_secret(brief: Brief, flow: Flow) -> None:
    """Small plans of what shows, and one table of all secrets."""
    finding, moment = brief.finding, brief.moment
    every = layers(finding)
    shown = [layer for layer in (every[1:] or every) if layer.shows]
    rows = []
    for name, found in finding.secrets.items():
        seen = np.flatnonzero(found.verdict == 2).tolist()
        margin = found.margin_deg
        hidden = np.zeros(0) if margin is None else margin[(found.verdict == 0) & ~np.isnan(margin)]
        where = "; ".join(f"{row}: {seats}" for row, seats in places(moment.eyes, seen)) if seen else "nobody"
        kind = found.sighting.secret.kind
        spare = f"{hidden.min():.1f} deg" if len(hidden) else "not known"
        rows.append([name, kind, str(len(seen)), str(int((found.verdict == 1).sum())), spare, where])
    columns = (
        ("secret", 26),
        ("kind", 12),
        ("seen by", 14),
        ("faint for", 14),
        ("least to spare", 20),
        ("seats that can see it", 90),
    )
    flow.table(columns, rows)
    if finding.must_see:
        flow.head("What must be seen")
        for name, must in finding.must_see.items():
            flow.para(f"{name}: {int(must.clear.sum())} of {len(moment.eyes)} have a clear view.")
    if shown:
        _small(brief, flow, shown)


def _small(brief: Brief, flow: Flow, shown: list[Layer]) -> None:
    """Two small plans to a row, of the secrets that anybody sees."""
    moment = brief.moment
    ground, floors = ground_of(moment), storeys(moment.eyes)
    board = LeafBoard(flow.page)
    each = (board.room_in - GAP_IN) / 2
    inch = float(min(each / len(floors) / ground.size_m[0], 3.4 / ground.size_m[1]))
    wide, tall = (float(x) * inch for x in ground.size_m)
    flow.head("Where it shows", 60.0)
    for k in range(0, len(shown), 2):
        page, top_mm = flow.space((tall + FOOT_IN + 0.36) / MM_IN)
        board, top = LeafBoard(page), top_mm * MM_IN
        for column, layer in enumerate(shown[k : k + 2]):
            x = style.EDGE_IN + column * (each + GAP_IN)
            board.say(x, top, [f"{layer.title}: {layer.said}"], style.LABEL_PT, weight="bold")
            for n, storey in enumerate(floors):
                draw_panel(
                    board, x + n * wide, top + 0.3, inch, ground, storey, layer, False, named_seats(moment, layer, 1)
                )
            panel_foot(board, x, top + 0.3 + tall, max(wide * len(floors), 1.7), inch)


def _outlined(eyes: list[ContactEye]) -> list[ContactEye]:
    """For the outline only the centre, both extremes and what is seen from above."""
    wanted = ("sees most", "centre", "extreme", "balcony", "behind")
    found = [eye for eye in eyes if any(word in eye.why for word in wanted)]
    return (found or eyes)[: ACROSS * 2]


def _views(brief: Brief, eyes: list[ContactEye], manner: Manner, title: str) -> list[Page]:
    """Sheets of so many views each, cast with rays; what shows of a secret is hatched."""
    finding, moment = brief.finding, brief.moment
    said = "Hatched or dotted: what must not be seen and shows. Each picture has its scale in degrees."
    if manner == "silhouette":
        said = "What the outline alone tells: shoulders level, two arms, nothing that a body would not have."
    pages: list[Page] = []
    for start in range(0, len(eyes), ACROSS * DOWN):
        page = leaf(brief.paper, text_pt=7.4)
        top = heading(page, title if not pages else f"{title}, continued", said)
        left, _, right, foot = room_of(page)
        wide = (right - left - (ACROSS - 1) * BETWEEN_MM) / ACROSS
        tall = min(wide * PIXELS[1] / PIXELS[0], (foot - top) / DOWN - WORDS_MM)
        for k, eye in enumerate(eyes[start : start + ACROSS * DOWN]):
            row, column = divmod(k, ACROSS)
            x, y = left + column * (wide + BETWEEN_MM), top + row * (tall + WORDS_MM)
            brief.tick(f"view from {moment.eyes[eye.index].id}")
            view_on(brief, page, eye.index, (x, y, wide, tall), manner)
            who = moment.eyes[eye.index]
            page.say(x, y + tall + 3.4, who.id, 8.0, weight="bold", width_mm=wide)
            lines = [eye.why, *page.lines_of(short_verdict(finding, eye.index), wide)[:2]]
            if manner == "silhouette":
                lines = lines[:1]
            for n, line in enumerate(lines):
                page.say(
                    x,
                    y + tall + 6.8 + n * page.line_mm,
                    line,
                    7.0,
                    width_mm=wide,
                    color=style.QUIET if n == 0 else style.INK,
                )
        pages.append(page)
    return pages


def view_on(
    brief: Brief,
    page: Page,
    eye: int,
    box_mm: tuple[float, float, float, float],
    manner: Manner = "colour",
    marked: bool = True,
) -> None:
    """The view from an eye in a box (left, top, width, height) of the page."""
    left, top, wide, tall = box_mm
    width, height = page.size_mm
    axes = page.figure.add_axes((left / width, 1 - (top + tall) / height, wide / width, tall / height))
    across = min(PIXELS[0], round(wide * PER_MM))
    size = (across, max(round(across * tall / wide), 2))
    picture_on(
        axes,
        brief.finding,
        view_of(brief.finding, eye, size=size),
        marked and manner == "colour",
        None,
        brief.palette,
        manner,
    )
    page.line(
        [left, left + wide, left + wide, left, left], [top, top, top + tall, top + tall, top], style.THIN, style.QUIET
    )


def _over_time(brief: Brief) -> str:
    """What the beats add to a plan of one mark; empty without beats. A clean mark is no clean act."""
    if not brief.scene.blocking.beats:
        return ""
    rehearsal = brief.rehearsal
    if not (count := int((rehearsal.any_verdict == 2).any(axis=0).sum())):
        return " Over the beats nobody can either."
    table = ": see the order of cues" if brief.has_act else ""
    return f" Over the beats {count} of {len(rehearsal.eyes)} can at some time{table}."


def _order(brief: Brief, flow: Flow) -> None:
    """Every cue with who sees anything at it; left away without beats."""
    try:
        rehearsal, cues = brief.rehearsal, brief.blocked.cues
    except LeftOut:
        return
    seen = rehearsal.eyes_seen()
    rows = []
    for k, cue in enumerate(cues):
        frames = np.flatnonzero(rehearsal.beat_of == k)
        most = int(seen[frames].max()) if len(frames) else 0
        spans = rehearsal.beat_spans_s(k)
        seconds = rehearsal.eye_seconds(None, spans) if rehearsal.lasts else 0.0
        rows.append([
            cue.number, clock(cue.step.at_s), cue.step.name, cue.where, cue.facing, f"{most}", f"{seconds:.0f}",
        ])  # fmt: skip
    columns = (
        ("cue", 8),
        ("there at", 14),
        ("beat", 28),
        ("where", 52),
        ("facing", 42),
        ("most who see", 18),
        ("eye-seconds", 24),
    )
    flow.table(columns, rows)
    total = rehearsal.eye_seconds() if rehearsal.lasts else 0.0
    flow.para(
        f"Eye-seconds are people times the seconds in which they can see a secret: {total:.0f} over the whole act, looked at "
        f"{rehearsal.fps:g} times a second."
    )


def _rests_on(brief: Brief, flow: Flow) -> None:
    # With beats the whole act was looked at, and its own lists say how.
    rests = brief.rehearsal if brief.scene.blocking.beats else brief.moment
    for head, said in (("Taken for granted", rests.assumptions), ("Not checked", rests.not_checked)):
        if said:
            flow.head(head)
            flow.bullets(list(said))


KINDS = [Kind("director", "director", "Director's book", ("director",), "closed", _sheets)]
