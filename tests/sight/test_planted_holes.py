"""Holes and slits planted before secrets of every shape: none that leaves a disc wider than `missable_arcmin` is hidden.

A plate is put between eye and secret, with a round hole on the line to a place of the secret. Whether the eye is then
left a whole disc of the secret is told by rays of the test's own in double precision (`planted.shows_disc`); only such
holes count. Places are taken near the corners of patches, as far from their middles as can be, and at grazing incidence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.frame import Placement, toward, unit
from sightline.geometry.mesh import Mesh
from sightline.moment import Moment, Secret
from tests.sight.meshes import coarse_tube
from tests.sight.planted import Points, found_in, moment_of, patches_in, plate, shows_disc, slit, with_cover

Rng = np.random.Generator

# So much wider than stated: rays of our own about the rim need a hair.
JUST_WIDER = 1.001
EYES, HOLES = 6, 5
# Places tried for each hole: round things leave no whole disc near their outline.
TRIES = 4


def bent(_: Rng) -> Mesh:
    """A limb of two straight parts, one sunk into the other at the elbow: what is before hides what is behind."""
    lower = shapes.cylinder(0.045, 0.3, 16)
    upper = shapes.cylinder(0.05, 0.3, 16).placed(Placement(toward([0, 0.4, 1]), np.array([0.0, -0.13, 0.16])))
    return Mesh.joined([lower, upper])


def boards(random: Rng) -> Mesh:
    """Two boards, one partly before the other."""
    aside = np.array([random.uniform(0.05, 0.2), random.uniform(-0.1, -0.005), random.uniform(-0.1, 0.1)])
    return Mesh.joined([shapes.rectangle(0.3, 0.3), shapes.rectangle(0.3, 0.3).placed(Placement(np.eye(3), aside))])


def fence(random: Rng) -> Mesh:
    """Overlapping strips at all depths, each no wider than a patch or two."""
    edges = np.concatenate([[0.0], np.cumsum(random.uniform(0.006, 0.03, 12))])
    strips = [
        shapes.rectangle(b - a + 0.004, 0.25).placed(
            Placement(np.eye(3), np.array([(a + b - edges[-1]) / 2, random.uniform(0.0, 0.02), 0.0]))
        )
        for a, b in pairwise(edges)
    ]
    return Mesh.joined(strips)


def folded(_: Rng) -> Mesh:
    """An open sheet in pleats, seen from both its sides."""
    across = np.linspace(-0.15, 0.15, 13)
    rows = [[x, 0.03 * (i % 2), z] for i, x in enumerate(across) for z in (-0.15, 0.15)]
    faces = [f for i in range(12) for f in ([2 * i, 2 * i + 2, 2 * i + 3], [2 * i, 2 * i + 3, 2 * i + 1])]
    return Mesh.of(rows, faces)


def uneven(random: Rng) -> Mesh:
    """A closed mesh of triangles of very different sizes, as a scan has them."""
    ball = shapes.sphere(0.12, 2)
    return Mesh.of(ball.vertices * np.array([1.0, 0.45, 1.5]) * random.uniform(0.9, 1.1, 3), ball.faces)


MESHES: dict[str, Callable[[Rng], Mesh]] = {
    "disc": lambda _: shapes.disc(0.15),
    "rectangle": lambda _: shapes.rectangle(0.3, 0.2),
    "box": lambda _: shapes.box(0.3, 0.1, 0.2),
    "cylinder": lambda _: shapes.cylinder(0.05, 0.4),
    "sphere": lambda _: shapes.sphere(0.12),
    "coarse tube": lambda _: coarse_tube(0.06, 0.4, 7),
    "uneven mesh": uneven,
    "bent limb": bent,
    "boards": boards,
    "fence": fence,
    "folded sheet": folded,
}
TWO_SIDED = {"folded sheet", "fence"}


@dataclass(frozen=True)
class Planted:
    """A hole `factor` times as wide as stated, that leaves a whole disc of the secret, and whether it was hidden."""

    hidden: bool
    missable_rad: float


def eye_about(random: Rng, mesh: Mesh) -> Points:
    """Somewhere from 0.5 to 30 m off."""
    far = float(np.exp(random.uniform(np.log(0.5), np.log(30.0))))
    return np.asarray(mesh.bounds.mean(axis=0) + unit(random.normal(size=3)) * far)


def spots(random: Rng, moment: Moment, count: int) -> Points:
    """Places (n, 3) of patches that turn to the eye, near their corners, and more of those seen at a slant."""
    patches, eye = patches_in(moment), moment.eye_points()[0]
    step = eye - patches.centres
    height = np.einsum("ij,ij->i", step, patches.normals) / np.linalg.norm(step, axis=1)
    if patches.two_sided:
        height = np.abs(height)
    some = np.flatnonzero(height > 0.02)
    if not len(some):
        return np.zeros((0, 3))
    chance = 1 / height[some]
    which = random.choice(some, size=count, p=chance / chance.sum())
    shares = random.dirichlet([0.15, 0.15, 0.15], size=count)
    return np.asarray(np.einsum("nk,nkx->nx", shares, patches.corners[which]))


def before(random: Rng, moment: Moment, axis: Points) -> float:
    """How far from the eye a plate is put: just before the secret, or anywhere between."""
    eye = moment.eye_points()[0]
    depth = (moment.still.secrets[0].mesh.vertices - eye) @ axis
    front = float(depth.min()) * 0.99 - 1e-3
    return front * (1.0 if random.random() < 0.5 else float(random.uniform(0.2, 1.0)))


def holes(random: Rng, moment: Moment, factor: float, count: int = HOLES) -> Iterator[Planted]:
    """Holes `factor` times as wide as stated that leave a whole disc."""
    stated = found_in(moment).missable_rad
    half = stated * factor / 2
    eye = moment.eye_points()[0]
    if not 0 < half < 0.3:
        return
    for spot in spots(random, moment, TRIES * count):
        axis = unit(spot - eye)
        at = before(random, moment, axis)
        if at <= 0.05:
            continue
        covered = with_cover(moment, plate(eye + axis * at, -axis, 2 * at * float(np.tan(half))))
        if shows_disc(covered, axis, half * 0.9999):
            yield Planted(found_in(covered).hidden, stated)
            count -= 1
            if not count:
                return


def planted_before(kind: str, factor: float, seed: int, eyes: int = EYES) -> list[Planted]:
    random = np.random.default_rng(seed)
    out = []
    for _ in range(eyes):
        mesh = MESHES[kind](random)
        mesh = mesh.placed(Placement(toward(random.normal(size=3)), random.normal(size=3) * 0.2))
        two_sided = kind in TWO_SIDED or (not mesh.closed and bool(random.random() < 0.5))
        moment = moment_of(
            Secret("target", "limb", mesh, two_sided),
            eye_about(random, mesh),
            detail_m=float(random.choice([0.02, 0.012])),
        )
        out += list(holes(random, moment, factor))
    return out


@pytest.mark.parametrize("kind", MESHES)
def test_a_disc_wider_than_stated_is_never_hidden(kind: str) -> None:
    found = planted_before(kind, JUST_WIDER, seed=8)
    assert len(found) >= (3 if kind == "fence" else 15)
    assert not any(hole.hidden for hole in found)


def test_the_figure_is_no_more_than_needed() -> None:
    """At two fifths of it, holes are missed on every plain shape: stating a third would be a lie."""
    missed = {}
    for kind in ("disc", "box", "cylinder", "sphere"):
        found = planted_before(kind, 0.4, seed=3, eyes=5)
        missed[kind] = sum(hole.hidden for hole in found) / len(found)
    assert all(0 < share < 0.6 for share in missed.values()), missed


def pierced_box(hole_m: float) -> Mesh:
    """A box of 4 mm walls with a round hole in its front and another in its back."""
    outer, inner = shapes.box(0.46, 0.34, 0.30).manifold(), shapes.box(0.452, 0.332, 0.292).manifold()
    drill = shapes.cylinder(hole_m / 2, 1.0, 48).placed(Placement(toward([0, 0, -1]), np.array([0.05, 0.0, 0.02])))
    return Mesh.from_manifold((outer - inner) - drill.manifold())


@pytest.mark.parametrize("what", ["limb in the box", "inside of the box"])
def test_through_a_hole_in_the_box(what: str) -> None:
    """Detail a third of the opening, as the planner takes it. What is seen through the hole is the hole's own size."""
    random = np.random.default_rng(6)
    asked = 0
    for _ in range(18):
        hole = float(random.uniform(0.025, 0.05))
        if what == "limb in the box":
            mesh = shapes.cylinder(0.045, 0.26).placed(
                Placement(np.eye(3), np.array([0.04, random.uniform(-0.1, 0.1), 0.0]))
            )
            secret = Secret("target", "limb", mesh)
        else:
            secret = Secret("target", "inside", shapes.box(0.4515, 0.3315, 0.2915).flipped(), covers=False)
        far = float(np.exp(random.uniform(np.log(0.7), np.log(15.0))))
        # A way through the hole, a little aside.
        way = unit([random.uniform(-0.25, 0.25), -1.0, random.uniform(-0.25, 0.25)])
        eye = np.array([0.05, -0.17, 0.02]) + way * far
        moment = moment_of(secret, eye, (pierced_box(hole),), detail_m=min(0.02, hole / 3))
        found = found_in(moment)
        if shows_disc(moment, -way, found.missable_rad / 2):
            asked += 1
            assert not found.hidden
    assert asked >= 6


def test_a_slit_longer_and_wider_than_stated_is_never_hidden() -> None:
    random = np.random.default_rng(4)
    asked = 0
    for kind in ("rectangle", "sphere", "bent limb", "coarse tube"):
        for _ in range(4):
            mesh = MESHES[kind](random).placed(Placement(toward(random.normal(size=3)), np.zeros(3)))
            eye = eye_about(random, mesh)
            moment = moment_of(Secret("target", "limb", mesh), eye)
            half = found_in(moment).missable_rad * JUST_WIDER / 2
            if not 0 < half < 0.3:
                continue
            for spot in spots(random, moment, 10):
                axis = unit(spot - eye)
                at = before(random, moment, axis)
                if at < 0.05:
                    continue
                across = 2 * at * float(np.tan(half))
                cut = slit(eye + axis * at, -axis, across * random.uniform(1.5, 20), across, random.uniform(0, np.pi))
                covered = with_cover(moment, cut)
                if shows_disc(covered, axis, half * 0.9999):
                    asked += 1
                    assert not found_in(covered).hidden, (kind, eye, spot)
    assert asked >= 20


def test_a_hole_seen_in_a_mirror_counts_as_well() -> None:
    """The secret turns its back on the eye; the plate is on the way from the mirror to the eye."""
    from sightline.house.mirrors import Mirror

    random = np.random.default_rng(2)
    asked = 0
    for _ in range(12):
        mesh = shapes.disc(0.15).placed(Placement(toward([random.uniform(-0.3, 0.3), 1, 0.2]), np.zeros(3)))
        eye = np.array([random.uniform(2, 4), random.uniform(-6, -2), random.uniform(0.5, 2)])
        glass = Mirror("glass", Placement(np.eye(3), np.array([0.5, 2.0, 0.0])), (5.0, 5.0))
        moment = replace(moment_of(Secret("target", "limb", mesh), eye), mirrors=(glass,))
        image = glass.reflected(eye[None])[0]
        half = found_in(moment).missable_rad * JUST_WIDER / 2
        # Whether a whole disc shows is asked of the image, without the plate; the plate's hole then is what is seen.
        behind = moment_of(Secret("target", "limb", mesh), image)
        for spot in spots(random, behind, 3):
            axis = unit(spot - image)
            if not shows_disc(behind, axis, half):
                continue
            there = axis - 2 * (axis @ glass.normal) * glass.normal
            at = random.uniform(0.3, 1.2)
            covered = with_cover(moment, plate(eye + there * at, -there, 2 * at * float(np.tan(half))))
            asked += 1
            assert not found_in(covered).hidden
    assert asked >= 12


def test_a_disc_broken_by_the_secrets_own_edges_counts_by_its_parts() -> None:
    """The limit of what is stated: six points of the secret itself, each over the middle of a patch behind it.

    The eye sees nothing but secret through the hole, and no middle of a patch; yet no unbroken part of what it sees has
    room for a disc as wide as stated. It takes a hole that holds the middles of the points as well.
    """
    side, far = 0.0199, 3.0
    reach = side / np.sqrt(3)
    turns = np.radians(60.0 * np.arange(6))
    ring = np.column_stack([side * np.cos(turns), 0 * turns, side * np.sin(turns)])
    i = np.arange(6)
    hexagon = Mesh.of(np.vstack([[0.0, 0, 0], ring]), np.column_stack([0 * i, 1 + i, 1 + (i + 1) % 6]))
    points = []
    for turn in turns + np.radians(30.0):
        out, across = np.array([np.cos(turn), 0, np.sin(turn)]), np.array([-np.sin(turn), 0, np.cos(turn)])
        tip = (reach - 0.0005) * out + [0, -0.001, 0]
        points.append(
            Mesh.of(
                [tip, tip + reach * 1.5 * out + side / 2 * across, tip + reach * 1.5 * out - side / 2 * across],
                [[0, 2, 1]],
            )
        )
    # Far aside, so that the whole is large enough for patches of the full 20 mm.
    rest = shapes.rectangle(0.2, 0.2).placed(Placement(np.eye(3), np.array([1.0, 0.0, 0.0])))
    moment = moment_of(Secret("target", "limb", Mesh.joined([hexagon, *points, rest])), np.array([0.0, -far, 0.0]))
    axis, stated = np.array([0.0, 1.0, 0.0]), found_in(moment).missable_rad
    assert stated == pytest.approx(2 * reach / far, rel=0.02)
    for factor, hidden in ((JUST_WIDER, True), (2.0, False)):
        half = stated * factor / 2
        covered = with_cover(moment, plate(np.array([0.0, -0.01, 0.0]), -axis, 2 * (far - 0.01) * float(np.tan(half))))
        if factor < 1.1:
            assert shows_disc(covered, axis, half * 0.9999)
        assert found_in(covered).hidden == hidden
