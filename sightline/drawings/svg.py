"""A drawing as plain SVG at its true size: one unit is one millimetre, one labelled group to a layer."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

import numpy as np

from sightline.drawings.drawing import Drawing, Layer, Stroke, Words, refuse_broken
from sightline.drawings.lettering import CAPITAL, FONT, plain
from sightline.drawings.looks import LOOKS
from sightline.drawings.strip import framed, size_words
from sightline.pictures.style import INK

# Places to 1e-7 mm, so that a file read again is the same drawing.
_DIGITS = 7


def svg_of(drawing: Drawing, frame: bool = True) -> bytes:
    """The SVG file; with `frame`, title, legend and check bars stand below the drawing.

    Without it the picture is the drawing alone, `width_mm` x `height_mm`, as a cutting machine wants it. Raises
    ValueError for a drawing that is none.
    """
    refuse_broken(drawing)
    whole = framed(drawing) if frame else drawing
    wide, high = _number(whole.width_mm), _number(whole.height_mm)
    title = escape(plain(drawing.title))
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<svg xmlns="http://www.w3.org/2000/svg" '
        f'width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}" role="img" aria-labelledby="title desc">',
        f'<title id="title">{title}</title>',
        f'<desc id="desc">{escape(_described(drawing))}</desc>',
    ]
    for layer in LOOKS:
        lines += _layer(whole, layer)
    return "\n".join([*lines, "</svg>", ""]).encode()


def _described(drawing: Drawing) -> str:
    there = [layer for layer in LOOKS if any(s.layer == layer for s in drawing.strokes)]
    said = "; ".join(f"{layer}: {plain(drawing.meanings.get(layer, LOOKS[layer].meaning))}" for layer in there)
    return f"Full size, 1:1, in millimetres. {size_words(drawing)} Layers: {said or 'none'}."


def _layer(drawing: Drawing, layer: Layer) -> list[str]:
    strokes = [stroke for stroke in drawing.strokes if stroke.layer == layer]
    words = [w for w in drawing.words if w.layer == layer]
    if not strokes and not words:
        return []
    look = LOOKS[layer]
    dashes = f' stroke-dasharray="{" ".join(_number(d) for d in look.dashes)}"' if look.dashes else ""
    label = quoteattr(layer)
    lines = [
        f'<g id={label} data-layer={label} fill="none" stroke="{INK}" '
        f'stroke-width="{_number(look.weight_mm)}" stroke-linejoin="round"{dashes}>',
        f"<title>{escape(layer)}</title>",
    ]
    lines += [_path(stroke, drawing.height_mm) for stroke in strokes]
    lines += [_text(w, drawing.height_mm) for w in words]
    return [*lines, "</g>"]


def _path(stroke: Stroke, high_mm: float) -> str:
    points = np.asarray(stroke.points, dtype=float)
    at = [f"{_number(x)},{_number(high_mm - y)}" for x, y in points]
    offset = f' stroke-dashoffset="{_number(stroke.dash_from_mm)}"' if stroke.dash_from_mm else ""
    return f'<path d="M{" L".join(at)}{" Z" if stroke.closed else ""}"{offset}/>'


def _text(words: Words, high_mm: float) -> str:
    """Characters that XML cannot hold are gone (`plain`); any other is left to the viewer's fonts."""
    x, y = _number(words.at[0]), _number(high_mm - words.at[1])
    turn = f' transform="rotate({_number(-words.turn_deg)} {x} {y})"' if words.turn_deg else ""
    return (
        f'<text x="{x}" y="{y}" font-family="{FONT}, sans-serif" font-size="{_number(words.height_mm / CAPITAL)}" '
        f'text-anchor="{words.anchor}" fill="{INK}" stroke="none"{turn}>{escape(plain(words.text))}</text>'
    )


def _number(value: float) -> str:
    return f"{round(float(value), _DIGITS) + 0.0:.{_DIGITS}f}".rstrip("0").rstrip(".")
