"""The builder's papers: what fit found, templates of openings and mounts, and the pattern at full size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from sightline.errors import SightlineError
from sightline.packet.brief import Brief
from sightline.packet.flow import Flow
from sightline.packet.paper import FOOTERS, Kind, LeftOut, Sheets
from sightline.packet.ready import ready_sheets
from sightline.workshop.section import Item, Section, State

if TYPE_CHECKING:
    from sightline.drawings.drawing import Drawing
    from sightline.drawings.paper import Page as ShopPage

# How the state of a finding is written, so that it reads without colour.
MARKS: dict[State, str] = {"yes": "ok", "no": "NO", "not known": "?", "warn": "!", "told": ""}
FOR = ("builder",)
# Where the footer of a shop drawing stands, from the lower edge, and how tall its capitals are.
FOOT_MM, FOOT_TALL_MM = 4.3, 1.8


def _figures(brief: Brief) -> Sheets:
    """Every section of the fit report, what is no or not known first."""
    sections = brief.sections
    said = (
        "NO: does not work. ?: not known, find out before cutting. !: a figure to look at. ok: looked at, and it works."
    )
    flow = Flow(brief.paper, "Key figures", said, text_pt=7.4)
    top = [item for part in sections for item in part.top if item.state in ("no", "not known")]
    if top:
        flow.head("First of all")
        _rows(flow, top)
    for part in sections:
        _section(flow, part)
    flow.head("Taken for granted")
    flow.bullets(list(dict.fromkeys(said for part in sections for said in part.assumptions)))
    not_checked = list(dict.fromkeys(said for part in sections for said in part.not_checked))
    if not_checked:
        flow.head("Not checked")
        flow.bullets(not_checked)
    return Sheets(flow.pages)


def _section(flow: Flow, part: Section) -> None:
    flow.head(part.name[:1].upper() + part.name[1:])
    _rows(flow, [*part.top, *part.items])
    if part.cautions:
        flow.bullets(part.cautions, "!")


def _rows(flow: Flow, items: Sequence[Item]) -> None:
    for item in items:
        lines = flow.page.lines_of(item.words, flow.wide - 8.0)
        flow.need(len(lines) * flow.page.line_mm + 0.8)
        flow.page.say(flow.left, flow.y + flow.page.line_mm - 0.6, MARKS[item.state], flow.text_pt, weight="bold")
        for line in lines:
            flow.y += flow.page.line_mm
            flow.page.say(flow.left + 8.0, flow.y - 0.6, line, flow.text_pt)
        flow.y += 0.8


def _openings(brief: Brief) -> bytes:
    from sightline.drawings.opening import opening_drawings

    bench = brief.act()
    if bench.box is None or bench.prop is None or not bench.prop.openings:
        raise LeftOut("The scene has no box with an opening.")
    return _tiled(brief, opening_drawings(bench.box, bench.prop.openings, bench.scene.title), KINDS[1])


def _mounts(brief: Brief) -> bytes:
    from sightline.drawings.mounts import mount_drawings

    bench = brief.act()
    if not brief.scene.false_limbs:
        raise LeftOut("The scene has no false limb.")
    drawings, why = mount_drawings(bench)
    if not drawings:
        raise LeftOut(" ".join(why) or "Where a mount is is not known.")
    return _tiled(brief, drawings, KINDS[2])


def _sheets(brief: Brief) -> list[Drawing]:
    from sightline.drawings.pieces import sheet_drawings

    made = brief.made
    return sheet_drawings(made.layout, made.marked, made.pattern.title)


def _pieces(brief: Brief) -> bytes:
    """Each sheet of foam whole, for a plotter."""
    from sightline.drawings.paper import page_of
    from sightline.drawings.pdf import pdf_of_pages
    from sightline.drawings.strip import framed

    sheets = _sheets(brief)
    pages = [footed(brief, page_of(framed(sheet)), KINDS[3]) for sheet in sheets]
    return pdf_of_pages(pages, f"{brief.scene.title}: {KINDS[3].title}")


def _tiles(brief: Brief) -> bytes:
    return _tiled(brief, _sheets(brief), KINDS[4])


def _tiled(brief: Brief, drawings: Sequence[Drawing], kind: Kind) -> bytes:
    """Each drawing over pages of the packet's paper, with the footer on all of them."""
    from sightline.drawings.pdf import pdf_of_pages
    from sightline.drawings.tilepages import pages_of

    try:
        pages = [
            p for k, drawing in enumerate(drawings) for p in pages_of(drawing, brief.paper, (k + 1, len(drawings)))
        ]
    except ValueError as error:
        raise LeftOut(str(error)) from error
    return pdf_of_pages([footed(brief, page, kind) for page in pages], f"{brief.scene.title}: {kind.title}")


def footed(brief: Brief, page: ShopPage, kind: Kind) -> ShopPage:
    """A page of a shop drawing with the packet's footer: open or closed, for whom, status, revision, date."""
    from sightline.drawings.drawing import Words
    from sightline.drawings.lettering import fitted
    from sightline.drawings.paper import Part

    said = brief.scene.papers
    words = [FOOTERS[kind.openness], f"for {', '.join(kind.for_whom)}", said.status.upper()]
    words += [f"rev. {said.revision}"] if said.revision else []
    words += [said.date] if said.date else []
    text = fitted(" | ".join(words), FOOT_TALL_MM, page.width_mm - 24.0)
    return replace(page, parts=[*page.parts, Part([], [Words(text, (12.0, FOOT_MM), height_mm=FOOT_TALL_MM)])])


def _build(brief: Brief) -> Sheets:
    from sightline.pictures.buildsheet import BuildSheet, draw_build

    made = brief.made
    sheet = BuildSheet(made.pattern, made.cuts, made.assembly, made.layout, made.assumptions, made.not_checked)
    return ready_sheets(draw_build(sheet, brief.scene_name))


def _repair(brief: Brief) -> Sheets:
    from sightline.drawings.onpages import pages_of_pieces
    from sightline.pattern.repair import repair_sheet
    from sightline.pictures.buildsheet import draw_repair

    made = brief.made
    where = pages_of_pieces(_sheets(brief), made.layout, made.pattern.pieces, brief.paper)
    try:
        found = repair_sheet(brief.bench, made.pattern, made.cuts, where)
    except SightlineError as error:
        raise LeftOut(f"The repair sheet could not be made: {error}") from error
    return ready_sheets(draw_repair(found, brief.scene_name))


KINDS = [
    Kind("builder", "builder", "Builder's key figures", FOR, "closed", _figures),
    Kind("builder", "builder-openings", "Templates of the openings, 1:1", FOR, "closed", _openings),
    Kind("builder", "builder-mounts", "Templates of the mounts, 1:1", FOR, "closed", _mounts),
    Kind("builder", "builder-pattern-sheets", "Pattern on whole sheets, 1:1", FOR, "closed", _pieces),
    Kind("builder", "builder-pattern-tiles", "Pattern in tiles, 1:1", FOR, "closed", _tiles),
    Kind("builder", "builder-build", "Build sheet", FOR, "closed", _build),
    Kind("builder", "builder-repair", "Repair sheet", ("builder", "stage manager"), "closed", _repair),
]
