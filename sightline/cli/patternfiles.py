"""The files that `sightline pattern` writes: shop drawings at full size, build and repair sheet, a picture to look at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from sightline.drawings.drawing import Drawing
    from sightline.pattern.made import Made
    from sightline.workshop.bench import Bench

Pages = dict[int, tuple[str, ...]]
# What is there before it is known how many sheets there are.
ENDINGS = (
    "pieces.svg", "pieces.dxf", "pieces.pdf", "tiles.pdf", "openings.pdf", "mounts.pdf", "build.pdf", "repair.pdf", "preview.png",
)  # fmt: skip


@dataclass(frozen=True)
class Drawn:
    """The sheets as drawings, and on which pages of their tiles each piece is, by its number."""

    sheets: list[Drawing]
    pages: Pages


def drawn(made: Made, paper: Literal["a4", "letter"]) -> Drawn:
    """The sheets of a pattern."""
    from sightline.drawings.onpages import pages_of_pieces
    from sightline.drawings.pieces import sheet_drawings

    sheets = sheet_drawings(made.layout, made.marked, made.pattern.title)
    return Drawn(sheets, pages_of_pieces(sheets, made.layout, made.pattern.pieces, paper))


def files_of(
    bench: Bench, made: Made, sheets: Drawn, paper: Literal["a4", "letter"], scene: str, tick: Callable[[str], None]
) -> tuple[dict[str, bytes], list[str]]:
    """Every file by its ending, and sentences for those that there is nothing to draw in. A second sheet's SVG and DXF
    are pieces-2.svg and pieces-2.dxf."""
    from sightline.drawings.dxf import dxf_of
    from sightline.drawings.mounts import mount_drawings
    from sightline.drawings.opening import opening_drawings
    from sightline.drawings.pdf import sheet_pdf
    from sightline.drawings.svg import svg_of
    from sightline.drawings.tilepages import tiled_pdf
    from sightline.pattern.repair import repair_sheet
    from sightline.pictures.buildsheet import BuildSheet, draw_build, draw_repair
    from sightline.pictures.page import pdf_of
    from sightline.pictures.preview import draw_preview
    from sightline.pictures.style import picture_bytes

    tick("drawings")
    out: dict[str, bytes] = {}
    without: list[str] = []
    for number, drawing in enumerate(sheets.sheets, 1):
        name = "pieces" if number == 1 else f"pieces-{number}"
        out[f"{name}.svg"], out[f"{name}.dxf"] = svg_of(drawing), dxf_of(drawing)
    out["pieces.pdf"] = sheet_pdf(sheets.sheets)
    out["tiles.pdf"] = tiled_pdf(sheets.sheets, paper)
    box, prop = bench.box, bench.prop
    openings = opening_drawings(box, prop.openings, bench.scene.title) if box is not None and prop is not None else []
    if openings:
        out["openings.pdf"] = tiled_pdf(openings, paper)
    else:
        without.append("There is no template of openings: the scene has no box with an opening.")
    mounts, why = mount_drawings(bench)
    if mounts:
        out["mounts.pdf"] = tiled_pdf(mounts, paper)
    without += why
    tick("build and repair sheet")
    pattern = made.pattern
    sheet = BuildSheet(pattern, made.cuts, made.assembly, made.layout, made.assumptions, made.not_checked)
    out["build.pdf"] = pdf_of(draw_build(sheet, scene))
    out["repair.pdf"] = pdf_of(draw_repair(repair_sheet(bench, pattern, made.cuts, sheets.pages), scene))
    out["preview.png"] = picture_bytes(draw_preview(pattern), "png")
    return out, without


def write_all(files: dict[str, bytes], targets: list[Path], force: bool) -> list[Path]:
    """Write them beside one another, none before all may be written; gives where they are."""
    from sightline.cli.say import write_together

    first = targets[0]
    stem = first.name.removesuffix(ENDINGS[0])
    paths = {ending: first.with_name(stem + ending) for ending in files}
    write_together({path: files[ending] for ending, path in paths.items()}, force)
    return list(paths.values())
