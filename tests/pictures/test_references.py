"""Every kind of picture against a small committed reference; the tolerance breaks for a moved seat and a wrong colour."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from PIL import Image

from sightline.pictures import style
from sightline.pictures.plan import draw_map
from sightline.pictures.view import draw_view, view_of
from sightline.sight.check import check
from tests.pictures.shown import (
    ALLOWED,
    PICTURES,
    REFERENCES,
    ROWS,
    difference,
    example,
    palette,
    rows,
    small,
    staged_text,
)

LARGEST_BYTES = 60_000


@cache
def drawn(name: str) -> Image.Image:
    return small(PICTURES[name]())


def reference(name: str) -> Image.Image:
    return Image.open(REFERENCES / f"{name}.png").convert("RGB")


@pytest.mark.parametrize("name", PICTURES)
def test_picture_is_as_committed(name: str) -> None:
    path = REFERENCES / f"{name}.png"
    assert path.stat().st_size < LARGEST_BYTES
    assert difference(drawn(name), reference(name)) < ALLOWED, (
        "python -m tests.pictures.shown makes it again; look at it"
    )


def test_no_reference_is_left_over() -> None:
    assert {path.stem for path in REFERENCES.glob("*.png")} == set(PICTURES)


def test_a_seat_moved_by_its_own_width_breaks_the_map() -> None:
    """One standing person of 43 eyes is 25 cm elsewhere; nothing else of what was found is touched."""
    finding = rows()
    eyes = list(finding.moment.eyes)
    i = next(k for k, eye in enumerate(eyes) if eye.id.startswith("side"))
    x, y, z = eyes[i].position_m
    eyes[i] = replace(eyes[i], position_m=(x + 0.25, y, z))
    moved = replace(finding, moment=replace(finding.moment, eyes=tuple(eyes)))
    assert difference(small(draw_map(moved)), reference("map")) > ALLOWED


def test_a_seat_of_another_verdict_breaks_the_map() -> None:
    """Drawn hidden though it sees something: one ring for a square."""
    finding = rows()
    found = finding.secrets["board"]
    verdict, size = found.verdict.copy(), found.size_arcmin.copy()
    i = int(np.flatnonzero(verdict == 2)[-1])
    verdict[i], size[i] = 0, 0.0
    wrong = replace(finding, secrets={"board": replace(found, verdict=verdict, size_arcmin=size)})
    assert difference(small(draw_map(wrong)), reference("map")) > ALLOWED


def test_another_colour_on_the_scale_breaks_the_map(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(style, "SCALE_STOPS", ("#f3e3b3", "#b9d96b", "#35a03f", "#1f6a4f", "#0f4645", "#04323a"))
    assert difference(small(draw_map(rows())), reference("map")) > ALLOWED


def test_another_sleeve_breaks_the_view() -> None:
    finding = example("courier-pitch")[2]
    eye = [e.id for e in finding.moment.eyes].index("front 13")
    usual = palette("courier-pitch")
    other = replace(usual, by_name={**usual.by_name, "right sleeve": "#5f6f49", "sleeve": "#5f6f49"})
    view = view_of(finding, eye, size=(450, 360))
    assert difference(small(draw_view(finding, view, palette=other)), reference("view")) > ALLOWED


def test_another_seat_breaks_the_view() -> None:
    """The same picture from 20 cm beside it."""
    _, staged, _ = example("courier-pitch")
    moment = staged.moment()
    eyes = [eye for eye in moment.eyes if eye.id == "front 13"]
    x, y, z = eyes[0].position_m
    finding = check(replace(moment, eyes=(replace(eyes[0], position_m=(x + 0.2, y, z)),)))
    view = view_of(finding, 0, size=(450, 360))
    assert difference(small(draw_view(finding, view, palette=palette("courier-pitch"))), reference("view")) > ALLOWED


def test_pictures_are_the_same_bytes_twice() -> None:
    for kind in ("png", "svg", "pdf"):
        one, other = (style.picture_bytes(draw_map(check(staged_text(ROWS)[1].moment())), kind) for _ in range(2))
        assert one == other
        assert b"202" not in one[:400] or kind == "png", "a date"
