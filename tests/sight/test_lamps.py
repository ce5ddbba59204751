"""Shadows of secrets: similar triangles say where they fall, plain rays who sees them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from sightline.cli.words import finding_words, place_words
from sightline.errors import FileError
from sightline.geometry.frame import Placement
from sightline.moment import Moment, Pose
from sightline.scene.reading import scene_from_text
from sightline.sight.check import check
from sightline.staging import stage
from tests.conftest import finding_of, report_of

DISC = "{name: hand, disc: {radius: 10 cm}, at: [0.3 m, 0 m, 1.5 m]}"
WALL = "{name: backdrop, rectangle: {width: 8 m, height: 5 m}, at: [0 m, 2 m, 1 m]}"
LAMP = "{name: front light, at: [0 m, -4 m, 2.5 m]}"
EYES = (
    "{id: E1, at: [2 m, -5 m, 1.2 m]}", "{id: E2, at: [2.5 m, -9 m, 1.2 m]}", "{id: E3, at: [2 m, 4 m, 1.2 m]}",
)  # fmt: skip


def scene(
    covers: list[str] | None = None, lamps: list[str] | None = None, secret: str = DISC, eyes: tuple[str, ...] = EYES
) -> str:
    standing = [WALL] if covers is None else covers
    return (
        f"venue: {{lamps: [{', '.join(lamps or [LAMP])}]}}\n"
        + (f"covers: [{', '.join(standing)}]\n" if standing else "")
        + f"secrets: [{secret}]\neyes: [{', '.join(eyes)}]\n"
    )


def shadows_of(*args: Any, **kwargs: Any) -> list[dict[str, Any]]:
    return list(report_of(scene(*args, **kwargs))["shadows"])


def test_where_the_shadow_of_a_disc_falls() -> None:
    """From the lamp to the disc 4 m, to the wall 6 m: the shadow's middle is 6 / 4 of the way, 0.45 over and 1.0 up."""
    (found,) = shadows_of()
    assert (found["lamp"], found["secret"], found["surface"]) == ("front light", "hand", "backdrop")
    assert found["at_m"] == pytest.approx([0.45, 2.0, 1.0], abs=0.005)


def test_who_sees_it() -> None:
    """E1 and E2 are before the wall, E3 behind it: the wall is opaque. E1 is the nearer."""
    (found,) = shadows_of()
    assert (found["eyes_seen"], found["eye"]) == (2, "E1")


def test_a_slanting_wall_draws_the_shadow_out() -> None:
    """A ray from (0, -4, 1.5) through the disc's edges meets a wall turned by 45 degrees where the lines cross."""
    wall = "{name: backdrop, rectangle: {width: 30 m, height: 9 m}, at: [0 m, 2 m, 1 m], facing: [1, -1, 0]}"
    wide = "{name: hand, rectangle: {width: 2 m, height: 10 cm}, at: [0 m, 0 m, 1.5 m]}"
    (found,) = shadows_of([wall], ["{name: a, at: [0 m, -4 m, 1.5 m]}"], wide)
    # Wall: y = 2 + x; ray: x = s (y + 4), |s| <= 0.25. So x = 6 s / (1 - s), and the shadow's height grows with the way
    # from the lamp, y + 4 = 6 / (1 - s): the centroid of a trapezoid, from a fine sum.
    s = np.linspace(-0.25, 0.25, 100_001)
    x, weight = 6 * s / (1 - s), (6 / (1 - s)) * (6 / (1 - s) ** 2)
    middle = float((x * weight).sum() / weight.sum())
    assert middle > 0.3
    assert found["at_m"] == pytest.approx([middle, 2 + middle, 1.5], abs=0.01)


def test_a_cover_between_lamp_and_secret_takes_the_shadow_away() -> None:
    flag = "{name: flag, rectangle: {width: 40 cm, height: 40 cm}, at: [0.15 m, -2 m, 2.0 m]}"
    assert shadows_of([WALL, flag]) == []
    half = "{name: flag, rectangle: {width: 40 cm, height: 40 cm}, at: [0.15 m, -2 m, 2.2 m]}"
    (found,) = shadows_of([WALL, half])
    # The flag's lower edge at 2.0 keeps light from above 1.5: what is left lies lower.
    assert found["at_m"][2] == pytest.approx(1.0 - 1.5 * 4 * 0.1 / (3 * np.pi), abs=0.01)


def test_a_shadow_that_nobody_sees() -> None:
    """Eyes behind the wall, and one before it whose way to the shadow a column stands in."""
    column = "{name: column, box: {width: 80 cm, depth: 10 cm, height: 4 m}, at: [1.225 m, -1.5 m, 1 m]}"
    (found,) = shadows_of([WALL, column], eyes=(EYES[0], EYES[2]))
    assert (found["eyes_seen"], found["eye"]) == (0, None)
    moved = column.replace("1.225 m", "2.2 m")
    (found,) = shadows_of([WALL, moved], eyes=(EYES[0], EYES[2]))
    assert (found["eyes_seen"], found["eye"]) == (1, "E1")


def test_the_floor_where_nothing_else_stands() -> None:
    """Straight above: lamp 4 m up, a level disc 2 m up, twice the way to the floor."""
    level = "{name: hand, disc: {radius: 10 cm}, at: [0 m, 0 m, 2 m], facing: [0, 0, 1]}"
    (found,) = shadows_of([], ["{name: top, at: [0.5 m, -2 m, 4 m]}"], level)
    assert found["surface"] == "floor"
    assert found["at_m"] == pytest.approx([-0.5, 2.0, 0.0], abs=0.005)
    assert found["eyes_seen"] == 3
    below = ("{id: E1, at: [2 m, -5 m, -0.3 m]}",)
    (found,) = shadows_of([], ["{name: top, at: [0.5 m, -2 m, 4 m]}"], level, below)
    assert found["eyes_seen"] == 0


def test_light_that_meets_nothing_throws_no_shadow() -> None:
    assert shadows_of([], ["{name: low, at: [0 m, -4 m, 0.5 m]}"]) == []


def test_a_shadow_over_an_edge_is_told_for_both_surfaces() -> None:
    """The wall ends at 1.0 up, the middle of the shadow: its lower half on the wall, the other half on one behind."""
    low = "{name: low wall, rectangle: {width: 8 m, height: 2 m}, at: [0 m, 2 m, 0 m]}"
    back = "{name: back wall, rectangle: {width: 20 m, height: 20 m}, at: [0 m, 5 m, 0 m]}"
    found = {shadow["surface"]: shadow["at_m"] for shadow in shadows_of([low, back])}
    assert set(found) == {"low wall", "back wall"}
    # A half disc's centroid is 4 r / 3 pi from its edge; the shadow's radius is 6 / 4 of the disc's.
    assert found["low wall"][2] == pytest.approx(1.0 - 4 * 0.15 / (3 * np.pi), abs=0.01)


@pytest.mark.parametrize(("aim", "falls"), [("[0.3 m, 0 m, 1.5 m]", True), ("[3 m, 0 m, 1.5 m]", False)])
def test_only_within_the_beam(aim: str, falls: bool) -> None:
    lamp = f"{{name: spot, at: [0 m, -4 m, 2.5 m], aim: {aim}, beam: 10 deg}}"
    assert bool(shadows_of(lamps=[lamp])) is falls


def test_a_beam_cuts_the_shadow() -> None:
    """A cone of 1 degree is 36 mm in radius at 4.13 m: light on the middle of the disc only, and still on its middle."""
    lamp = "{name: spot, at: [0 m, -4 m, 2.5 m], aim: [0.35 m, 0 m, 1.5 m], beam: 1 deg}"
    (found,) = shadows_of(lamps=[lamp])
    assert found["at_m"] == pytest.approx([0.525, 2.0, 1.0], abs=0.015)


def test_lit_from_behind_as_from_before() -> None:
    """The front of a one-sided secret faces away from this lamp, which its shadow does not mind."""
    (found,) = shadows_of(secret=DISC.replace("}, at", "}, facing: full back, at"))
    assert found["at_m"] == pytest.approx([0.45, 2.0, 1.0], abs=0.005)


def test_a_solid_throws_one_shadow() -> None:
    ball = "{name: hand, sphere: {radius: 10 cm}, at: [0 m, 0 m, 1.5 m]}"
    (found,) = shadows_of(lamps=["{name: a, at: [0 m, -4 m, 1.5 m]}"], secret=ball)
    assert found["at_m"] == pytest.approx([0.0, 2.0, 1.5], abs=0.005)


def moment_of(text: str) -> Moment:
    return stage(scene_from_text("version: 1\n" + text))


def test_seams_and_holes_throw_none() -> None:
    seam = "{name: hand, kind: seam, path: [[0 m, 0 m, 1.5 m], [0.3 m, 0 m, 1.5 m]]}"
    assert shadows_of(secret=seam) == []
    moment = moment_of(scene())
    assert len(check(moment).shadows) == 1
    hole = replace(moment.still.secrets[0], covers=False)
    assert check(replace(moment, still=replace(moment.still, secrets=(hole,)))).shadows == ()


def test_of_all_poses_any_eye_counts_and_the_most_seen_is_told() -> None:
    """A fin upstage on the centre line: one eye on the left side of the house, two on the right, each sees its own."""
    fin = "{name: fin, rectangle: {width: 2 m, height: 4 m}, at: [0 m, 1 m, 1 m], facing: [1, 0, 0]}"
    left, right = "{id: L, at: [-3 m, -5 m, 1.2 m]}", "{id: R, at: [3 m, -5 m, 1.2 m]}"
    far = "{id: F, at: [3.5 m, -6 m, 1.2 m]}"
    moment = moment_of(scene([WALL, fin], eyes=(left, right, far)))
    hand = moment.still.secrets[0]
    over = replace(hand, mesh=hand.mesh.placed(Placement(np.eye(3), np.array([-0.6, 0.0, 0.0]))))
    alone = {
        name: check(replace(moment, still=replace(moment.still, secrets=(secret,)))).shadows[0]
        for name, secret in (("right", hand), ("left", over))
    }
    assert (alone["right"].eyes_seen, alone["left"].eyes_seen) == (2, 1)
    poses = (Pose("left", secrets=(over,)), Pose("right", secrets=(hand,)))
    for order in (poses, poses[::-1]):
        (found,) = check(replace(moment, still=replace(moment.still, secrets=()), poses=order)).shadows
        assert found.eyes_seen == 3
        assert found.at_m == pytest.approx((0.45, 2.0, 1.0), abs=0.005)


def test_each_lamp_by_itself_in_the_order_written() -> None:
    lamps = ["{name: z, at: [0 m, -4 m, 2.5 m]}", "{name: a, at: [2 m, -4 m, 2.5 m]}"]
    first, second = shadows_of(lamps=lamps)
    assert (first["lamp"], second["lamp"]) == ("z", "a")
    assert second["at_m"][0] == pytest.approx(2 - 1.7 * 1.5, abs=0.005)


def test_it_is_said_on_both_sides_of_the_house() -> None:
    text = finding_words(report_of(scene()), "")
    assert (
        "lamp 'front light' throws the shadow of hand on the backdrop, 0.45 m house right (stage left) of the centre "
        "line, 2.00 m upstage, 1.00 m up: 2 see it, E1 most"
    ) in text
    nobody = finding_words(report_of(scene(eyes=(EYES[2],))), "")
    assert "lamp '" not in nobody
    assert "  1 shadow of a secret falls where nobody sees it\n" in nobody
    assert (
        place_words([-1.2, -0.5, 0.0])
        == "1.20 m house left (stage right) of the centre line, 0.50 m downstage, 0.00 m up"
    )
    assert place_words([0.0, 0.5, 1.0]).startswith("on the centre line")


def test_what_is_taken_for_granted_is_said() -> None:
    report = report_of(scene())
    assert any("Lamps are points" in said for said in report["assumptions"])
    assert "mirrors not drawn: not checked" in report["not_checked"]


def test_lamps_change_no_verdict() -> None:
    with_lamps, without = report_of(scene()), report_of(scene().split("\n", 1)[1])
    assert with_lamps["eyes"] == without["eyes"]


@pytest.mark.parametrize(
    ("lamp", "says"),
    [
        ("{name: a}", "The key 'at' is missing"),
        ("{name: a, at: [0 m, 1 m]}", "missing"),
        ("{name: a, at: [0 m, 1 m, 4]}", "has no unit"),
        ("{name: a, at: [0 m, 1 m, 4 m], beem: 10 deg}", "did you mean 'beam'?"),
        ("{name: a, at: [0 m, 1 m, 4 m], beam: 10 deg}", "needs something to aim at"),
        ("{name: a, at: [0 m, 1 m, 4 m], aim: [0 m, 0 m, 1 m], beam: 0 deg}", "more than nothing"),
        ("{name: a, at: [0 m, 1 m, 4 m], aim: [0 m, 1 m, 4 m], beam: 25 deg}", "where it hangs"),
        ("{at: [0 m, 1 m, 4 m]}", "The key 'name' is missing"),
    ],
)
def test_bad_lamps(lamp: str, says: str) -> None:
    text = f"version: 1\nvenue:\n  lamps:\n    - {lamp}\nsecrets: [{DISC}]\neyes: [{EYES[0]}]\n"
    with pytest.raises(FileError) as caught:
        scene_from_text(text)
    assert says in str(caught.value)
    assert "scene.yaml:4:" in str(caught.value)


def test_two_lamps_of_one_name_are_refused() -> None:
    text = f"venue:\n  lamps:\n    - {LAMP}\n    - {LAMP}\nsecrets: [{DISC}]\neyes: [{EYES[0]}]\n"
    with pytest.raises(FileError, match="already a lamp") as caught:
        finding_of(text)
    assert "scene.yaml:5:" in str(caught.value)
