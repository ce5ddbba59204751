"""The pictures that are compared with committed references, made small; and how two pictures are compared.

python -m tests.pictures.shown       makes the references again; look at them before they are committed
"""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from sightline.blocking.contacteyes import contact_eyes
from sightline.blocking.heightbands import height_bands
from sightline.blocking.placing import Placing
from sightline.geometry.frame import FloatArray
from sightline.pictures import style
from sightline.pictures.bands import draw_bands
from sightline.pictures.compare import draw_comparison
from sightline.pictures.contact import draw_contact
from sightline.pictures.palette import Palette, palette_of
from sightline.pictures.plan import draw_map
from sightline.pictures.view import draw_view, view_of
from sightline.scene.reading import Written, read_scene, scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, check
from sightline.staging.stage import Staged, put_together
from tests.conftest import REPOSITORY

REFERENCES = Path(__file__).parent / "references"
WIDE_PX = 640
# Pictures are compared in squares of so many pixels, each by its mean difference in 0..1. Letters are set a little
# otherwise by another release of the library that draws them; a seat that moves by its own size changes its square by
# more than twice as much as is allowed.
SQUARE_PX, ALLOWED = 10, 0.045

# A board behind a screen, before rows of seats: some see past it, some do not.
ROWS = """
    title: A board behind a screen
    covers: [{name: screen, rectangle: {width: 90 cm, height: 120 cm}, at: [-0.5 m, -1 m, 1.2 m]}]
    secrets: [{name: board, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, 0 m, 1.2 m]}]
    must see: [{name: lamp, sphere: {radius: 12 cm}, at: [1 m, -0.5 m, 1.4 m]}]
    venue:
      name: A small room
      seats:
        - {block: stalls, rows: 4, seats: 9, first row: 4 m, row spacing: 0.9 m, seat width: 0.6 m, rise: 10 cm, wheelchair: [A1]}
      standing:
        - {area: side, rectangle: {from: [-6 m, -7 m], to: [-3.2 m, -3 m]}, density: 1, people: {adults: 0.7, children: 0.3}}
      mirrors: [{name: pier glass, rectangle: {width: 1 m, height: 2 m}, at: [4 m, -3 m, 1.2 m], facing: [-1, 0, 0]}]
"""


def staged_text(text: str = ROWS) -> tuple[Written[Scene], Staged]:
    from textwrap import dedent

    written = scene_from_text("version: 1\n" + dedent(text))
    return written, put_together(written)


@cache
def rows() -> Finding:
    return check(staged_text()[1].moment())


@cache
def example(name: str) -> tuple[Written[Scene], Staged, Finding]:
    written = read_scene(REPOSITORY / "examples" / f"{name}.yaml", None)
    staged = put_together(written)
    return written, staged, check(staged.moment())


def palette(name: str) -> Palette:
    written, staged, finding = example(name)
    assert staged.act.body is not None
    return palette_of(written.model, finding.moment, staged.act.body.skeleton)


def pitch_view(**how: Any) -> Any:
    finding = example("courier-pitch")[2]
    eye = [e.id for e in finding.moment.eyes].index("front 13")
    return draw_view(finding, view_of(finding, eye, size=(450, 360)), palette=palette("courier-pitch"), **how)


def _bands() -> Any:
    staged = staged_text()[1]
    found = height_bands(Placing(staged))
    assert found is not None
    return draw_bands(staged.moment(), found)


PICTURES: dict[str, Callable[[], Any]] = {
    "map": lambda: draw_map(rows()),
    "bands": _bands,
    "contact": lambda: draw_contact(rows(), contact_eyes(rows())),
    "compare": lambda: draw_comparison(rows(), check(staged_text(ROWS.replace("-0.5 m, -1 m", "0.1 m, -1 m"))[1].moment()), ("a", "b")),
    "view": pitch_view,
    "silhouette": lambda: pitch_view(manner="silhouette"),
}  # fmt: skip


def small(figure: Any) -> Image.Image:
    """A figure as a small picture in few colours' worth of bytes."""
    picture = Image.open(io.BytesIO(style.picture_bytes(figure, "png"))).convert("RGB")
    return picture.resize((WIDE_PX, round(picture.height * WIDE_PX / picture.width)), Image.Resampling.BOX)


def difference(one: Image.Image, other: Image.Image) -> float:
    """The largest mean difference (0..1) of any square of the two pictures; 1 where their sizes differ by more than a pixel."""
    if one.width != other.width or abs(one.height - other.height) > 1:
        return 1.0
    a, b = (np.asarray(p, dtype=float)[: min(one.height, other.height)] / 255 for p in (one, other))
    return float(squares(np.abs(a - b).mean(axis=2)).max())


def squares(values: FloatArray) -> FloatArray:
    down, across = (n // SQUARE_PX for n in values.shape)
    cut = values[: down * SQUARE_PX, : across * SQUARE_PX]
    return np.asarray(cut.reshape(down, SQUARE_PX, across, SQUARE_PX).mean(axis=(1, 3)))


def main() -> None:
    for name, make in PICTURES.items():
        path = REFERENCES / f"{name}.png"
        small(make()).quantize(256, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(path, optimize=True)
        print(f"{path.name}: {path.stat().st_size / 1000:.1f} kB")


if __name__ == "__main__":
    main()
