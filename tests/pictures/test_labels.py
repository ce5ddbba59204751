"""No two labels of any picture of the examples overlap, and none is cut off by the sheet."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest
from matplotlib.text import Annotation, Text
from matplotlib.transforms import Bbox

from sightline.blocking.contacteyes import contact_eyes
from sightline.blocking.heightbands import height_bands
from sightline.blocking.placing import Placing
from sightline.pictures.bands import draw_bands
from sightline.pictures.compare import draw_comparison
from sightline.pictures.contact import draw_contact
from sightline.pictures.labels import ROUND, Labels
from sightline.pictures.plan import draw_map, draw_plan, map_sheet
from sightline.pictures.view import draw_view, view_of
from tests.conftest import finding_of
from tests.pictures.shown import example, palette, rows

EXAMPLES = ("courier-stage", "courier-stage-mended", "courier-pitch", "courier-pitch-mended", "courier-street")
# Letters that touch by less than this, in pixels of 150 to the inch, do not run into each other.
TOUCH_PX = 1.0


def boxes(figure: Any) -> list[tuple[str, Bbox]]:
    """The text of every artist that is there to be read, with its box in pixels."""
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    out = []
    for artist in figure.findobj(Text):
        if artist.get_text().strip() and artist.get_visible() and _drawn(artist):
            # An arrow is part of its annotation, and no letters.
            box = (
                Text.get_window_extent(artist, renderer)
                if isinstance(artist, Annotation)
                else artist.get_window_extent(renderer)
            )
            out.append((artist.get_text(), box))
    return out


def _drawn(artist: Text) -> bool:
    """Ticks and titles of axes that are switched off are not drawn."""
    axes = artist.axes
    return axes is None or axes.axison or artist in axes.texts


def clashes(figure: Any) -> list[str]:
    found = []
    there = boxes(figure)
    for (a, one), (b, other) in combinations(there, 2):
        wide = min(one.x1, other.x1) - max(one.x0, other.x0)
        tall = min(one.y1, other.y1) - max(one.y0, other.y0)
        if wide > TOUCH_PX and tall > TOUCH_PX:
            found.append(f"'{a}' and '{b}' overlap by {wide:.1f} x {tall:.1f} px")
    sheet = figure.bbox
    found += [
        f"'{a}' leaves the sheet"
        for a, box in there
        if box.x0 < 0 or box.y0 < 0 or box.x1 > sheet.x1 or box.y1 > sheet.y1
    ]
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_maps(name: str) -> None:
    finding = example(name)[2]
    held = np.array([[0.5, -3.0, 1.0], [0.0, -3.0, 1.0]])
    assert clashes(draw_map(finding)) == []
    assert clashes(draw_map(finding, each=True)) == []
    assert clashes(draw_plan(map_sheet(finding, "real left arm", held_m=held))) == []


@pytest.mark.parametrize("name", ["courier-stage", "courier-street", "courier-pitch"])
def test_contact_sheets(name: str) -> None:
    finding = example(name)[2]
    assert clashes(draw_contact(finding, contact_eyes(finding)[:4], palette(name), "silhouette")) == []


def test_comparisons() -> None:
    for one, other in (("courier-stage", "courier-stage-mended"), ("courier-pitch", "courier-pitch-mended")):
        assert clashes(draw_comparison(example(one)[2], example(other)[2], (f"{one}.yaml", f"{other}.yaml"))) == []


def test_bands() -> None:
    staged = example("courier-pitch")[1]
    found = height_bands(Placing(staged))
    assert found is not None
    assert clashes(draw_bands(staged.moment(), found)) == []


def test_views() -> None:
    finding = rows()
    for size in ((320, 256), (900, 720)):
        assert clashes(draw_view(finding, view_of(finding, 4, size=size))) == []


def test_a_long_title_is_broken() -> None:
    long = " ".join(["The courier who came in the night and would not leave"] * 3)
    finding = finding_of(
        f"title: {long}\nsecrets: [{{name: board, rectangle: {{width: 40 cm, height: 40 cm}}}}]\n"
        "eyes: [{id: E1, at: [0 m, -5 m, 0 m]}, {id: E2, at: [1 m, -5 m, 0 m]}]\n"
    )
    for figure in (draw_map(finding), draw_view(finding, view_of(finding, 0, size=(320, 256)))):
        assert clashes(figure) == []


def test_the_measure_can_fail() -> None:
    figure = draw_map(rows())
    figure.text(0.05, 0.5, "one over")
    figure.text(0.052, 0.5, "the other")
    assert any("'one over' and 'the other'" in said for said in clashes(figure))


def test_labels_make_room_or_stay_away() -> None:
    """Nine labels round one point: each where none is, or nowhere."""
    from sightline.pictures.board import Board

    axes = Board(4.0, 4.0).axes(0.0, 0.0, 4.0, 4.0)
    labels = Labels(axes, np.array([0.0, 0.0]), np.array([4.0, 4.0]), 1.0)
    put = [labels.put(f"label {k}", (2.0, 2.0), ROUND, 0.1) for k in range(9)]
    assert put[0]
    assert not all(put)
    for a, b in combinations(labels.taken, 2):
        assert not (a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3])
