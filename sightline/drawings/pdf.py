"""Pages as PDF at exactly 1:1, with the font inside and the wish not to be scaled when printed."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.drawings.drawing import Drawing, Layer, Stroke, Words
from sightline.drawings.lettering import FONT, drawable, font, plain, size_pt, width_mm
from sightline.drawings.looks import LOOKS
from sightline.drawings.paper import Page, Part, page_of
from sightline.drawings.strip import framed
from sightline.pictures.style import INK

PT_PER_MM = 72 / 25.4
# A PDF page has at most 14,400 units of 1/72 in (PDF Reference 1.7, annex C: implementation limits).
MOST_MM = 14400 / PT_PER_MM


def sheet_pdf(drawings: Drawing | Sequence[Drawing]) -> bytes:
    """Each drawing whole on one page of its own size, with title, legend and check bars; same drawings, same bytes.

    Raises ValueError for a drawing that is none or larger than a page can be.
    """
    several = [drawings] if isinstance(drawings, Drawing) else list(drawings)
    if not several:
        raise ValueError("There is no drawing to put on paper.")
    return pdf_of_pages([page_of(framed(drawing)) for drawing in several], several[0].title)


def pdf_of_pages(pages: Sequence[Page], title: str) -> bytes:
    """The pages as one PDF; the same pages give the same bytes."""
    from reportlab.lib.colors import HexColor
    from reportlab.pdfgen.canvas import Canvas

    font()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1, initialFontName=FONT)
    canvas.setTitle(plain(title))
    canvas.setCreator("sightline")
    canvas.setProducer("sightline")
    canvas.setAuthor("")
    canvas.setSubject("Shop drawing at full size, 1:1")
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        if max(page.width_mm, page.height_mm) > MOST_MM:
            raise ValueError(
                f"A sheet of {page.width_mm:.0f} x {page.height_mm:.0f} mm is larger than a PDF page can be "
                f"({MOST_MM:.0f} mm); take the pages in tiles."
            )
        canvas.setPageSize((page.width_mm * PT_PER_MM, page.height_mm * PT_PER_MM))
        canvas.setStrokeColor(HexColor(INK))
        canvas.setFillColor(HexColor(INK))
        canvas.setLineJoin(1)
        canvas.setLineCap(0)
        for part in page.parts:
            _draw(canvas, part)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw(canvas: Any, part: Part) -> None:
    layer: Layer | None = None
    for stroke in part.strokes:
        if stroke.layer != layer or LOOKS[stroke.layer].dashes:
            layer = stroke.layer
            look = LOOKS[layer]
            canvas.setLineWidth(look.weight_mm * PT_PER_MM)
            if look.dashes:
                canvas.setDash(
                    [d * PT_PER_MM for d in look.dashes], (stroke.dash_from_mm % sum(look.dashes)) * PT_PER_MM
                )
            else:
                canvas.setDash()
        _stroke(canvas, stroke)
    canvas.setDash()
    if not part.words:
        return
    canvas.saveState()
    if part.within is not None:
        x0, y0, x1, y1 = (value * PT_PER_MM for value in part.within)
        edge = canvas.beginPath()
        edge.rect(x0, y0, x1 - x0, y1 - y0)
        canvas.clipPath(edge, stroke=0, fill=0)
    for words in part.words:
        _write(canvas, words)
    canvas.restoreState()


def _stroke(canvas: Any, stroke: Stroke) -> None:
    path = canvas.beginPath()
    points = np.asarray(stroke.points, dtype=float) * PT_PER_MM
    path.moveTo(*(float(v) for v in points[0]))
    for x, y in points[1:]:
        path.lineTo(float(x), float(y))
    if stroke.closed:
        path.close()
    canvas.drawPath(path, stroke=1, fill=0)


def _write(canvas: Any, words: Words) -> None:
    text = drawable(words.text)
    begin = {"start": 0.0, "middle": -0.5, "end": -1.0}[words.anchor] * width_mm(text, words.height_mm)
    canvas.saveState()
    canvas.translate(words.at[0] * PT_PER_MM, words.at[1] * PT_PER_MM)
    if words.turn_deg:
        canvas.rotate(words.turn_deg)
    canvas.setFont(FONT, size_pt(words.height_mm))
    canvas.drawString(begin * PT_PER_MM, 0, text)
    canvas.restoreState()
