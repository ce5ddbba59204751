"""Every scene of the gallery against its closed form, in all three ways of looking; the page in docs against them."""

from __future__ import annotations

import math
import re
import sys

import numpy as np
import pytest

from sightline.errors import SightlineError
from sightline.sight.rays import Blockers
from tests.published.gallery import CASES
from tests.published.gallery.__main__ import PAGE
from tests.published.gallery.case import Case, Turning
from tests.published.gallery.paths import Looking
from tests.published.gallery.sizes import over_the_rim
from tests.published.gallery.table import SECTIONS, head, section


def test_there_are_enough_and_each_has_its_own_name() -> None:
    assert len(CASES) >= 25
    assert len({case.name for case in CASES}) == len(CASES)
    assert [case for _, cases in SECTIONS for case in cases] == list(CASES)


@pytest.mark.parametrize(("title", "cases"), SECTIONS, ids=[title for title, _ in SECTIONS])
def test_scenes(title: str, cases: tuple[Case, ...]) -> None:
    """Within tolerance in each way of looking, and on the page as the command would write it."""
    found = [Looking(case).got() for case in cases]
    for case, got in zip(cases, found, strict=True):
        for value in (got.exact, got.field, got.doubles):
            assert value == pytest.approx(case.expected, abs=case.tolerance + 1e-12), (case.name, got)
        if not isinstance(case.measure, Turning):
            # A field only ever spares rays: what it leaves is the same.
            assert got.field == pytest.approx(got.exact, rel=1e-9), case.name
    assert section(title, cases, found) in PAGE.read_text(encoding="utf-8"), "run python -m tests.published.gallery"


def test_the_page_has_nothing_but_its_head_and_sections() -> None:
    top, *parts = re.split(r"(?m)^(?=## )", PAGE.read_text(encoding="utf-8"))
    assert top == head() + "\n"
    assert [part.partition("\n")[0] for part in parts] == [f"## {title}" for title, _ in SECTIONS]
    # The sections themselves are held to the figures above, from the heading to the last note.
    for part, (_, cases) in zip(parts, SECTIONS, strict=True):
        lines = part.rstrip("\n").split("\n")
        assert len(lines) == 5 + 2 * len(cases)


def test_a_tolerance_can_be_missed() -> None:
    """None is so wide that it says nothing: an edge 3 % of the secret aside is told in every kind of scene."""
    for name, was, now in (
        ("panel before a wider square", "width: 0.1", "width: 0.12"),
        ("round hole in a wall, on its axis", "-1 m, 0 m", "-1.2 m, 0 m"),
        ("seam behind one slat", "width: 0.1", "width: 0.12"),
        ("narrow mirror as a window", "width: 0.2", "width: 0.22"),
        ("edge of a half plane", "[-19.7", "[-19.68"),
        ("umbra for two eyes", "width: 0.1", "width: 0.103"),
    ):
        case = next(case for case in CASES if case.name == name)
        assert was in case.scene
        other = Case(**{**vars(case), "scene": case.scene.replace(was, now)})
        assert abs(Looking(other).exact() - case.expected) > case.tolerance, name


def test_brute_force_needs_no_ray_library(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("embreex", "embreex.rtcore_scene", "embreex.mesh_construction"):
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(SightlineError, match="ray library"):
        Blockers([])
    for name in ("square half covered midway", "narrow mirror as a window", "ball sunk into a floor but for a cap"):
        case = next(case for case in CASES if case.name == name)
        assert Looking(case).doubles() == pytest.approx(case.expected, abs=case.tolerance)


def test_a_disc_from_over_its_rim_by_quadrature() -> None:
    """The formula from memory against the integral of h / d3 over the disc, by rings and spokes."""
    r, h = 0.1, 0.07
    rho = (np.arange(400) + 0.5) / 400 * r
    turn = 2 * math.pi * (np.arange(400) + 0.5) / 400
    d2 = h**2 + (rho[:, None] * np.cos(turn) - r) ** 2 + (rho[:, None] * np.sin(turn)) ** 2
    cell = (r / 400) * rho[:, None] * 2 * math.pi / 400
    assert over_the_rim(r, h) == pytest.approx(float((h / d2**1.5 * cell).sum()), rel=1e-4)
