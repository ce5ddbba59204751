"""The same act built for the other arm: everything that goes with the performer mirrored, the house as it is."""

from __future__ import annotations

from typing import TypeVar

import numpy as np

from sightline.props.box import opening_names
from sightline.scene.performer import Performer, Pose
from sightline.scene.prop import Attitude, FalseLimb, Move, Opening, Prop, Puppet
from sightline.scene.scene import Scene
from sightline.scene.shapes import SecretShape, Shape
from sightline.scene.wear import CostumePart, RigPart
from sightline.staging.body import mirrored as mirrored_spot

Placed = TypeVar("Placed", bound=Shape)
SIDES = {"left": "right", "right": "left"}


def other_side(name: str) -> str:
    """`left arm` for `right arm`, and back; also of a wall or edge."""
    first, _, rest = name.partition(" ")
    return " ".join(filter(None, (SIDES.get(first, first), rest)))


def obstacle(scene: Scene) -> str | None:
    """What in the scene has a hand of its own and cannot be mirrored here, as a phrase; None when all can."""
    if scene.performer is None or not scene.performer.hide:
        return "the performer hides no arm"
    if scene.performer.mesh is not None:
        return "the body is a scan, with one arm as scanned"
    if scene.prop is not None and scene.prop.mesh is not None:
        return "the prop is an imported mesh"
    if any(limb.mesh is not None for limb in scene.false_limbs):
        return "a false limb is an imported mesh of one side"
    if any(part.mesh is not None for part in scene.rig) or any(part.mesh is not None for part in scene.costume):
        return "a rig or costume piece is an imported mesh"
    if any(s.carried and s.mesh is not None for s in (*scene.covers, *scene.secrets, *scene.must_see)):
        return "something carried is an imported mesh"
    return None


def mirrored_scene(scene: Scene) -> Scene:
    """The scene with the act mirrored left to right. The mark and the facing stay, and so does all that is not carried.

    Ask `obstacle` first. Names stay as they are, so that a `left lip` is then on the right.
    """
    assert scene.performer is not None
    return scene.model_copy(
        update={
            "performer": _performer(scene.performer),
            "pose": _pose(scene.pose),
            "prop": _prop(scene.prop) if scene.prop else None,
            "false_limbs": [_limb(limb) for limb in scene.false_limbs],
            "rig": [_rig(part) for part in scene.rig],
            "costume": [_costume(part) for part in scene.costume],
            "puppet": _puppet(scene.puppet) if scene.puppet else None,
            "covers": [_shape(s) for s in scene.covers],
            "secrets": [_secret(s) for s in scene.secrets],
            "must_see": [_shape(s) for s in scene.must_see],
        }
    )


def _performer(performer: Performer) -> Performer:
    return performer.model_copy(update={"hide": [other_side(arm) for arm in performer.hide]})


def _pose(pose: Pose) -> Pose:
    if pose.visible_hand is None:
        return pose
    return pose.model_copy(update={"visible_hand": mirrored_spot(pose.visible_hand)})


def _prop(prop: Prop) -> Prop:
    named = [
        o.model_copy(update={"name": name}) for o, name in zip(prop.openings, opening_names(prop.openings), strict=True)
    ]
    return prop.model_copy(update={"at": _attitude(prop.at), "openings": [_opening(o) for o in named]})


def _attitude(at: Attitude) -> Attitude:
    return at.model_copy(update={"left": -at.left, "turn": -at.turn})


def _opening(opening: Opening) -> Opening:
    # On left and right walls across runs towards the performer: there it is the wall that changes, not the place.
    wall = other_side(opening.wall)
    across = opening.at[0] if wall != opening.wall else -opening.at[0]
    return opening.model_copy(update={"wall": wall, "at": (across, opening.at[1])})


def _limb(limb: FalseLimb) -> FalseLimb:
    return limb.model_copy(
        update={
            "replaces": other_side(limb.replaces),
            "hand_at": mirrored_spot(limb.hand_at) if limb.hand_at else None,
            "handed": other_side(limb.handed) if limb.handed else None,
        }
    )


def _puppet(puppet: Puppet) -> Puppet:
    moves = None if puppet.moves is None else {name: _move(move) for name, move in puppet.moves.items()}
    return puppet.model_copy(update={"grip": _flip(puppet.grip), "moves": moves})


def _move(move: Move) -> Move:
    return move.model_copy(update={"by": _flip(move.by), "turn": -move.turn})


def _rig(part: RigPart) -> RigPart:
    if part.strap is not None:
        path = None if part.strap.path is None else [_flip(point) for point in part.strap.path]
        over = other_side(part.strap.over) if part.strap.over else None
        return RigPart(strap=part.strap.model_copy(update={"over": over, "path": path}))
    if part.hook is not None:
        return RigPart(hook=part.hook.model_copy(update={"at": mirrored_spot(part.hook.at)}))
    if part.screw is not None:
        return RigPart(screw=part.screw.model_copy(update={"at": mirrored_spot(part.screw.at)}))
    return part


def _costume(part: CostumePart) -> CostumePart:
    if part.shirt is not None and part.shirt.slot is not None:
        slot = part.shirt.slot.model_copy(update={"at": _flip(part.shirt.slot.at)})
        return CostumePart(shirt=part.shirt.model_copy(update={"slot": slot}))
    if part.drape is not None:
        wall = other_side(part.drape.wall)
        across = part.drape.across if wall != part.drape.wall else -part.drape.across
        return CostumePart(drape=part.drape.model_copy(update={"wall": wall, "across": across}))
    if part.flap is not None:
        wall = other_side(part.flap.wall)
        edge = part.flap.edge if wall != part.flap.wall else other_side(part.flap.edge)
        return CostumePart(flap=part.flap.model_copy(update={"wall": wall, "edge": edge}))
    return part


def _shape(shape: Placed) -> Placed:
    if not shape.carried:
        return shape
    facing = shape.facing
    turned = (-facing[0], *facing[1:]) if isinstance(facing, tuple) else -facing
    return shape.model_copy(update={"at": _flip(shape.at), "facing": turned})


def _secret(secret: SecretShape) -> SecretShape:
    if not secret.carried or secret.path is None:
        return _shape(secret)
    return secret.model_copy(update={"path": [_flip(point) for point in secret.path]})


def _flip(point: tuple[float, float, float]) -> tuple[float, float, float]:
    x, y, z = (np.array(point) * [-1.0, 1.0, 1.0]).tolist()
    return x, y, z
