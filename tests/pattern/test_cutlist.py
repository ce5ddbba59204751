"""The cut list: sizes, masses, glue and costs against what is known of a cylinder."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sightline.errors import FileError, SightlineError
from sightline.pattern.cutlist import TAPE_SPARE, cut_list
from sightline.pattern.layout import Layout, Placed, Stock
from sightline.pattern.pattern import Pattern
from sightline.scene.materials import Materials
from sightline.scene.reading import scene_from_text
from tests.pattern.tubes import foam, tube_pattern

GIRTH_M = 2 * np.pi * 0.05
SMALL = """\
version: 1
covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -1 m, 0 m]}]
secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}}]
eyes: [{id: front, at: [0 m, -6 m, 0 m]}]
"""


def materials(text: str) -> Materials:
    return scene_from_text(f"{SMALL}materials: {text}\n").model.materials


@pytest.fixture(scope="module")
def tube() -> Pattern:
    return tube_pattern([("upper", 0.3), ("fore", 0.26)])


def laid(sheets: int = 2) -> Layout:
    stock = Stock("600 x 1200 mm", 0.6, 1.2)
    return Layout(stock, 0.005, sheets, (Placed(1, 1, 0.0, (0.4, 0.0)), Placed(2, 2, 0.0, (0.4, 0.0))), 0.3)


def test_a_cylinder_is_its_girth_by_its_height(tube: Pattern) -> None:
    """r = 50 mm, h = 300 mm: 314.159 x 300 mm, analytic; foam of 30 kg/m3 and 10 mm is 0.3 kg/m2."""
    rows = cut_list(tube, laid(), Materials()).pieces
    assert [(row.number, row.of, row.sheet) for row in rows] == [(1, 2, 1), (2, 2, 2)]
    assert rows[0].width_m == pytest.approx(GIRTH_M, abs=1e-9)
    assert rows[0].height_m == pytest.approx(0.3, abs=1e-9)
    assert rows[0].area_m2 == pytest.approx(GIRTH_M * 0.3, rel=1e-9)
    assert rows[0].mass_kg == pytest.approx(GIRTH_M * 0.3 * 0.3, rel=1e-9)


def test_glue_is_length_by_thickness_by_two_faces(tube: Pattern) -> None:
    made = cut_list(tube, None, Materials())
    glue = {row.seam: row for row in made.glue}
    assert set(glue) == {"upper seam 1", "fore seam 1", "ring 1"}
    assert glue["upper seam 1"].length_m == pytest.approx(0.3)
    assert glue["ring 1"].length_m == pytest.approx(GIRTH_M)
    assert glue["ring 1"].pieces == (1, 2)
    assert glue["ring 1"].kind == "ring"
    assert made.glue_m2 == pytest.approx(2 * 0.01 * (0.3 + 0.26 + GIRTH_M))
    tape = next(row for row in made.bought if row.name == "seam tape")
    assert f"{TAPE_SPARE * made.glue_m:.2f} m" in tape.quantity


def test_a_seam_of_several_joints_is_one_row() -> None:
    made = cut_list(tube_pattern([("upper", 0.3), ("fore", 0.26)], panels=3), None, Materials())
    ring = next(row for row in made.glue if row.seam == "ring 1")
    assert ring.pieces == (1, 2, 3, 4, 5, 6)
    assert ring.length_m == pytest.approx(GIRTH_M)


def test_without_prices_the_cost_is_left_to_fill_in(tube: Pattern) -> None:
    made = cut_list(tube, laid(), Materials())
    assert made.cost is None
    assert all(row.cost is None and not row.cost_how for row in made.bought)


def test_prices_of_the_scene_are_reckoned_by_their_measure(tube: Pattern) -> None:
    said = materials(
        "{currency: crowns, prices: {upholstery foam: {per sheet: 14.5}, seam tape: {per metre: 2}, screws: {each: 0.1},"
        " glue: {per metre: 3}}}"
    )
    made = cut_list(tube, laid(), said)
    cost = {row.name: row.cost for row in made.bought}
    assert made.currency == "crowns"
    assert cost["upholstery foam, 10 mm"] == pytest.approx(29.0)
    assert cost["seam tape"] == pytest.approx(2 * TAPE_SPARE * made.glue_m)
    assert cost["screws"] == pytest.approx(0.2)
    # Glue by the metre is no measure of glue: nothing is made up.
    assert cost["glue"] is None
    assert made.cost == pytest.approx(29.0 + 2 * TAPE_SPARE * made.glue_m + 0.2)


def test_the_sheets_bought_weigh_what_whole_sheets_do(tube: Pattern) -> None:
    made = cut_list(tube, laid(3), Materials())
    assert made.bought[0].mass_kg == pytest.approx(3 * 0.6 * 1.2 * 0.01 * 30.0)
    assert "3 sheets of 600 x 1200 mm" in made.bought[0].quantity


def test_a_material_of_the_scenes_own_goes_before_the_table(tube: Pattern) -> None:
    said = materials("{own: {upholstery foam: {mass per square metre: 0.5 kg}}}")
    assert cut_list(tube, None, said).pieces[0].mass_kg == pytest.approx(GIRTH_M * 0.3 * 0.5)


@pytest.mark.parametrize("thickness", [0.0, -0.01, float("nan")])
def test_foam_of_no_thickness_is_refused(tube: Pattern, thickness: float) -> None:
    with pytest.raises(SightlineError, match="thicker than nothing"):
        cut_list(replace(tube, foam=foam(thickness)), None, Materials())


def test_foam_that_nobody_knows_is_refused(tube: Pattern) -> None:
    with pytest.raises(SightlineError, match="weighs"):
        cut_list(replace(tube, foam=foam(material="moon cheese")), None, Materials())


@pytest.mark.parametrize(("text", "said"), [
    ("{prices: {upholstery fome: {per sheet: 1}}}", "did you mean 'upholstery foam'"),
    ("{prices: {glue: {per sheet: 1, each: 2}}}", "exactly one"),
    ("{prices: {glue: {}}}", "exactly one"),
    ("{prices: {glue: {each: -2}}}", "outside what can be"),
])  # fmt: skip
def test_wrong_prices_are_told(text: str, said: str) -> None:
    with pytest.raises(FileError, match=said):
        materials(text)
