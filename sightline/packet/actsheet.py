"""The act sheet, one page, for selling: what it is, what it needs, what it suits, and what does not work."""

from __future__ import annotations

from sightline.blocking.notation import distance
from sightline.packet.audiencepicture import AudiencePicture
from sightline.packet.flow import Flow
from sightline.packet.frame import leaf, room_of
from sightline.packet.openfacts import OpenFacts
from sightline.packet.openwording import audience_lines, not_for, suits, wall_words
from sightline.packet.paper import PaperName
from sightline.pictures import style
from sightline.pictures.page import Page

TITLE_PT = 24.0
# Tried in turn until all of it is on one page.
TEXT_PT = (9.6, 8.8, 8.0, 7.2, 6.4)
PICTURE_MM, GAP_MM = 108.0, 5.0
ROW_MM = 2.0


class _Headed(Flow):
    """A flow whose first page has a large title, for somebody who sees it for the first time."""

    def _next(self, said: str = "") -> tuple[Page, float]:
        if self.pages:
            return super()._next()
        page = leaf(self.paper, self.landscape, self.text_pt)
        self.pages.append(page)
        left, top, right, _ = room_of(page)
        y = top + 9.0
        page.say(left, y, self.title, TITLE_PT, weight="bold", width_mm=right - left)
        y += 2.0
        for line in page.lines_of(said, right - left) if said else []:
            y += page.line_mm
            page.say(left, y, line, self.text_pt, color=style.QUIET)
        return page, y + 4.0


def act_sheet(facts: OpenFacts, picture: AudiencePicture | None, paper: PaperName) -> list[Page]:
    """One page always: in smaller letters where much is said; what still finds no room is left to the company to tell."""
    for text_pt in TEXT_PT:
        pages = _drawn(facts, picture, paper, text_pt)
        if len(pages) == 1:
            break
    return pages[:1]


def _drawn(facts: OpenFacts, picture: AudiencePicture | None, paper: PaperName, text_pt: float) -> list[Page]:
    flow = _Headed(paper, facts.title, facts.about, text_pt=text_pt)
    tall = PICTURE_MM * 0.75
    top = flow.y
    _picture(flow.page, picture, (flow.left, top, PICTURE_MM, tall))
    foot = _facts(flow.page, facts, flow.left + PICTURE_MM + GAP_MM, top - 3.0, flow.left + flow.wide, text_pt)
    flow.y = max(foot, top + tall + 5.0)
    flow.head("Where the audience is")
    flow.bullets(audience_lines(facts))
    flow.head("It suits")
    flow.bullets(suits(facts))
    flow.head("What does not work")
    flow.bullets(not_for(facts))
    flow.head("To agree", 30.0)
    flow.blanks([f"{name}: {text}" if text else name for name, text in to_agree(facts)], 9.0)
    return flow.pages


def to_agree(facts: OpenFacts) -> list[tuple[str, str]]:
    return [("fee", facts.fee), ("insurance", facts.insurance), ("contact", facts.contact)]


def _picture(page: Page, picture: AudiencePicture | None, box_mm: tuple[float, float, float, float]) -> None:
    left, top, wide, tall = box_mm
    width, height = page.size_mm
    if picture is None:
        page.say(
            left + 4.0, top + tall / 2, "Paste a photograph here, taken from in front.", page.text_pt, color=style.QUIET
        )
    else:
        axes = page.figure.add_axes((left / width, 1 - (top + tall) / height, wide / width, tall / height))
        axes.imshow(picture.pixels, aspect="auto", interpolation="antialiased")
        axes.set_axis_off()
        axes.set_zorder(-1)
        page.say(
            left,
            top + tall + 3.4,
            f"Drawing: as seen from in front, {distance(picture.away_m)} away.",
            6.8,
            color=style.QUIET,
        )
    page.line(
        [left, left + wide, left + wide, left, left], [top, top, top + tall, top + tall, top], style.THIN, style.QUIET
    )


def needs(facts: OpenFacts) -> list[tuple[str, str]]:
    """What it takes, in rows; empty text is a blank to write in."""
    return [
        ("running time", facts.running),
        ("sets", facts.sets),
        ("rest between", facts.rest),
        ("pitch", f"{distance(facts.pitch_m[0])} across, {distance(facts.pitch_m[1])} deep, level and dry"),
        ("behind", wall_words(facts)),
        ("first row", f"{distance(facts.ring_m)} from the performer, not nearer"),
        ("doors", f"{distance(facts.door_m)} clear, all the way from the changing room"),
        ("power", facts.power),
        ("changing room", facts.changing_room),
        ("with it come", _handlers(facts.handlers)),
    ]


def _handlers(count: int) -> str:
    if count == 0:
        return "nobody beside the performer"
    return f"{count} handler{'s' if count != 1 else ''} of the company, beside the performer"


def _facts(page: Page, facts: OpenFacts, left: float, top: float, right: float, text_pt: float) -> float:
    name_mm = 21.0
    y = top
    for name, text in needs(facts):
        y += page.line_mm
        page.say(left, y, name, 7.2, color=style.QUIET, width_mm=name_mm - 1.0)
        if text:
            for k, line in enumerate(page.lines_of(text, right - left - name_mm)):
                y += page.line_mm if k else 0.0
                page.say(left + name_mm, y, line, text_pt)
        else:
            page.line([left + name_mm, right], [y + 0.6, y + 0.6], style.THIN, style.QUIET)
        y += ROW_MM
    return y
