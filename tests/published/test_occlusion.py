"""Covers in closed form: shadow lines, similar triangles, and an obstructed view factor."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import rectangle
from sightline.sight.leak import visible
from sightline.sight.patches import patches_of
from sightline.sight.rays import Blockers
from tests.conftest import leak_of_scene, report_of


def lying(width_m: float, depth_m: float, height_m: float, up: bool, at: tuple[float, float] = (0.0, 0.0)) -> Mesh:
    """A level rectangle with its normal up or down."""
    sheet = rectangle(width_m, depth_m)
    flat = np.column_stack([sheet.vertices[:, 0] + at[0], sheet.vertices[:, 2] + at[1], np.full(4, height_m)])
    return Mesh.of(flat, sheet.faces if up else sheet.faces[:, ::-1])


@pytest.mark.parametrize(
    ("blocker", "expected"),
    [
        # Opposite faces of a unit cube 0.199824896 (View3D manual); a quarter square at mid height takes a quarter
        # of the pairs by symmetry: 0.75 x 0.19982489569838746. Geometry: View3D example "square-obstruction".
        ((0.25, 0.25), 0.1498686718),
        # The same blocker centred: 0.0995062946 by quadrature.
        ((0.5, 0.5), 0.0995062946),
        (None, 0.1998248957),
    ],
)
def test_view_factor_past_a_square(blocker: tuple[float, float] | None, expected: float) -> None:
    floor = patches_of(lying(1, 1, 0, True, (0.5, 0.5)), 0.04, two_sided=False)
    lid = patches_of(lying(1, 1, 1, False, (0.5, 0.5)), 0.04, two_sided=False)
    square = [lying(0.5, 0.5, 0.5, True, blocker)] if blocker else []
    seen = visible(floor, [Blockers(square)], lid.centres)
    step = lid.centres[:, None] - floor.centres[None]
    distance2 = np.einsum("ijk,ijk->ij", step, step)
    cosines = step[:, :, 2] ** 2 / distance2
    factor = (seen * cosines / (math.pi * distance2) * lid.areas[:, None] * floor.areas[None]).sum()
    assert factor == pytest.approx(expected, rel=0.01)


def test_shadow_line_of_a_half_plane() -> None:
    """Edge 1.10 m high at 8 m, eye at 1.20 m: at 8.4 m the shadow line is at 1.20 + (1.10 - 1.20) 8.4 / 8 = 1.0950 m."""

    def visible_share(top_m: float) -> float:
        scene = f"""
            detail: 2 cm
            covers: [{{name: edge, rectangle: {{width: 40 m, height: 2 m}}, at: [0 m, 8 m, 0.10 m]}}]
            secrets: [{{name: target, rectangle: {{width: 2 mm, height: 2 mm}}, at: [0 m, 8.4 m, {top_m:.6f} m]}}]
            eyes: [{{id: E1, at: [0 m, 0 m, 1.2 m]}}]
        """
        return float(leak_of_scene(scene)["visible_fraction"])

    low, high = 1.05, 1.15
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (low, middle) if visible_share(middle) > 0.5 else (middle, high)
    assert (low + high) / 2 == pytest.approx(1.0950, abs=0.001)


def test_panel_hides_in_proportion_to_distance() -> None:
    """A panel of 0.40 m at 10 m hides 0.40 x 10.3 / 10 = 0.412 m at 10.3 m."""

    def seen_from_the_middle(x_m: float) -> bool:
        scene = f"""
            covers: [{{name: panel, rectangle: {{width: 40 cm, height: 4 m}}, at: [0 m, 10 m, 0 m]}}]
            secrets: [{{name: target, rectangle: {{width: 1 mm, height: 1 mm}}, at: [{x_m:.6f} m, 10.3 m, 0 m]}}]
            eyes: [{{id: E1, at: [0 m, 0 m, 0 m]}}]
        """
        return bool(leak_of_scene(scene)["visible_fraction"] > 0.5)

    assert not seen_from_the_middle(0.2055)
    assert seen_from_the_middle(0.2065)
    assert not seen_from_the_middle(-0.2055)
    assert seen_from_the_middle(-0.2065)


def test_closed_tube_in_the_open_shows_half() -> None:
    scene = """
        secrets: [{name: target, cylinder: {radius: 5 cm, height: 60 cm}}]
        eyes:
          - {id: E1, at: [0 m, -12 m, 0 m]}
          - {id: E2, at: [7 m, 3 m, 2 m]}
    """
    for eye in ("E1", "E2"):
        assert 0.45 <= leak_of_scene(scene, eye)["visible_fraction"] <= 0.55


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.lists(
        st.tuples(st.floats(-0.6, 0.6), st.floats(-2.5, -0.5), st.floats(-0.6, 0.6), st.floats(0.02, 0.6)),
        min_size=1,
        max_size=4,
    )
)
def test_adding_a_cover_never_raises_a_leak(covers: list[tuple[float, float, float, float]]) -> None:
    def leaks(count: int) -> list[dict[str, float]]:
        lines = "".join(
            f"\n  - {{name: c{i}, disc: {{radius: {r:.4f} m}}, at: [{x:.4f} m, {y:.4f} m, {z:.4f} m]}}"
            for i, (x, y, z, r) in enumerate(covers[:count])
        )
        text = "secrets:\n  - {name: target, cylinder: {radius: 10 cm, height: 50 cm}}\n" + (
            "covers:" + lines + "\n" if count else ""
        )
        text += "eyes:\n  - {id: E1, at: [0 m, -4 m, 0 m]}\n  - {id: E2, at: [1 m, -3 m, 0.4 m]}\n"
        return [eye["secrets"]["target"] for eye in report_of(text)["eyes"]]

    before = leaks(0)
    for count in range(1, len(covers) + 1):
        after = leaks(count)
        for old, new in zip(before, after, strict=True):
            assert new["visible_fraction"] <= old["visible_fraction"] + 1e-12
            assert new["solid_angle_sr"] <= old["solid_angle_sr"] * (1 + 1e-9)
        before = after
