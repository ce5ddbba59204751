"""The page: one HTML file that asks everything, needs no network and saves the scene."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from pathlib import Path
from string import Template
from typing import Any

from sightline.form.fieldset import field, pencil_row
from sightline.form.inline import hash_of, json_text
from sightline.form.plan import Plan, plan
from sightline.form.question import Question
from sightline.form.questionnaire import Section, sections
from sightline.form.venues import venue_marks
from sightline.scene.starter import TEXT

_ASSETS = Path(__file__).parent / "assets"
_SCRIPTS = ("measure.js", "fit.js", "join.js", "page.js")
_CAUTION = {
    "opening": "Cutting: clamp the work, cut away from yourself, shield your eyes, keep to the tool's instructions.",
    "hold": "A weight held ahead of you tires arms and back: rest before it hurts. Harnesses and anything "
    "hung from a building are for licensed people and your local rules.",
}


@dataclass(frozen=True)
class Opened:
    """A scene file that the page is to change: its name, its text as read, and its byte order mark, if any."""

    file: str
    text: str
    title: str
    mark: str = ""


def page(opened: Opened | None = None) -> str:
    """The whole HTML text. `opened` must hold text that `scene.reading` accepts; without it a new scene is made."""
    asked = {q.id: q for section in _sections() for q in section.questions}
    cut = plan(opened.text if opened else TEXT, asked)
    style = _asset("page.css")
    script = "".join(_asset(name) for name in _SCRIPTS)
    heading = f"Questions about {opened.title}" if opened else "Questions for a new scene"
    lead = (
        f"This page changes {opened.file}: only what you answer differently. Notes and all else stay as they are."
        if opened
        else "Answer from top to bottom, and save. The answers in place are a working example: change what is yours."
    )
    clear = "" if opened else ' <button type="button" id="clear">Empty the form</button>'
    return Template(_asset("page.html")).substitute(
        heading=escape(heading), lead=escape(lead), clear=clear, style=style, script=script, style_hash=hash_of(style),
        script_hash=hash_of(script), data=json_text(_data(cut, asked, opened)),
        contents="".join(f'<li><a href="#{s.name}">{escape(s.title)}</a></li>' for s in _sections()),
        sections="".join(_section(section) for section in _sections()),
        pencil="".join(_pencil(section) for section in _sections()),
    )  # fmt: skip


def _sections() -> tuple[Section, ...]:
    return sections()


def _data(cut: Plan, asked: dict[str, Question], opened: Opened | None) -> dict[str, Any]:
    return {
        "mode": "scene" if opened else "new",
        "file": opened.file if opened else "",
        "mark": opened.mark if opened else "",
        "text": opened.text if opened else TEXT,
        "wall": cut.wall,
        "plan": {"segments": cut.segments, "was": cut.was, "locked": cut.locked, "keep": cut.keep},
        "questions": {name: question.as_data() for name, question in asked.items()},
        "venues": {name: list(said) for name, said in venue_marks().items()},
    }


def _section(section: Section) -> str:
    fields = "".join(field(question) for question in section.questions)
    lead = f'<p class="lead">{escape(section.lead)}</p>{_caution(section)}'
    head = f'<h2 id="h-{section.name}">{escape(section.title)}</h2>'
    if section.folded:
        return f'<details class="section" id="{section.name}"><summary>{head}</summary>{lead}{fields}</details>\n'
    return f'<section id="{section.name}" aria-labelledby="h-{section.name}">{head}{lead}{fields}</section>\n'


def _pencil(section: Section) -> str:
    rows = "".join(pencil_row(question) for question in section.questions if question.id != "title")
    head = f'<h2>{escape(section.title)}</h2><p class="lead">{escape(section.lead)}</p>{_caution(section)}'
    return f'{head}<div class="rows">{rows}</div>\n'


def _caution(section: Section) -> str:
    said = _CAUTION.get(section.name)
    return f'<p class="caution">{escape(said)}</p>' if said else ""


def _asset(name: str) -> str:
    return (_ASSETS / name).read_text(encoding="utf-8")
