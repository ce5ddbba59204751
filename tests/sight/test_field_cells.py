"""A whole direction field against plain rays to the middle and the corners of every cell."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.frame import unit
from sightline.geometry.mesh import Cover
from sightline.house.eyes import Eye
from sightline.moment import Moment, Pose, Secret
from sightline.sight import octahedral
from sightline.sight.fields import FAR_M, Field, Fields, points_of
from sightline.sight.leak import visible
from sightline.sight.lines import line_facing, line_unblocked
from sightline.sight.prepared import PreparedLine, PreparedSurface
from sightline.sight.scenery import Scenery
from tests.sight.meshes import shifted

SIDE = 16
DISC = shapes.disc(0.012)
SCREENS = {
    "none": (),
    "left": (Cover("screen", shifted(shapes.rectangle(40.0, 40.0), -20.13, -1.0, 0.0)),),
    "low": (Cover("screen", shifted(shapes.rectangle(40.0, 40.0), 0.0, -1.0, -19.6)),),
    "box behind": (Cover("box", shifted(shapes.box(1.0, 1.0, 1.0), 0.3, 0.7, 0.1)),),
    "plate": (Cover("plate", shifted(shapes.rectangle(0.7, 0.7), 0.1, -0.5, 0.1)),),
}


def made(covers: tuple[Cover, ...], secret: Secret) -> tuple[Field, PreparedSurface | PreparedLine, Scenery]:
    still = Pose("still", covers=covers, secrets=(secret,))
    scenery = Scenery(Moment("m", still, (Pose("a"),), (Eye("E1", "point", (0.0, -9.0, 0.0)),)))
    fields = Fields(scenery, SIDE)
    return fields.of(secret, 0, False), scenery.prepared(secret, 0), scenery


def lit_by_rays(ready: PreparedSurface | PreparedLine, scenery: Scenery) -> np.ndarray:
    """Cells (side^2,) to the middle or a corner of which anything of the secret shows."""
    ends = octahedral.sample_table(SIDE).reshape(-1, 3) * FAR_M
    if isinstance(ready, PreparedSurface):
        shown = visible(ready.patches, [scenery.still], ends).any(axis=1)
    else:
        shown = line_unblocked(ready.line, line_facing(ready.line, ends), [scenery.still], ends).any(axis=1)
    return np.asarray(shown.reshape(-1, 5).any(axis=1))


@pytest.mark.parametrize("two_sided", [False, True])
@pytest.mark.parametrize("name", list(SCREENS))
def test_the_cells_that_show_are_those_that_rays_say(name: str, two_sided: bool) -> None:
    """The disc is one cluster. What shows hangs together here, so that no cell is too far from what is found first."""
    field, ready, scenery = made(SCREENS[name], Secret("target", "limb", DISC, two_sided=two_sided))
    lit = np.flatnonzero(lit_by_rays(ready, scenery))
    assert 0 < len(lit) <= SIDE * SIDE
    found = set(np.flatnonzero((field.rings == 0).any(axis=0)).tolist())
    assert set(lit.tolist()) <= found
    assert found - set(lit.tolist()) <= through_peepholes(field, ready, scenery)
    assert (len(lit) == SIDE * SIDE) == (two_sided and name == "none")


def through_peepholes(field: Field, ready: PreparedSurface | PreparedLine, scenery: Scenery) -> set[int]:
    """The cells that touch a direction in which a peephole is said to be, each of which a ray confirms."""
    ends = unit(field.peep_at_m - points_of(ready)[field.peep_of]) * FAR_M
    if isinstance(ready, PreparedSurface) and len(field.peep_of):
        seen = visible(ready.patches, [scenery.still], ends)[np.arange(len(ends)), field.peep_of]
        # Past the disc's own rim, millimetres off, the lift of a ray's start counts.
        assert seen[np.linalg.norm(field.peep_at_m, axis=1) > 0.1].all()
    marked = np.zeros((1, SIDE, SIDE), dtype=bool)
    marked.reshape(-1)[octahedral.cells(*ends.T, SIDE)] = True
    return set(np.flatnonzero(octahedral.spread(marked)).tolist())


@pytest.mark.parametrize("name", list(SCREENS))
def test_a_free_line_shows_all_round_but_where_a_cover_stands(name: str) -> None:
    path = np.array([[-0.006, 0.0, 0.001], [0.006, 0.0, 0.001]])
    seam = Secret("target", "seam", shapes.rectangle(0.001, 0.001), path=path, covers=False)
    field, ready, scenery = made(SCREENS[name], seam)
    assert isinstance(ready, PreparedLine)
    found = set(np.flatnonzero((field.rings == 0).any(axis=0)).tolist())
    lit = set(np.flatnonzero(lit_by_rays(ready, scenery)).tolist())
    assert lit <= found
    assert found - lit <= through_peepholes(field, ready, scenery)
    # Its glow is length times width from wherever it shows.
    assert field.glow_m2.sum(axis=0).max() == pytest.approx(0.012 * 0.001, rel=1e-3)


def test_the_glow_is_the_projected_area() -> None:
    """Area times cosine, in the direction of the middle of each cell twice as wide; nothing to the back."""
    field, ready, _ = made((), Secret("target", "limb", DISC))
    assert isinstance(ready, PreparedSurface)
    middles = octahedral.centre_directions(SIDE // 2)
    cosine = np.maximum(-middles[:, 1], 0.0)
    assert field.glow_m2.sum(axis=0) == pytest.approx(DISC.area_m2 * cosine, rel=1e-3, abs=1e-9)


def test_a_field_of_what_moves_knows_what_its_pose_adds() -> None:
    """In pose a the hand carries a plate before it, in b nothing; each has its own field, made once."""
    moving = [Secret("hand", "limb", DISC), Secret("hand", "limb", DISC)]
    poses = (Pose("a", covers=SCREENS["plate"], secrets=(moving[0],)), Pose("b", secrets=(moving[1],)))
    scenery = Scenery(Moment("m", Pose("still"), poses, (Eye("E1", "point", (0.0, -9.0, 0.0)),)))
    fields = Fields(scenery, SIDE)
    with_plate, without = fields.of(moving[0], 0, True), fields.of(moving[1], 1, True)
    assert fields.of(moving[0], 0, True) is with_plate
    ahead = int(octahedral.cells(np.array([0.05]), np.array([-1.0]), np.array([0.05]), SIDE)[0])
    assert with_plate.rings.max(axis=0)[ahead] > 0
    assert without.rings.min(axis=0)[ahead] == 0


def test_too_near_is_the_same_on_every_side_of_a_box() -> None:
    """The act reaches as far to one side as to the other: mirrored places are served or not alike."""
    box = Cover("box", shapes.box(2.0, 1.0, 1.4))
    scenery = Scenery(Moment("m", Pose("still", covers=(box,)), (Pose("a"),), (Eye("E1", "point", (0.0, -9.0, 0.0)),)))
    fields = Fields(scenery, SIDE)
    places = np.random.default_rng(7).uniform(0.0, 1.0, (3000, 3)) * [1.3, 0.8, 1.0]
    near = fields.near(places, 0.0)
    assert near.any()
    assert not near.all()
    # And just off a corner, where the bevels between the directions count.
    places = np.concatenate([places, [1.0, 0.5, 0.7] + np.random.default_rng(8).uniform(0.0, 0.12, (3000, 3))])
    near = fields.near(places, 0.0)
    for signs in itertools.product((1.0, -1.0), repeat=3):
        assert (fields.near(places * signs, 0.0) == near).all()
    # Each of the 26 directions counts for itself: along it the reach is that of the box's corner.
    for way in itertools.product((-1.0, 0.0, 1.0), repeat=3):
        if not any(way):
            continue
        unit = np.array(way) / np.linalg.norm(way)
        corner = np.sign(way) * [1.0, 0.5, 0.7]
        assert not fields.near((corner + unit * 0.11)[None], 0.0)[0]
        assert fields.near((corner + unit * 0.09)[None], 0.0)[0]
