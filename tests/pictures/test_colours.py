"""Colours from the scene: read, refused, and on the picture; without any, by what a thing is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from sightline.errors import FileError
from sightline.pictures.cast import shaded, trace
from sightline.pictures.palette import SKIN, palette_of
from sightline.pictures.view import view_of
from sightline.scene.colours import COLOUR_NAMES
from sightline.scene.reading import scene_from_text
from tests.conftest import REPOSITORY
from tests.pictures.shown import example

PITCH = (REPOSITORY / "examples" / "courier-pitch.yaml").read_text(encoding="utf-8")


def written(colours: str) -> Any:
    return scene_from_text(PITCH + f"\ncolours: {colours}\n", folder=Path("."))


def test_plain_names_and_numbers_are_read() -> None:
    said = written("{skin: dark skin, sleeve: '#AABBCC', named: {owl: cream}}").model.colours
    assert said.skin == COLOUR_NAMES["dark skin"]
    assert said.sleeve == "#aabbcc"
    assert said.named == {"owl": COLOUR_NAMES["cream"]}


@pytest.mark.parametrize(
    ("colours", "words"),
    [
        ("{skin: gren}", "did you mean 'green'?"),
        ("{skin: '#12'}", "is no colour known here"),
        ("{skin: [1, 2, 3]}", "is no colour known here"),
        ("{skim: tan}", "skin"),
        ("{named: tan}", "its colour"),
    ],
)
def test_what_is_no_colour_is_refused_with_its_place(colours: str, words: str) -> None:
    with pytest.raises(FileError) as caught:
        written(colours)
    assert words in str(caught.value)
    assert "colours" in str(caught.value)


def test_colours_are_on_the_picture() -> None:
    """The box in the scene's blue: its mean colour on the picture has more blue than red; with the usual one it has less."""
    _, staged, finding = example("courier-pitch")
    assert staged.act.body is not None
    eye = [e.id for e in finding.moment.eyes].index("front 9")
    view = view_of(finding, eye, size=(200, 160))
    traced = trace(finding.looked.scenery.covers(view.pose), view.camera, 1)
    crate = traced.index == [c.name for c in traced.covers].index("crate")
    for colours, bluer in (("{}", False), ("{prop: blue}", True), ("{named: {crate: blue}}", True)):
        palette = palette_of(written(colours).model, finding.moment, staged.act.body.skeleton)
        mean = shaded(traced, palette)[crate].mean(axis=0)
        assert bool(mean[2] > mean[0]) is bluer


def test_paint_stays_on_its_own_part_and_goes_along() -> None:
    """The head's hair is above its face, the owl's eyes are where the owl is, in every pose."""
    scene, staged, finding = example("courier-pitch")
    assert staged.act.body is not None
    palette = palette_of(scene.model, finding.moment, staged.act.body.skeleton)
    head = next(c for c in finding.moment.still.covers if c.name == "head")
    crown = head.mesh.vertices[np.argmax(head.mesh.vertices[:, 2])][None]
    neck = head.mesh.vertices[np.argmin(head.mesh.vertices[:, 2])][None]
    assert np.allclose(palette.colours(head, neck), to_rgb(SKIN), atol=0.02)
    assert palette.colours(head, crown).mean() < 0.5 * np.mean(to_rgb(SKIN))
    amber = []
    for pose in finding.moment.poses[:4]:
        owl = next(c for c in pose.surfaces() if c.name == "owl")
        colours = palette.colours(owl, owl.mesh.vertices)
        amber.append(int((np.abs(colours - [0.86, 0.60, 0.16]).max(axis=1) < 0.02).sum()))
    assert min(amber) > 20
    assert max(amber) - min(amber) <= 2
