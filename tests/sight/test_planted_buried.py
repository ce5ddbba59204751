"""Secrets partly inside solids, heads that lean and poses that move away: nothing is dropped that somebody could see."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.frame import Placement, toward, unit
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.eyes import Eye
from sightline.moment import Pose, Secret
from sightline.sight.looking import head_positions
from sightline.sight.scenery import Scenery
from tests.sight.planted import found_in, moment_of, patches_in, plate, shows_disc, with_cover


def block(top_m: float) -> Mesh:
    """A large solid up to a height."""
    return shapes.box(2.0, 2.0, 2.0).placed(Placement(np.eye(3), np.array([0.0, 0.0, top_m - 1.0])))


@pytest.mark.parametrize("shape", ["sphere", "corner of a box", "tilted disc"])
def test_what_sticks_out_less_than_a_patch(shape: str) -> None:
    """All middles are inside the solid and the tip is out: it may be missed, and then no less than its size is stated."""
    if shape == "sphere":
        mesh = shapes.sphere(0.25)
    elif shape == "corner of a box":
        mesh = shapes.box(0.2, 0.2, 0.2).placed(Placement(toward([1, 1, 1]), np.zeros(3)))
        mesh = mesh.placed(Placement(toward([0.3, 1, 0.7]), np.zeros(3)))
    else:
        mesh = shapes.disc(0.15).placed(Placement(toward([0.1, -1, 0.6]), np.zeros(3)))
    top = float(mesh.vertices[:, 2].max())
    tip = mesh.vertices[mesh.vertices[:, 2].argmax()]
    hidden = seen = 0
    for out_m in (2e-4, 5e-4, 1e-3, 2e-3, 4e-3, 8e-3, 2e-2):
        moment = moment_of(Secret("target", "limb", mesh), np.array([0.3, -3.0, 2.5]), (block(top - out_m),))
        found = found_in(moment)
        hidden, seen = hidden + found.hidden, seen + (not found.hidden)
        eye = moment.eye_points()[0]
        if not found.hidden:
            continue
        # Discs of what is out, about many of its places: none wider than stated.
        assert found.missable_rad > 0, out_m
        random = np.random.default_rng(0)
        for spot in tip + random.normal(size=(40, 3)) * [0.004, 0.004, 0.5 * out_m]:
            assert not shows_disc(moment, unit(spot - eye), found.missable_rad / 2), out_m
    assert hidden
    assert seen


def test_a_cap_above_the_solid_through_holes() -> None:
    random = np.random.default_rng(7)
    mesh = shapes.sphere(0.15)
    asked = 0
    for _ in range(8):
        eye = np.array([*random.uniform(-1.5, 1.5, 2), random.uniform(1.5, 5.0)])
        moment = moment_of(Secret("target", "limb", mesh), eye, (block(random.uniform(0.02, 0.12)),))
        half = found_in(moment).missable_rad * 1.001 / 2
        for turn in random.uniform(0, 2 * np.pi, 6):
            low = random.uniform(0.05, 0.9)
            spot = 0.15 * np.array([np.sin(low) * np.cos(turn), np.sin(low) * np.sin(turn), np.cos(low)])
            axis = unit(spot - eye)
            at = (float(np.linalg.norm(spot - eye)) - 0.2) * random.uniform(0.4, 1.0)
            covered = with_cover(moment, plate(eye + axis * at, -axis, 2 * at * float(np.tan(half))))
            if shows_disc(covered, axis, half * 0.9999):
                asked += 1
                assert not found_in(covered).hidden
    assert asked >= 12


def test_a_pose_that_moves_away_uncovers_what_stays() -> None:
    """A still secret half inside what only the first pose has there: in the second it stands free."""
    secret = Secret("target", "rig", shapes.sphere(0.05))
    fist = Cover("fist", shapes.box(0.2, 0.2, 0.2))
    plain = moment_of(secret, np.array([0.0, -4.0, 0.0]))
    poses = (Pose("held", (fist,)), Pose("let go", (Cover("fist", fist.mesh.placed(aside(0.0, 3.0, 0.0))),)))
    for order in (poses, poses[::-1]):
        found = found_in(replace(plain, poses=order))
        assert not found.hidden
    assert found_in(replace(plain, poses=poses[:1])).hidden


def aside(*by_m: float) -> Placement:
    return Placement(np.eye(3), np.array(by_m))


def test_a_setting_left_behind_uncovers_what_moved_on() -> None:
    """On its first mark the secret stood in a solid of the setting; what was made for it there serves on no other mark."""
    plain = moment_of(Secret("target", "limb", shapes.sphere(0.1)), np.array([0.0, -4.0, 0.0]))
    known = Scenery(plain)
    (secret,) = plain.still.secrets
    inside = Scenery(with_cover(plain, shapes.box(1.0, 1.0, 1.0)), known)
    whole = inside.prepared(secret, 0).count
    assert whole > 100
    assert Scenery(with_cover(plain, shapes.box(0.1, 0.1, 0.1)), known).prepared(secret, 0).count == whole
    assert Scenery(plain, known).prepared(secret, 0).count == whole


def test_a_head_that_leans_is_stated_for_where_it_leans() -> None:
    """From the eye itself the sheet turns its back; leaned aside its front shows, and through a hole a disc of it."""
    sheet = shapes.rectangle(0.3, 0.3).placed(Placement(toward([1.0, 0.0, 0.0]), np.zeros(3)))
    eye = Eye("E1", "seated", (-0.01, -0.6, 0.0))
    moment = replace(moment_of(Secret("target", "limb", sheet), np.zeros(3), detail_m=0.004), eyes=(eye,))
    at = max(head_positions(moment, True)[:, 0], key=lambda place: float(place[0]))
    stated = found_in(moment).missable_rad
    assert stated > 0
    leaned = moment_of(moment.still.secrets[0], at, detail_m=0.004)
    assert stated >= found_in(leaned).missable_rad - 1e-12
    half = stated * 1.001 / 2
    random = np.random.default_rng(3)
    asked = 0
    for _ in range(12):
        spot = np.array([0.0, random.uniform(-0.14, 0.14), random.uniform(-0.14, 0.14)])
        axis = unit(spot - at)
        covered = with_cover(moment, plate(at + axis * 0.3, -axis, 2 * 0.3 * float(np.tan(half))))
        if shows_disc(replace(covered, eyes=leaned.eyes), axis, half * 0.9999):
            asked += 1
            assert not found_in(covered).hidden
    assert asked >= 5


@pytest.mark.parametrize("far_m", [0.01, 0.03, 0.1, 1.0, 20.0])
def test_the_emptiest_cone_is_no_wider_than_stated(far_m: float) -> None:
    """Without plates or rays: about places all over a sheet, the angle from there to the nearest middle of a patch."""
    random = np.random.default_rng(12)
    widest = 0.0
    for _ in range(12):
        eye = unit(random.normal(size=3) * [1.0, 0.4, 1.0]) * far_m + [random.uniform(-0.1, 0.1), 0.0, 0.0]
        eye[1] = -max(abs(eye[1]), 0.1 * far_m)
        moment = moment_of(Secret("target", "limb", shapes.rectangle(0.3, 0.2)), eye)
        stated = found_in(moment).missable_rad
        ways = unit(patches_in(moment).centres - eye)
        places = np.column_stack([random.uniform(-0.15, 0.15, 3000), np.zeros(3000), random.uniform(-0.1, 0.1, 3000)])
        # The nearest places, and those whose cones are widest: near the corners of patches.
        places = np.concatenate([places, patches_in(moment).corners.reshape(-1, 3)])
        cosine = (unit(places - eye) @ ways.T).max(axis=1)
        emptiest = 2 * float(np.arccos(np.clip(cosine.min(), -1, 1)))
        assert emptiest <= stated * (1 + 1e-9)
        widest = max(widest, emptiest / stated)
    # And it is not idle: up to a few times what there is, from straight above near all of it.
    assert widest > 0.4
