"""Whether a false limb goes through the prop: what of it lies within the walls, where, and how deep."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sightline.blocking.notation import millimetres
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box as block
from sightline.props.box import box_mesh, wall_of
from sightline.staging.body import Carried
from sightline.workshop.bench import Bench
from sightline.workshop.limbs import BenchLimb, LimbPose
from sightline.workshop.screws import spot_on
from sightline.workshop.section import Item

if TYPE_CHECKING:
    from manifold3d import Manifold

# As much as a soft skin gives way where it is pressed on a wall. Common practice, no source.
PRESSED_M3 = 5e-6
# A limb may be cut flat against a wall as long as its middle line stays this far out of it. Common practice, no source.
MIDDLE_CLEAR_M = 0.005
WALLS = ("front", "back", "left", "right", "top", "bottom")


def piercing_item(bench: Bench, limb: BenchLimb, pose: LimbPose, carried: Carried) -> Item:
    """No where the limb goes through; warn where it must be cut flat against the wall; yes where it clears it."""
    key = f"{limb.name}: through the wall"
    prop = _solid(bench, carried)
    if prop is None or not limb.mesh.closed:
        whose = "the prop" if prop is None else f"'{limb.name}'"
        words = f"Whether '{limb.name}' goes through the prop is not known: the mesh of {whose} is not watertight."
        return Item(key, "not known", words)
    try:
        common = prop ^ limb.mesh.manifold()
    except ValueError:
        words = f"Whether '{limb.name}' goes through the prop is not known: its mesh crosses itself."
        return Item(key, "not known", words)
    volume = float(common.volume())
    if volume <= PRESSED_M3:
        words = f"'{limb.name}' stays out of the prop ({volume * 1e6:.0f} cm3 in common; up to 5 is a skin pressed on)."
        return Item(key, "yes", words, volume, "m3", "common practice, no source")
    where, deep = deepest(Mesh.from_manifold(common), carried)
    said = f"{volume * 1e6:.0f} cm3 of it lie within the prop, up to {millimetres(deep)} deep, {where}"
    if middle_inside_m(pose, carried) < MIDDLE_CLEAR_M:
        words = f"'{limb.name}' goes through the wall: {said}. Move its hand, bend it or carry its elbow farther out."
        return Item(key, "no", words, volume, "m3", "intersection of both solids")
    words = (
        f"'{limb.name}' does not lie clear of the wall: {said}. Its middle stays outside: cut it flat there by as much, or "
        "carry its elbow farther out."
    )
    return Item(key, "warn", words, volume, "m3", "intersection of both solids")


def middle_inside_m(pose: LimbPose, carried: Carried) -> float:
    """How far the limb's middle line, shoulder to wrist, stays out of the prop's block, metres; negative within it."""
    share = np.linspace(0.0, 1.0, 101)[:, None]
    line = np.vstack([a + share * (b - a) for a, b in ((pose.shoulder, pose.elbow), (pose.elbow, pose.wrist))])
    return float((-depths(carried.placement.inverse().points(line), carried)).min())


def depths(points: FloatArray, carried: Carried) -> FloatArray:
    """How deep points (n, 3) of the prop's frame are within its block (n,); outside, less than nothing."""
    return np.asarray((carried.size_m / 2 - np.abs(points)).min(axis=1))


def deepest(common: Mesh, carried: Carried) -> tuple[str, float]:
    """Where the deepest part of a solid (in the performer's frame) is, in words, and how deep, metres."""
    points = carried.placement.inverse().points(common.vertices)
    deep = depths(points, carried)
    at = points[int(np.argmax(deep))]
    k = int(np.argmin(carried.size_m / 2 - np.abs(at)))
    name = ("right", "left")[int(at[0] > 0)] if k == 0 else ("front", "back")[int(at[1] > 0)] if k == 1 else None
    name = name or ("bottom", "top")[int(at[2] > 0)]
    wall = wall_of(carried.size_m, name)
    away = at - wall.middle
    spot = spot_on(wall, float(away @ wall.across), float(away @ wall.up))
    return f"behind the {name} wall, {spot.words}", float(deep.max())


def _solid(bench: Bench, carried: Carried) -> Manifold | None:
    """What a limb cannot be within: a closed box all through, an open one's walls, a closed mesh; None of an open mesh."""
    box = bench.box
    if box is not None:
        whole = block(*carried.size_m) if box.top == "closed" else box_mesh(box, [])
        return whole.placed(carried.placement).manifold()
    assert bench.prop is not None
    mesh = next(cover.mesh for cover in bench.staged.act.covers if cover.name == bench.prop.name)
    try:
        return mesh.manifold() if mesh.closed else None
    except ValueError:
        return None
