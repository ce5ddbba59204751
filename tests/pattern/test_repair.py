"""The repair sheet: every wear point, the piece to cut anew with its sheet and page, the kit, the reminder."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sightline.pattern.assembly import assembly
from sightline.pattern.cautions import CAUTIONS
from sightline.pattern.cutlist import CutList, cut_list
from sightline.pattern.layout import Layout, Placed, Stock
from sightline.pattern.notches import edge_marks
from sightline.pattern.pattern import Pattern
from sightline.pattern.repair import KIT_TIMES, RepairSheet, repair_sheet
from sightline.pictures.buildsheet import BuildSheet, draw_build, draw_repair
from sightline.pictures.page import PAGE_MM, pdf_of
from sightline.scene.reading import scene_from_text
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.limbs import limbs_of
from tests.conftest import REPOSITORY
from tests.pattern.tubes import tube_pattern

MENDED = REPOSITORY / "examples/courier-stage-mended.yaml"
LAYOUT = Layout(
    Stock("600 x 1200 mm", 0.6, 1.2), 0.005, 2, (Placed(1, 1, 0.0, (0.4, 0.0)), Placed(2, 2, 0.3, (0.4, 0.1))), 0.3
)
PAGES = {1: ("A1", "A2"), 2: ("B1",)}


@pytest.fixture(scope="module")
def bench() -> Bench:
    text = MENDED.read_text(encoding="utf-8").replace(
        "rig:\n", "rig:\n  - hook: {at: {wall: back, at: [0 cm, -8 cm]}}\n"
    )
    return bench_of(scene_from_text(text))


@pytest.fixture(scope="module")
def pattern(bench: Bench) -> Pattern:
    """Two tubes laid onto the example's arm, from its shoulder down to its elbow and from there to its wrist."""
    limb = limbs_of(bench)[0]
    made = tube_pattern([("upper arm", 0.3), ("forearm", 0.26)], limb=limb.name)
    assert limb.pose is not None
    joints = (limb.pose.shoulder, limb.pose.elbow, limb.pose.wrist)
    pieces = []
    for k, piece in enumerate(made.pieces):
        down = -piece.vertices[:, 2] - 0.3 * k
        share = (down / down.max())[:, None]
        middle = joints[k] + share * (joints[k + 1] - joints[k])
        pieces.append(replace(piece, vertices=middle + piece.vertices * np.array([1.0, 1.0, 0.0])))
    return replace(made, pieces=tuple(pieces))


@pytest.fixture(scope="module")
def cuts(bench: Bench, pattern: Pattern) -> CutList:
    return cut_list(pattern, LAYOUT, bench.scene.materials)


@pytest.fixture(scope="module")
def sheet(bench: Bench, pattern: Pattern, cuts: CutList) -> RepairSheet:
    return repair_sheet(bench, pattern, cuts, PAGES)


def test_every_wear_point_is_looked_at_and_pulled(sheet: RepairSheet) -> None:
    names = " | ".join(wear.name for wear in sheet.wear)
    edges = "edge of the back opening", "edge of the top opening"
    for word in ("mount", *edges, "elbow seam", "wrist", "strap", "hook", "breakaway"):
        assert word in names
    assert all(wear.look and wear.pull for wear in sheet.wear)


def test_each_damage_names_one_piece_with_its_sheet_and_pages(sheet: RepairSheet) -> None:
    recut = {damage.what.split(":")[0]: (damage.piece, damage.sheet, damage.pages) for damage in sheet.damages}
    assert recut["shoulder end"] == (1, 1, ("A1", "A2"))
    assert recut["wrist"] == (2, 2, ("B1",))
    assert recut["piece 1 ('upper arm')"] == (1, 1, ("A1", "A2"))
    assert recut["piece 2 ('forearm')"] == (2, 2, ("B1",))
    assert recut["mount"] == (None, None, ())
    assert all(damage.quick and damage.proper for damage in sheet.damages)


def test_the_kit_cuts_any_piece_and_glues_the_longest_seam(sheet: RepairSheet, cuts: CutList) -> None:
    kit = {spare.name: spare for spare in sheet.kit}
    assert kit["upholstery foam, 10 mm"].quantity == "1 of 31 x 30 cm"
    longest = max(cuts.glue, key=lambda row: row.length_m)
    assert kit["glue, the same as in the build"].quantity == f"for {KIT_TIMES * longest.area_m2 * 1e4:.0f} cm2"
    assert any("colour reference" in spare.note for spare in sheet.kit)
    said = " ".join(sheet.blanks)
    assert "cure" in said
    assert "By its own sheet" in said


def test_after_a_repair_it_is_checked_again(sheet: RepairSheet) -> None:
    for word in ("opening", "mount", "limb", "check again before use"):
        assert word in sheet.check_again


def test_cautions_name_what_hurts_and_defer() -> None:
    said = " ".join(CAUTIONS)
    deferring = "own sheet", "local rules", "fire authority"
    for word in ("ventilation", "respirator", "flame", "Blades", "Heat gun", "Dust", *deferring):
        assert word in said


def test_the_sheets_are_a4_with_nothing_beside_the_paper(
    bench: Bench, pattern: Pattern, cuts: CutList, sheet: RepairSheet
) -> None:
    made = BuildSheet(pattern, cuts, assembly(pattern, edge_marks(pattern)), LAYOUT)
    for pages in (draw_build(made, "scene.yaml"), draw_repair(sheet, "scene.yaml")):
        for n, page in enumerate(pages, 1):
            assert tuple(page.get_size_inches() * 25.4) == pytest.approx(PAGE_MM)
            said = [text.get_text() for text in page.axes[0].texts]
            assert f"sheet {n} of {len(pages)}" in said
            for text in page.axes[0].texts:
                box = text.get_window_extent()
                assert box.x0 >= 0, text.get_text()
                assert box.x1 <= page.bbox.width, text.get_text()
                assert box.y0 >= 0, text.get_text()
    assert pdf_of(draw_build(made, "scene.yaml")) == pdf_of(draw_build(made, "scene.yaml"))
