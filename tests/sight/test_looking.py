"""A whole look at a moment: each secret and must-see by its name, patches looked at closer, bounds of the act alone."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.frame import Placement, about_z
from sightline.geometry.mesh import Cover
from sightline.house.eyes import Eye
from sightline.house.mirrors import Mirror
from sightline.moment import Moment, MustSee, Pose, Secret
from sightline.sight.check import check
from sightline.sight.fields import Fields
from sightline.sight.leak import leak_of
from sightline.sight.looking import look
from sightline.sight.margins import margins
from sightline.sight.mirrors import TwoLegs
from sightline.sight.prepared import PreparedSurface
from sightline.sight.reasons import reason
from sightline.sight.report import document
from sightline.sight.scenery import Scenery
from tests.sight.meshes import shifted

AHEAD = (Eye("E0", "point", (0.0, -9.0, 0.0)),)


def disc(name: str, x: float, radius_m: float = 0.02) -> Secret:
    return Secret(name, "limb", shifted(shapes.disc(radius_m), x, 0.0, 0.0))


@pytest.mark.parametrize("order", [("b", "a", "c"), ("a", "b", "c"), ("c", "b", "a")])
@pytest.mark.parametrize("moving", [False, True])
def test_secrets_are_told_apart_by_name(order: tuple[str, ...], moving: bool) -> None:
    """Of three secrets in two poses `b` stands behind a plate. In the second pose all are moved by 2 cm."""
    x = {"a": -1.0, "b": 0.0, "c": 1.0}
    plate = Cover("plate", shifted(shapes.rectangle(0.4, 0.4), 0.0, -0.5, 0.0))
    first, second = (tuple(disc(name, x[name] + by) for name in order) for by in (0.0, 0.02))
    if moving:
        moment = Moment(
            "m", Pose("still", covers=(plate,)), (Pose("p", secrets=first), Pose("q", secrets=second)), AHEAD
        )
    else:
        moment = Moment("m", Pose("still", covers=(plate,), secrets=first), (Pose("p"),), AHEAD)
    finding = check(moment)
    assert list(finding.secrets) == list(order)
    assert {name: found.verdict.tolist() for name, found in finding.secrets.items()} == {"a": [2], "b": [0], "c": [2]}
    assert [found.sighting.secret.name for found in finding.secrets.values()] == list(order)
    for name, found in finding.secrets.items():
        first_ready = found.sighting.first
        assert isinstance(first_ready, PreparedSurface)
        assert first_ready.patches.centres[:, 0].mean() == pytest.approx(x[name], abs=0.002)
        assert list(found.sighting.ready) == ([0, 1] if moving else [0])
        assert found.sighting.count == first_ready.count


@pytest.mark.parametrize("order", [("b", "a", "c"), ("c", "b", "a")])
def test_must_sees_are_told_apart_by_name(order: tuple[str, ...]) -> None:
    """`b` stands behind a plate, `a` is twice as large as `c`."""
    things = {"a": (-2.0, 0.2), "b": (0.0, 0.1), "c": (2.0, 0.1)}
    plate = Cover("plate", shifted(shapes.rectangle(0.4, 0.4), 0.0, -0.5, 0.0))
    must = tuple(MustSee(n, shifted(shapes.disc(things[n][1]), things[n][0], 0.0, 0.0)) for n in order)
    for still, pose in ((must, ()), ((), must), (must[:1], must[1:])):
        moment = Moment("m", Pose("still", covers=(plate,), must_see=still), (Pose("p", must_see=pose),), AHEAD)
        found = check(moment).must_see
        assert {name: seen.clear_fraction.tolist() for name, seen in found.items()} == {"a": [1], "b": [0], "c": [1]}
        ratio = found["a"].solid_angle_sr[0] / found["c"].solid_angle_sr[0]
        assert ratio == pytest.approx(4.0, rel=1e-2)


def test_patches_beside_a_visible_one_are_looked_at_closer() -> None:
    """A screen's edge through a square: the size is that of the split patches, the fraction that of whole ones."""
    square = Secret("target", "limb", shapes.rectangle(0.2, 0.2))
    screen = Cover("screen", shifted(shapes.rectangle(4.0, 4.0), -1.993, -0.5, 0.0))
    seats = (*AHEAD, Eye("E1", "point", (0.4, -7.0, 0.1)), Eye("E2", "point", (0.0, 9.0, 0.0)))
    moment = Moment("m", Pose("still", covers=(screen,), secrets=(square,)), (Pose("p"),), seats)
    seen = check(moment).secrets["target"].sighting.seen
    scenery = Scenery(moment)
    ready = scenery.prepared(square, 0)
    assert isinstance(ready, PreparedSurface)
    plain, closer = (leak_of(ready.patches, [scenery.still], moment.eye_points(), split) for split in (False, True))
    assert closer.solid_angle_sr[0] > plain.solid_angle_sr[0]
    assert seen.solid_angle_sr == pytest.approx(closer.solid_angle_sr)
    assert seen.area_m2 == pytest.approx(plain.area_m2)


def test_in_a_mirror_they_are_looked_at_closer_too() -> None:
    """The target's front is towards the mirror upstage; half of it is covered on that side."""
    back = Placement(about_z(math.pi), np.zeros(3))
    square = Secret("target", "limb", shapes.rectangle(0.2, 0.2).placed(back))
    screen = Cover("screen", shifted(shapes.rectangle(4.0, 4.0), -1.993, 0.5, 0.0))
    glass = Mirror("glass", Placement(np.eye(3), np.array([0.0, 3.0, 0.0])), (2.0, 2.0))
    seats = (Eye("E0", "point", (1.5, -2.0, 0.0)),)
    moment = Moment("m", Pose("still", covers=(screen,), secrets=(square,)), (Pose("p"),), seats, mirrors=(glass,))
    sighting = check(moment).secrets["target"].sighting
    scenery = Scenery(moment)
    ready = scenery.prepared(square, 0)
    assert isinstance(ready, PreparedSurface)
    legs = TwoLegs(glass, [scenery.still])
    image = glass.reflected(moment.eye_points())
    assert sighting.seen.via.tolist() == [0]
    plain, closer = (leak_of(ready.patches, [legs], image, split) for split in (False, True))
    assert closer.solid_angle_sr[0] > plain.solid_angle_sr[0]
    assert sighting.seen.solid_angle_sr == pytest.approx(closer.solid_angle_sr)


@pytest.mark.parametrize("rows", [3, 24])
def test_proofs_by_flat_faces_change_no_result(rows: int) -> None:
    """With few eyes rays alone are cast, with many large flat faces rule out pairs beforehand: the same comes out."""
    target = Secret("target", "limb", shapes.box(0.3, 0.3, 0.3))
    screen = Cover("screen", shifted(shapes.rectangle(1.2, 0.8), -0.4, -0.6, 0.0))
    places = [(x, -4.0 - y, 0.2 * y) for x in np.linspace(-3, 3, 20) for y in range(rows)]
    seats = tuple(Eye(f"E{i}", "point", (float(x), float(y), float(z))) for i, (x, y, z) in enumerate(places))
    moment = Moment("m", Pose("still", covers=(screen,), secrets=(target,)), (Pose("p"),), seats)
    scenery = Scenery(moment)
    ready = scenery.prepared(target, 0)
    assert isinstance(ready, PreparedSurface)
    exact = leak_of(ready.patches, [scenery.still], moment.eye_points())
    seen = look(moment).sightings["target"].seen
    assert seen.area_m2 == pytest.approx(exact.area_m2)
    assert 0 < (seen.area_m2 == 0).sum() < len(seats)


def test_where_scenery_hides_all_the_acts_own_bound_stands() -> None:
    """The act's plate ends 0.25 m to the side, 0.3 m before the target: 39.8 degrees away. Walls all round hide the rest
    from everywhere, so no ray can find an edge; the bound is on the low side by a few degrees and never above."""
    plate = Cover("plate", shifted(shapes.rectangle(2.0, 2.0), -0.75, -0.3, 0.0))
    walls = (Cover("walls", shapes.box(12.0, 12.0, 12.0)),)
    seats = (Eye("E0", "point", (0.0, -20.0, 0.0)), Eye("E1", "point", (0.0, 20.0, 0.0)))
    target = Secret("target", "limb", shapes.rectangle(0.002, 0.002))
    still = Pose("still", covers=(plate,), secrets=(target,))
    own, moment = (Moment("m", still, (Pose("p"),), seats, setting=s) for s in ((), walls))
    finding = check(moment)
    assert finding.secrets["target"].verdict.tolist() == [0, 0]
    (found,) = margins(moment, finding.hidden(), Fields(Scenery(own))).values()
    edge = math.degrees(math.atan(0.25 / 0.3))
    assert edge - 8.0 < found[0] <= edge + 0.1
    # Behind the one-sided target 90 degrees are left to its own plane, and the plate is no hindrance there.
    assert 90.0 - 8.0 < found[1] <= 90.0 + 0.1


@pytest.mark.parametrize("seam", [False, True])
@pytest.mark.parametrize("moving", [False, True])
def test_with_direction_fields_the_same_is_seen(seam: bool, moving: bool) -> None:
    """Eyes all round and beside the act (which no field serves), with a screen of the act and a wall of the setting."""
    plate = Cover("plate", shifted(shapes.rectangle(0.5, 0.5), 0.0, -0.4, 0.1))
    wall = Cover("wall", shifted(shapes.rectangle(2.0, 2.0), 2.5, -3.0, 0.0))
    if seam:
        path = np.array([[-0.3, 0.0, 0.0], [0.3, 0.0, 0.0]])
        target = Secret("target", "seam", shapes.rectangle(0.001, 0.001), path=path, covers=False)
    else:
        target = Secret("target", "limb", shapes.rectangle(0.6, 0.3))
    turns = np.radians(np.arange(0, 360, 12))
    seats = [Eye(f"E{i}", "seated", (6 * np.sin(t), -6 * np.cos(t), 0.3 * (i % 3))) for i, t in enumerate(turns)]
    seats += [Eye("N1", "seated", (0.1, -0.45, 0.1)), Eye("N2", "seated", (0.0, -0.2, 0.1))]
    poses: tuple[Pose, ...]
    if moving:
        still, poses = Pose("still", covers=(plate,)), (Pose("p", secrets=(target,)), Pose("q"))
    else:
        still, poses = Pose("still", covers=(plate,), secrets=(target,)), (Pose("p"),)
    moment = Moment("m", still, poses, tuple(seats), setting=(wall,))
    fields = Fields(Scenery(replace(moment, setting=())), 32)
    exact, quick = check(moment).secrets["target"], check(moment, fields=fields).secrets["target"]
    assert quick.verdict.tolist() == exact.verdict.tolist()
    for key in ("area_m2", "solid_angle_sr", "length_m", "run_m", "rank"):
        assert getattr(quick.sighting.seen, key) == pytest.approx(getattr(exact.sighting.seen, key), abs=1e-12), key
    assert 0 < (exact.verdict == 0).sum() < len(seats)


def test_a_seam_has_an_area() -> None:
    """A free cord of 0.3 m, 2 mm wide: 6 cm2, all of it seen; half of it behind a plate."""
    cord = Secret(
        "cord", "rig", shapes.rectangle(0.001, 0.001), covers=False, width_m=0.002,
        path=np.array([[-0.15, 0.0, 0.0], [0.15, 0.0, 0.0]]),
    )  # fmt: skip
    plate = Cover("plate", shifted(shapes.rectangle(2.0, 2.0), -1.0, 0.5, 0.0))
    seats = (*AHEAD, Eye("E1", "point", (0.0, 900.0, 0.0)))
    sighting = (
        check(Moment("m", Pose("s", covers=(plate,), secrets=(cord,)), (Pose("p"),), seats)).secrets["cord"].sighting
    )
    assert sighting.first.area_m2 == pytest.approx(0.0006)
    assert sighting.fraction == pytest.approx([1.0, 0.5], abs=0.02)
    assert sighting.seen.length_m == pytest.approx([0.3, 0.15], abs=0.006)
    assert sighting.seen.area_m2 == pytest.approx([0.0006, 0.0003], abs=0.00002)
    assert (sighting.count, sighting.buried) == (60, 0)


def test_of_two_mirrors_the_one_that_shows_is_named() -> None:
    """The first hangs where it shows nothing. Also with a must-see or a pose between, the number is that of the mirror."""
    back = Placement(about_z(math.pi), np.zeros(3))
    square = Secret("target", "limb", shapes.rectangle(0.2, 0.2).placed(back))
    plate = Cover("plate", shifted(shapes.rectangle(1.0, 1.0), 0.0, -0.3, 0.0))
    blind = Mirror("blind", Placement(np.eye(3), np.array([0.0, 3.0, 40.0])), (0.5, 0.5))
    glass = Mirror("glass", Placement(np.eye(3), np.array([0.0, 3.0, 0.0])), (2.0, 2.0))
    seats = (Eye("E0", "point", (1.5, -2.0, 0.0)),)
    for hung, via in (((blind, glass), 1), ((glass, blind), 0)):
        still = Pose("still", covers=(plate,), secrets=(square,))
        finding = check(Moment("m", still, (Pose("p"),), seats, mirrors=hung))
        assert finding.secrets["target"].sighting.seen.via.tolist() == [via]
        assert reason(finding, "target", 0) == "in the mirror glass"
        assert document(finding, "s.yaml")["eyes"][0]["secrets"]["target"]["via"] == "glass"
