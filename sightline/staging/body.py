"""The performer's body in the scene: sheet, skeleton, and the arm that is meant to be seen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from sightline.errors import Misfit, UnreachableError
from sightline.figure import arm as arms
from sightline.figure.scan import scan_figure
from sightline.figure.sheet import BodySheet, body_sheet
from sightline.figure.skeleton import Skeleton, standing
from sightline.figure.skin import body_mesh
from sightline.geometry.frame import FloatArray, Placement, unit
from sightline.geometry.mesh import Cover, Mesh
from sightline.props.box import spot_point
from sightline.props.hands import HandHold, lay
from sightline.scene.performer import Performer, Pose, WallSpot
from sightline.scene.reading import Written
from sightline.scene.scene import Scene

Side = Literal["left", "right"]


@dataclass(frozen=True)
class Carried:
    """The prop as placed: outer size (3,) m and placement in the performer's frame."""

    size_m: FloatArray
    placement: Placement

    @property
    def middle(self) -> FloatArray:
        return self.placement.origin


@dataclass(frozen=True)
class Body:
    """Sheet, skeleton and hidden side; all in the performer's frame. `scan` is the body where one was imported."""

    sheet: BodySheet
    skeleton: Skeleton
    hidden: Side | None
    scan: Mesh | None = None

    def shoulder(self, side: Side) -> FloatArray:
        return self.skeleton.arm(side).shoulder


def body_of(written: Written[Scene], carried: Carried | None) -> Body:
    """The standing body with its visible arm at work. Raises FileError with the place of what cannot be."""
    scene = written.model
    assert scene.performer is not None
    performer, pose = scene.performer, scene.pose
    if performer.mesh is not None:
        return _scanned(written, performer)
    sheet = _sheet(written, performer)
    hidden = hidden_side(performer)
    gaze = None
    if pose.gaze == "prop" and carried is not None:
        gaze = unit(
            carried.middle + [0.0, 0.0, carried.size_m[2] / 2] - [0.0, 0.0, sheet.eye_height_m + performer.shoes]
        )
    try:
        skeleton = standing(sheet, feet_apart_m=pose.feet_apart, lean_rad=pose.lean, gaze=gaze, shoe_m=performer.shoes)
    except ValueError as error:
        raise written.problem(("pose",), f"{_first_up(str(error))}.") from error
    body = Body(sheet, skeleton, hidden)
    if carried is not None and pose.visible_hand is not None:
        for side in ("left", "right"):
            replaced = {limb.replaces for limb in scene.false_limbs}
            if side != hidden and f"{side} arm" not in replaced:
                skeleton = _at_work(written, replace(body, skeleton=skeleton), side, pose, carried, hidden is None)
    return replace(body, skeleton=skeleton)


def hidden_side(performer: Performer) -> Side | None:
    if not performer.hide:
        return None
    return "left" if performer.hide[0] == "left arm" else "right"


def _scanned(written: Written[Scene], performer: Performer) -> Body:
    """An imported body, its visible arm as scanned and its hidden arm cut off."""
    assert performer.mesh is not None
    with written.at("performer", "mesh"):
        mesh = written.mesh(performer.mesh)
    try:
        scan = scan_figure(mesh, performer.landmarks, stature_m=performer.stature, hide=hidden_side(performer))
    except ValueError as error:
        raise written.problem(("performer", "landmarks"), f"{_first_up(str(error))}.") from error
    return Body(scan.sheet, scan.skeleton, hidden_side(performer), scan.body)


def _sheet(written: Written[Scene], performer: Performer) -> BodySheet:
    measured = {key.replace(" ", "_"): value for key, value in performer.measured.items()}
    try:
        return body_sheet(
            stature_m=performer.stature, sex=performer.sex, age_years=performer.age, mass_kg=performer.mass,
            proportions=performer.proportions, measured=measured,
        )  # fmt: skip
    except ValueError as error:
        key, _, sentence = str(error).partition(": ")
        said = next((k for k in performer.measured if k.replace(" ", "_") == key), None)
        own = {"stature_m": "stature", "age_years": "age", "mass_kg": "mass"}.get(key)
        if said is None and own is None:
            raise written.problem(("performer",), f"{_first_up(str(error))}.") from error
        path = ("performer", own) if said is None and own else ("performer", "measured", str(said))
        raise written.problem(path, f"{_first_up(sentence)}.") from error


def _at_work(written: Written[Scene], body: Body, side: Side, pose: Pose, carried: Carried, both: bool) -> Skeleton:
    """The skeleton with one real arm holding the prop; with two, the other holds the mirrored place."""
    assert pose.visible_hand is not None
    spot = pose.visible_hand
    if both and side == "left":
        spot = mirrored(spot)
    with written.at("pose", "visible hand"):
        hold = hand_on(spot, carried, body.shoulder(side), side, body.sheet.hand_length_m)
        try:
            elbow = arms.solve(
                body.shoulder(side), hold.wrist, body.sheet.upper_arm_m, body.sheet.forearm_m,
                [pose.visible_elbow_out], side,
            )[0]  # fmt: skip
        except UnreachableError as error:
            raise Misfit((), f"The visible hand cannot be there: {error}.") from error
    return body.skeleton.with_arm(side, elbow, hold.wrist, hold.fingers, hold.palm)


def mirrored(spot: WallSpot) -> WallSpot:
    wall = {"left": "right", "right": "left"}.get(spot.wall, spot.wall)
    across = spot.at[0] if wall != spot.wall else -spot.at[0]
    return spot.model_copy(update={"wall": wall, "at": (across, spot.at[1])})


def hand_on(spot: WallSpot, carried: Carried, shoulder: FloatArray, side: Side, hand_length_m: float) -> HandHold:
    """A hand laid on the prop, in the performer's frame."""
    point, wall = spot_point(carried.size_m, spot)
    contact = carried.placement.points(point)
    outward = carried.placement.directions(wall.outward)
    return lay(contact, outward, shoulder, side, hand_length_m)


def body_covers(body: Body, replaced: frozenset[str], coarse: bool = False) -> list[Cover]:
    """The parts of the body that are there to be seen, in the performer's frame."""
    if body.scan is not None:
        return [Cover("body", body.scan)]
    gone = set(replaced) & {"left arm", "right arm"}
    if body.hidden is not None:
        gone.add(f"{body.hidden} arm")
    parts = body_mesh(body.sheet, body.skeleton, leave_out=frozenset(gone), coarse=coarse)
    return [Cover(name, mesh) for name, mesh in parts.items()]


def face_of(head: Mesh, skeleton: Skeleton) -> Mesh:
    """The part of the head that is the face: turned forward, below the brow's top. An open sheet."""
    gaze = skeleton.gaze
    normals = head.area_normals / np.maximum(head.areas, 1e-300)[:, None]
    middle = head.corners.mean(axis=1) - skeleton.eye
    # Within a hand's length of the eyes and not above the brow, so that a whole scan serves as well as a head.
    near = (middle[:, 2] < 0.05) & (np.linalg.norm(middle, axis=1) < 0.19)
    ahead = normals @ gaze > 0.25
    return Mesh.of(head.vertices, head.faces[near & ahead]).merged()


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]
