"""Where nobody may walk: distances worked out by hand, refusals with their line, and what may be walked past."""

from __future__ import annotations

from textwrap import dedent, indent

import numpy as np
import pytest

from sightline.blocking.beats import steps
from sightline.blocking.keepout import KeepOut, obstacles
from sightline.blocking.wayside import check_ways
from sightline.errors import FileError
from sightline.house.ground import way_to_way_m
from sightline.scene.reading import scene_from_text
from sightline.staging.stage import put_together
from tests.house.venues import house_of, ready_house

PIT = """
stage: {kind: floor}
seats: [{block: front, rows: 1, seats: 1, first row: 6 m}]
exits: [{name: door, line: [[3 m, -1 m], [3 m, 1 m]]}]
keep clear: [{name: lane, rectangle: {from: [-3 m, 2 m], to: [3 m, 4 m]}}]
edges: [{name: pit, line: [[-4 m, -3 m], [4 m, -3 m]]}]
"""


def keep(text: str = PIT) -> KeepOut:
    return obstacles(house_of(text))


@pytest.mark.parametrize(
    ("way", "other", "distance"),
    [
        ([[0, 0]], [[3, 4]], 5.0),
        ([[0, 0]], [[-1, 2], [1, 2]], 2.0),
        ([[0, 0]], [[3, 4], [6, 4]], 5.0),
        ([[0, 0], [2, 0]], [[1, -1], [1, 1]], 0.0),
        ([[0, 0], [2, 0]], [[5, 4], [5, -4]], 3.0),
        ([[0, 0], [1, 0], [1, 5]], [[4, 5], [9, 5]], 3.0),
    ],
)
def test_distances(way: list[list[float]], other: list[list[float]], distance: float) -> None:
    a, b = np.array(way, dtype=float), np.array(other, dtype=float)
    assert way_to_way_m(a, b) == pytest.approx(distance)
    assert way_to_way_m(b, a) == pytest.approx(distance)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ([[0, 0]], None),
        ([[0, -1.99]], None),
        ([[0, -2.01]], "The mark comes within 0.99 m of the edge 'pit'; 'from edges' keeps 1.00 m."),
        ([[0, 3]], "The mark is in the area to be kept clear, 'lane'."),
        ([[0, 1.8]], "The mark comes within 0.20 m of the area to be kept clear, 'lane'"),
        ([[0, 1.7]], None),
        # Both ends are outside, and no corner of either is in the other.
        ([[0, 1], [0, 5]], "The way goes through the area to be kept clear, 'lane'."),
        ([[2, 0], [5, 0]], "The way goes through the exit 'door'."),
        ([[2, 0], [2.8, 0]], "The way comes within 0.20 m of the exit 'door'"),
        ([[0, 0], [0, -4]], "The way comes within 0.00 m of the edge 'pit'"),
    ],
)
def test_refusals(points: list[list[float]], said: str | None) -> None:
    found = keep().refusal(np.array(points, dtype=float), 1.0)
    assert (found is None) if said is None else (found is not None and said in found)


def test_edges_are_kept_as_far_from_as_the_scene_says() -> None:
    assert keep().refusal(np.array([[0.0, -2.5]]), 0.4) is None
    assert keep().refusal(np.array([[0.0, -2.5]]), 0.6) is not None


def test_the_hole_of_a_ring_may_be_stood_in_but_two_areas_of_one_name_are_both_kept_clear() -> None:
    ring = keep(PIT.replace("rectangle: {from: [-3 m, 2 m], to: [3 m, 4 m]}", "ring: {inner: 2 m, outer: 3 m}"))
    assert ring.refusal(np.array([[0.0, 0.0]]), 1.0) is None
    assert "is in the area" in str(ring.refusal(np.array([[0.0, 2.5]]), 1.0))
    assert "goes through" in str(ring.refusal(np.array([[0.0, 0.0], [0.0, 4.0]]), 0.0))
    twice = PIT.replace("keep clear: [", "keep clear: [{name: lane, rectangle: {from: [-4 m, 1 m], to: [4 m, 5 m]}}, ")
    assert "is in the area" in str(keep(twice).refusal(np.array([[0.0, 3.0]]), 1.0))


def test_the_open_edge_of_a_raised_stage_is_an_edge_and_its_back_is_not() -> None:
    stage = obstacles(ready_house("proscenium-420"))
    assert stage.drawn
    # The apron ends 1.6 m before the plaster line, on the centre line.
    assert stage.refusal(np.array([[0.0, -0.5]]), 1.0) is None
    assert "0.90 m of the edge 'of the stage'" in str(stage.refusal(np.array([[0.0, -0.7]]), 1.0))
    # At the plaster line beside the opening stands the proscenium wall.
    assert stage.refusal(np.array([[6.5, 0.3]]), 1.0) is None
    # The back wall of the stage is 8.5 m upstage.
    assert stage.refusal(np.array([[0.0, 8.3]]), 1.0) is None
    flat = obstacles(house_of("stage: {kind: thrust, width: 8 m, depth: 6 m}\n" + PIT.split("}", 1)[1].strip()))
    assert [edge.name for edge in flat.edges] == ["pit"]
    round_stage = obstacles(
        house_of("stage: {kind: round, radius: 3 m, height: 40 cm}\neyes: [{id: a, at: [9 m, 0 m, 1 m]}]")
    )
    assert "0.50 m of the edge 'of the stage'" in str(round_stage.refusal(np.array([[0.0, 2.5]]), 1.0))


def test_what_is_not_drawn_is_said() -> None:
    bare = obstacles(house_of("stage: {kind: floor}\neyes: [{id: a, at: [9 m, 0 m, 1 m]}]"))
    assert not bare.drawn
    assert bare.refusal(np.array([[0.0, 0.0]]), 1.0) is None
    assert bare.not_checked() == "exits and edges not drawn: not checked"
    assert keep().not_checked() is None


SCENE = """\
version: 1
secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}, at: [0 m, 0 m, 1.2 m], carried: yes}]
eyes: [{id: E1, at: [0 m, -9 m, 1.2 m]}]
venue:
  stage: {kind: proscenium, height: 1 m, width: 12 m, depth: 8 m, apron: 2 m, proscenium: {opening: 8 m, height: 4 m}}
  scenery:
    - {name: screen, flat: {width: 2 m, height: 2 m}, at: [0 m, 3 m, 0 m]}
    - {name: border, border: {width: 8 m, height: 1 m}, at: [0 m, 2 m, 2.2 m]}
    - {name: pole, column: {radius: 2 cm, height: 3 m}, at: [2 m, 1 m, 0 m]}
    - {name: bar, rail: {from: [-3.5 m, 1.5 m], to: [-1.5 m, 1.5 m], height: 1.02 m, thickness: 3 cm}}
    - {name: block, box: {width: 4 m, depth: 2 m, height: 3 m}, at: [0 m, 6.5 m, 0 m]}
"""


def ways(beats: str) -> str | None:
    text = SCENE + "blocking:\n" + indent(dedent(beats).strip("\n"), "  ") + "\n"
    written = scene_from_text(text)
    staged = put_together(written)
    return check_ways(written, steps(written, staged.house.eyes), staged.house)


@pytest.mark.parametrize(
    ("mark", "path", "what"),
    [
        ("[0 m, 4.5 m]", "", "'screen'"),
        # Half a body's width beside the flat.
        ("[1.2 m, 4.5 m]", "[[1.2 m, 1 m]]", "'screen'"),
        ("[1.4 m, 4.5 m]", "[[1.4 m, 1 m]]", None),
        # Under the border, whose lower edge is 2.2 m up.
        ("[0 m, 2.5 m]", "", None),
        # A thin pole and a thin bar, met anywhere across the body.
        ("[2.07 m, 2 m]", "[[2.07 m, 0 m]]", "'pole'"),
        ("[2.17 m, 2 m]", "[[2.17 m, 0 m]]", "'pole'"),
        ("[-2.5 m, 2.5 m]", "[[-2.5 m, 0.5 m]]", "'bar'"),
        ("[-1 m, 0 m]", "", None),
        ("[-1 m, -1.5 m]", "", "the edge 'of the stage'"),
    ],
)
def test_a_way_through_what_is_built_is_an_error_with_its_line(mark: str, path: str, what: str | None) -> None:
    beats = f"beats:\n  - {{at: 0 s, mark: [0 m, 0 m]}}\n  - at: 30 s\n    mark: {mark}\n" + (
        f"    path: {path}\n" if path else ""
    )
    if what is None:
        ways(beats)
        return
    with pytest.raises(FileError) as caught:
        ways(beats)
    assert what in str(caught.value)
    assert "(to 'beat 2')" in str(caught.value)
    line = len(SCENE.splitlines()) + (6 if path else 5)
    assert f"scene.yaml:{line}:" in str(caught.value)
    assert f"blocking.beats[1].{'path' if path else 'mark'}" in str(caught.value)


def test_a_mark_inside_something_solid_is_an_error_without_any_way() -> None:
    with pytest.raises(FileError, match="'block'") as caught:
        ways("mark: [0 m, 6.5 m]")
    assert "blocking.mark" in str(caught.value)


def test_every_bad_way_is_told_at_once() -> None:
    with pytest.raises(FileError) as caught:
        ways(
            "beats:\n  - {at: 0 s, mark: [0 m, 1 m]}\n  - {at: 9 s, mark: [0 m, 4 m]}\n  - {at: 19 s, mark: [0 m, 1 m]}"
        )
    assert len(caught.value.problems) == 2
