"""A secret that is somewhere else in every pose: verdicts, single rays and margins take each pose by itself."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.mesh import Cover
from sightline.house.eyes import Eye
from sightline.moment import Moment, Pose, Secret
from sightline.sight.check import check
from sightline.sight.edges import Spots, Tasks
from sightline.sight.fields import Fields
from sightline.sight.margins import margins
from sightline.sight.report import document
from sightline.sight.scenery import Scenery
from tests.sight.meshes import shifted


def hand(x: float, size_m: float = 0.002, two_sided: bool = False) -> Secret:
    return Secret("hand", "limb", shifted(shapes.rectangle(size_m, size_m), x, 0, 0), two_sided=two_sided)


def screen(right: float, y: float = -1.0) -> Cover:
    """A screen that covers all x below `right` in a plane y."""
    return Cover("screen", shifted(shapes.rectangle(40.0, 40.0), right - 20.0, y, 0.0))


def moment(poses: list[Pose], eyes: list[tuple[float, float, float]], still: Pose | None = None) -> Moment:
    seats = tuple(Eye(f"E{i}", "point", at) for i, at in enumerate(eyes))
    return Moment("poses", still or Pose("still"), tuple(poses), seats)


def tasks(pose: list[int], direction: list[tuple[float, float, float]], far_m: float = 4.0) -> Tasks:
    count = len(pose)
    way = np.array(direction, dtype=float)
    zero = np.zeros(count, dtype=np.intp)
    return Tasks(zero, np.array(pose), zero, way, np.full(count, far_m), way, np.arange(count))


@pytest.mark.parametrize("first", ["screened", "free"])
def test_a_single_ray_is_cast_in_its_own_pose(first: str) -> None:
    """In one pose a screen stands before the hand, in the other there is none; the order of the poses is the same to it."""
    screened, free = Pose("a", covers=(screen(20.0),), secrets=(hand(0.0),)), Pose("b", secrets=(hand(3.0),))
    poses = [screened, free] if first == "screened" else [free, screened]
    scenery = Scenery(moment(poses, [(0, -4, 0)]))
    ready = {i: scenery.prepared(pose.secrets[0], i) for i, pose in enumerate(poses)}
    spots = Spots(ready, scenery, moves=True)
    asked = tasks([0, 1, 0, 1], [(0, -1, 0), (0, -1, 0), (0, 1, 0), (0, 1, 0)])
    shows = [first != "screened", first == "screened"]
    # A one-sided hand shows nothing to the back.
    assert spots.reach(asked, asked.direction).tolist() == [*shows, False, False]


def test_a_sheet_shows_to_both_sides_past_itself() -> None:
    """It is a cover as well: the ray starts on the side that is looked at. Along its plane it is not said to be hidden."""
    sheet = hand(0.0, 0.2, two_sided=True)
    scenery = Scenery(moment([Pose("a")], [(0, -4, 0)], Pose("still", secrets=(sheet,))))
    spots = Spots({0: scenery.prepared(sheet, 0)}, scenery, moves=False)
    asked = tasks([0] * 4, [(0, -1, 0), (0, 1, 0), (0.6, -0.8, 0), (0.6, 0.8, 0)])
    assert spots.reach(asked, asked.direction).all()


def test_what_stays_in_place_shows_if_it_does_in_any_pose() -> None:
    still = Pose("still", secrets=(hand(0.0),))
    for poses in ([Pose("a", covers=(screen(20.0),)), Pose("b")], [Pose("a"), Pose("b", covers=(screen(20.0),))]):
        scenery = Scenery(moment(poses, [(0, -4, 0)], still))
        spots = Spots({0: scenery.prepared(still.secrets[0], 0)}, scenery, moves=False)
        asked = tasks([0], [(0, -1, 0)])
        assert spots.reach(asked, asked.direction).tolist() == [True]
    both = [Pose("a", covers=(screen(20.0),)), Pose("b", covers=(screen(19.0),))]
    scenery = Scenery(moment(both, [(0, -4, 0)], still))
    spots = Spots({0: scenery.prepared(still.secrets[0], 0)}, scenery, moves=False)
    assert spots.reach(asked, asked.direction).tolist() == [False]


def test_a_ray_ends_at_the_eyes_own_distance() -> None:
    """A screen 1 m before the hand hides nothing from an eye half a metre before it."""
    still = Pose("still", covers=(screen(20.0),), secrets=(hand(0.0),))
    scenery = Scenery(moment([Pose("a")], [(0, -4, 0)], still))
    spots = Spots({0: scenery.prepared(still.secrets[0], 0)}, scenery, moves=False)
    for far_m, shows in ((0.5, True), (4.0, False)):
        asked = tasks([0], [(0, -1, 0)], far_m)
        assert spots.reach(asked, asked.direction).tolist() == [shows]


def test_the_verdict_is_the_worst_and_names_the_pose() -> None:
    """E0 sees the hand in pose b only, E1 in pose a only, E2 in none, E3 in both, in which b shows twice as much."""
    low = Pose("a", covers=(screen(-0.5),), secrets=(hand(0.0, 0.02),))
    high = Pose(
        "b", covers=(Cover("wall", shifted(shapes.rectangle(40.0, 40.0), 20.5, -1.0, 0.0)),), secrets=(hand(0.0, 0.04),)
    )
    eyes = [(-3.0, -4.0, 0.0), (3.0, -4.0, 0.0), (0.0, 4.0, 0.0), (0.0, -4.0, 0.0)]
    finding = check(moment([low, high], eyes))
    seen = finding.secrets["hand"].sighting.seen
    assert finding.secrets["hand"].verdict.tolist() == [2, 2, 0, 2]
    assert seen.pose[[0, 1, 3]].tolist() == [1, 0, 1]
    # Areas at 5 m and 4 m: the cosine is 0.8 from the sides.
    assert seen.solid_angle_sr == pytest.approx([0.0016 * 0.8 / 25, 0.0004 * 0.8 / 25, 0.0, 0.0016 / 16], rel=1e-2)
    said = [eye["secrets"]["hand"]["pose"] for eye in document(finding, "s.yaml")["eyes"]]
    assert said == ["b", "a", None, "b"]


@pytest.mark.parametrize("swapped", [False, True])
def test_the_margin_is_the_least_over_the_poses(swapped: bool) -> None:
    """The edge is 1 m before the hand: at 0.2 and at 0.5 m to the eye's side, atan of it away from straight ahead."""
    near, far = (Pose(name, covers=(screen(edge),), secrets=(hand(0.0),)) for name, edge in (("a", 0.2), ("b", 0.5)))
    one = moment([far, near] if swapped else [near, far], [(0, -5, 0), (-2.5, -4, 0), (4, -4, 0)])
    finding = check(one)
    assert finding.secrets["hand"].verdict.tolist() == [0, 0, 2]
    (found,) = margins(one, finding.hidden(), Fields(Scenery(one))).values()
    edge = math.degrees(math.atan(0.2))
    turned = math.degrees(math.atan2(2.5, 4.0))
    assert found == pytest.approx([edge, edge + turned, 0.0], abs=0.5)


def test_the_margin_of_a_two_sided_sheet_counts_both_its_sides() -> None:
    """Shut in from the front and open to the back: straight ahead 90 degrees are left to the sheet's own plane, and the
    screen's far edge is nearer than that: atan 2 = 63 degrees."""
    still = Pose("still", covers=(screen(2.0),), secrets=(hand(0.0, two_sided=True),))
    one = moment([Pose("a")], [(0, -5, 0)], still)
    (found,) = margins(one, check(one).hidden(), Fields(Scenery(one))).values()
    assert found == pytest.approx([math.degrees(math.atan(2.0))], abs=0.5)
