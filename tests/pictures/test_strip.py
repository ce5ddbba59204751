"""The time strip: bars say how many and how large, spells where the focus is, stillness what has no reason."""

from __future__ import annotations

from textwrap import indent
from typing import Any

import numpy as np
import pytest
from matplotlib.colors import to_hex

from sightline.blocking.attention import Attention, Stillness, attention_of
from sightline.blocking.rehearsal import Rehearsal, rehearse
from sightline.pictures import style
from sightline.pictures.strip import draw_strip
from sightline.pictures.style import picture_bytes
from sightline.scene.reading import scene_from_text

SCENE = """\
version: 1
title: "a $plate_ before a board"
covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -40 cm, 1.2 m], carried: yes}]
secrets:
  - {name: board, rectangle: {width: 40 cm, height: 40 cm}, at: [0 m, 0 m, 1.2 m], carried: yes}
  - {name: "$rod_$", kind: rig, cylinder: {radius: 1 cm, height: 30 cm}, at: [20 cm, 10 cm, 1.2 m], carried: yes}
eyes:
  - {id: E1, at: [0 m, -5 m, 1.3 m]}
  - {id: E2, at: [4.5 m, -2 m, 1.3 m]}
  - {id: E3, at: [-4.5 m, -2 m, 1.3 m]}
"""
BEATS = """\
blocking:
  beats:
    - {at: 0 s, hold: 1 s, name: first, focus: {eye: E2}}
    - {at: 4 s, facing: 120 deg, hold: 2 s, name: "$turned_$", focus: {bearing: 180 deg}}
    - {at: 6.2 s, facing: 120 deg, name: close by, focus: {bearing: -40 deg}}
    - {at: 9 s, facing: 0 deg, name: back to the front}
"""


def act_of(beats: str = BEATS) -> Rehearsal:
    return rehearse(scene_from_text(SCENE + beats), 2.0)


@pytest.fixture(scope="module")
def act() -> Rehearsal:
    return act_of()


def texts(figure: Any) -> list[str]:
    return [t.get_text() for axes in figure.axes for t in axes.texts] + [t.get_text() for t in figure.texts]


def test_bars_are_as_high_as_the_eyes_that_see_and_as_dark_as_what_they_see(act: Rehearsal) -> None:
    figure = draw_strip(act, attention_of(act))
    counts = act.eyes_seen()
    axes = figure.axes[0]
    bars = [p for p in axes.patches if p.get_height() > 0]
    assert len(bars) == int((counts > 0).sum()) > 5
    # One scale for all rows: the height of an eye is the same everywhere.
    heights = np.array([bar.get_height() for bar in bars])
    assert heights / heights.max() == pytest.approx(counts[counts > 0] / counts.max())
    assert sum(bar.get_width() for bar in bars) == pytest.approx(float(act.span_s[counts > 0].sum()))
    dark = [sum(bar.get_facecolor()[:3]) for bar in bars]
    sizes = np.where(act.verdict == 2, act.size_arcmin, 0).max(axis=(1, 2))[act.of_frame][counts > 0]
    order = np.argsort(np.clip(sizes, 2, 600))
    assert list(np.array(dark)[order]) == sorted(dark, reverse=True)
    assert f"{counts.max()} at" in " ".join(texts(figure))


def test_names_are_said_as_they_are_and_never_one_over_the_other(act: Rehearsal) -> None:
    figure = draw_strip(act, attention_of(act))
    figure.canvas.draw()
    said = texts(figure)
    assert {"0:04 $turned_$", "$rod_$", "a $plate_ before a board"} <= set(said)
    renderer = figure.canvas.get_renderer()
    boxes = [t.get_window_extent(renderer) for t in figure.axes[0].texts if t.get_text()[:2] == "0:"]
    assert len(boxes) == 4
    for i, box in enumerate(boxes):
        assert box.x1 <= figure.bbox.x1
        assert not any(box.overlaps(other) for other in boxes[i + 1 :])


def test_focus_is_told_by_shape(act: Rehearsal) -> None:
    figure = draw_strip(act, attention_of(act))
    markers = {line.get_marker() for axes in figure.axes[:-2] for line in axes.lines} - {"None", None}
    assert {spell.focus for spell in attention_of(act).spells} == {"towards the leak", "away from it"}
    assert markers == {"^", "v"}


def test_stillness_without_a_reason_is_hatched_and_red(act: Rehearsal) -> None:
    act.written.model.__dict__["false_limbs"] = [object()]
    still = (Stillness(0.0, 3.0, None, True, ("first",)), Stillness(4.0, 2.0, "waits", False, ("turned",)))
    try:
        figure = draw_strip(act, Attention((), still, (), 1.0))
    finally:
        act.written.model.__dict__["false_limbs"] = []
    bars = {
        round(p.get_x()): (p.get_hatch(), to_hex(p.get_edgecolor()))
        for axes in figure.axes for p in axes.patches if p.get_height() == pytest.approx(0.62)
    }  # fmt: skip
    assert bars == {0: ("////", style.MARKED), 4: (None, style.QUIET)}


def test_an_act_of_one_moment_and_one_that_nobody_sees_can_be_drawn() -> None:
    for beats in ("", "blocking:\n" + indent("beats: [{at: 0 s, facing: 0 deg, hold: 3 s}]", "  ") + "\n"):
        alone = act_of(beats)
        assert picture_bytes(draw_strip(alone, attention_of(alone)), "png")[:4] == b"\x89PNG"
    alone_in_front = SCENE.split("  - {id: E2")[0].replace("20 cm, 10 cm", "0 cm, 10 cm")
    hidden = rehearse(scene_from_text(alone_in_front + "blocking: {beats: [{at: 0 s, hold: 2 s}]}\n"), 2.0)
    figure = draw_strip(hidden, attention_of(hidden))
    assert any(said.startswith("none of 1 eyes sees a secret in any frame") for said in texts(figure))
    assert not [p for axes in figure.axes[:1] for p in axes.patches if p.get_height() > 0]


def test_the_same_act_gives_the_same_bytes(act: Rehearsal) -> None:
    assert len({picture_bytes(draw_strip(act, attention_of(act)), "png") for _ in range(2)}) == 1
