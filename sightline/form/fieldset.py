"""One question as the page shows it, and as the pencil sheet prints it."""

from __future__ import annotations

from html import escape

from sightline.form.pictures import picture
from sightline.form.question import Question

_UNITS = {
    "length": (("cm", "cm"), ("mm", "mm"), ("m", "m"), ("in", "in"), ("ft+in", "ft + in")),
    "angle": (("deg", "degrees"),),
    "mass": (("kg", "kg"), ("g", "g"), ("lb", "lb"), ("oz", "oz")),
}
_DIMENSION = {"length": "length", "distance": "length", "offset": "length", "angle": "angle", "mass": "mass"}
_FACINGS = (
    ("", "leave open"), ("full front", "full front"), ("1/4 left", "1/4 to my left"), ("1/4 right", "1/4 to my right"),
    ("profile left", "profile, to my left"), ("profile right", "profile, to my right"), ("3/4 left", "3/4 to my left"),
    ("3/4 right", "3/4 to my right"), ("full back", "full back"), ("deg", "by degrees"),
)  # fmt: skip
# More choices than this fit better in a menu.
_MOST_BUTTONS = 3


def field(question: Question) -> str:
    """The HTML of one question: picture, words, controls, and the line for what is wrong."""
    q, controls = question, _controls(question)
    radios = q.kind == "choice" and not _is_menu(q)
    helps = f'<p class="help" id="h-{q.id}">{escape(q.help)}</p>' if q.help else ""
    if radios:
        # A group of buttons has no single control that a label could belong to.
        ask, role = (
            f'<span class="ask" id="a-{q.id}">{escape(q.ask)}</span>',
            f' role="radiogroup" aria-labelledby="a-{q.id}"',
        )
    else:
        ask, role = f'<label class="ask" id="a-{q.id}" for="i-{q.id}">{escape(q.ask)}</label>', ""
    if radios:
        role += f' aria-describedby="{"h-" + q.id + " " if q.help else ""}e-{q.id}"'
    return (
        f'<div class="q" id="q-{q.id}" data-q="{q.id}"><div class="pic">{picture(q.picture)}</div>'
        f'<div>{ask}{helps}</div><div class="controls"{role}>{controls}</div>'
        f'<p class="error" id="e-{q.id}" aria-live="polite"></p><p class="why"></p></div>\n'
    )


def _is_menu(q: Question) -> bool:
    # The venues that come with the program may become more or fewer.
    return q.kind == "choice" and (len(q.choices) > _MOST_BUTTONS or q.id == "venue")


def _controls(q: Question) -> str:
    described = f'aria-describedby="{"h-" + q.id + " " if q.help else ""}e-{q.id}"'
    main = f'id="i-{q.id}" {described}'
    if q.kind in _DIMENSION:
        return _quantity(q, main, described)
    if q.kind == "facing":
        options = _options(_FACINGS)
        return (
            f'<select {main} data-part="word">{options}</select>'
            f'<input type="text" inputmode="text" class="number" data-part="number" data-degrees '
            f'aria-label="{escape(q.short)}: degrees" {described} placeholder="10">'
            '<span class="between" data-degrees>degrees</span>'
        )
    if _is_menu(q):
        blank = (("", q.nothing),) if q.skip == "leave" and not q.implied else ()
        return f'<select {main} data-part="select">{_options((*blank, *q.choices))}</select>'
    if q.kind == "choice":
        blank = (("", q.nothing),) if q.skip == "leave" and not q.implied else ()
        return "".join(
            f'<label class="pick"><input type="radio" name="{q.id}" value="{escape(value)}">{escape(words)}</label>'
            for value, words in (*q.choices, *blank)
        )
    kind = "number" if q.kind == "count" else "words"
    mode = ' inputmode="numeric"' if q.kind == "count" else ""
    return f'<input type="text" class="{kind}" {main} data-part="text"{mode} spellcheck="false">'


def _quantity(q: Question, main: str, described: str) -> str:
    short = escape(q.short)
    dimension = _DIMENSION[q.kind]
    units = _options(_UNITS[dimension], q.unit)
    inches = ""
    if dimension == "length":
        inches = (
            '<span class="between" data-feet hidden>ft</span>'
            f'<input type="text" inputmode="text" class="number" data-part="inches" data-feet hidden '
            f'aria-label="{short}: inches" {described}>'
        )
    skip = (
        '<label class="tick"><input type="checkbox" data-part="skip">don\'t know</label>' if q.skip == "unknown" else ""
    )
    # A telephone's number pad has no minus.
    keys = "decimal" if q.kind in ("length", "mass") else "text"
    return (
        f'<input type="text" inputmode="{keys}" class="number" {main} data-part="number">{inches}'
        f'<select data-part="unit" aria-label="{short}: unit">{units}</select>'
        f'<label class="tick"><input type="checkbox" data-part="about">about</label>{skip}'
    )


def _options(choices: tuple[tuple[str, str], ...], chosen: str = "") -> str:
    return "".join(
        f'<option value="{escape(value)}"{" selected" if chosen and value == chosen else ""}>{escape(words)}</option>'
        for value, words in choices
    )


def pencil_row(question: Question) -> str:
    """The same question with a line to write on."""
    q = question
    if q.kind == "choice":
        write = "".join(f'<span class="box">{escape(words)}</span>' for _, words in q.choices)
    elif q.kind in _DIMENSION:
        know = '<span class="box">don\'t know</span>' if q.skip == "unknown" else ""
        write = f'<i></i><span class="box">about</span>{know}'
    else:
        write = "<i></i>"
    helps = f"<small>{escape(q.help)}</small>" if q.help else ""
    return (
        f'<div class="row">{picture(q.picture)}<div><b>{escape(q.short)}</b>{helps}</div>'
        f'<div class="write">{write}</div></div>\n'
    )
