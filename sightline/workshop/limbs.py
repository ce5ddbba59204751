"""The false limbs on the bench: joints, hand and skin of each, built from sizes or imported with landmarks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.props.falselimb import FalseArm, limb_name
from sightline.scene.prop import FalseLimb, LimbLandmarks
from sightline.sight.lines import closest
from sightline.workshop.bench import Bench
from sightline.workshop.section import Item, Section

# A joint lies in the middle of a limb, a tip and the palm on its skin; a landmark farther from the mesh than this is of
# another frame, unit or mirror image. Common practice, no source.
JOINT_OFF_M, SKIN_OFF_M = 0.08, 0.03
# Joints nearer to each other than this are one point clicked twice. Common practice, no source.
SAME_POINT_M = 0.02
# The palm's own surface round its landmark, from which the way it faces is taken. Common practice, no source.
PALM_PATCH_M = 0.015


@dataclass(frozen=True)
class LimbPose:
    """A limb's joints (3,) m and its hand: `fingers` wrist to tips, `palm` out of the palm, unit (3,).

    `palm_at` is on the palm's skin and `thumb_tip` the tip itself, where they are landmarks; None in a built arm.
    """

    shoulder: FloatArray
    elbow: FloatArray
    wrist: FloatArray
    fingers: FloatArray
    palm: FloatArray
    palm_at: FloatArray | None = None
    thumb_tip: FloatArray | None = None


@dataclass(frozen=True)
class BenchLimb:
    """One false arm in the performer's frame. `pose` is None where its mesh has no landmarks.

    `mesh` is wound outward where it is closed; `inside_out` tells that the file's was not.
    """

    index: int
    name: str
    side: Side
    written: FalseLimb
    mesh: Mesh
    pose: LimbPose | None
    arm: FalseArm | None
    inside_out: bool = False


def limbs_of(bench: Bench) -> list[BenchLimb]:
    """The false arms, in the order of the scene. Raises FileError at a landmark that cannot be meant."""
    built = iter(bench.false_arms)
    meshes = {cover.name: cover.mesh for cover in bench.staged.act.covers}
    out: list[BenchLimb] = []
    for i, limb in enumerate(bench.scene.false_limbs):
        if not limb.replaces.endswith("arm"):
            continue
        side: Side = "left" if limb.replaces == "left arm" else "right"
        name = limb_name(limb)
        if limb.mesh is None:
            arm = next(built)
            pose = LimbPose(arm.shoulder, arm.elbow, arm.hold.wrist, arm.hold.fingers, arm.hold.palm)
            out.append(BenchLimb(i, name, side, limb, arm.mesh, pose, arm))
            continue
        mesh = meshes[name]
        inside_out = mesh.closed and mesh.volume_m3 < 0
        mesh = mesh.flipped() if inside_out else mesh
        posed = None if limb.landmarks is None else _landmarked(bench, i, limb.landmarks, mesh)
        out.append(BenchLimb(i, name, side, limb, mesh, posed, None, inside_out))
    return out


def without_limbs(bench: Bench, name: str, what: str) -> Section:
    """The section of a scene that has no false arm."""
    legs = " arm; false legs are not looked at" if bench.scene.false_limbs else " limb"
    return Section(name, [Item(name, "not known", f"{what} is not known: the scene has no false{legs}.")])


def no_landmarks(limb: BenchLimb, key: str, what: str) -> Item:
    words = (
        f"'{limb.name}': {what} is not known: its mesh has no landmarks. Give landmarks: shoulder, elbow, wrist, "
        "thumb tip, palm and middle tip, each [left, back, up]."
    )
    return Item(f"{limb.name}: {key}", "not known", words)


def _landmarked(bench: Bench, index: int, marks: LimbLandmarks, mesh: Mesh) -> LimbPose:
    at = {name.replace("_", " "): np.array(point) for name, point in marks}
    path = ("false limbs", index, "landmarks")
    for name, point in at.items():
        off = distance_to(mesh, point)
        if off > (SKIN_OFF_M if name in ("thumb tip", "palm", "middle tip") else JOINT_OFF_M):
            raise bench.written.problem(
                (*path, name),
                f"The landmark '{name}' is {off * 1000:.0f} mm off the limb's mesh: it is of another unit or frame, or "
                "the mesh was mirrored after it was taken.",
            )
    for one, other in (("shoulder", "elbow"), ("elbow", "wrist"), ("wrist", "middle tip"), ("wrist", "thumb tip")):
        if np.linalg.norm(at[one] - at[other]) < SAME_POINT_M:
            raise bench.written.problem((*path, other), f"The landmarks '{one}' and '{other}' are in one place.")
    fingers = unit(at["middle tip"] - at["wrist"])
    palm = palm_normal(mesh, at["palm"], fingers)
    if palm is None:
        raise bench.written.problem((*path, "palm"), "Nobody can tell from this landmark which way the palm faces.")
    return LimbPose(at["shoulder"], at["elbow"], at["wrist"], fingers, palm, at["palm"], at["thumb tip"])


def palm_normal(mesh: Mesh, at: FloatArray, fingers: FloatArray) -> FloatArray | None:
    """Which way the palm faces at a point (3,) of its skin, unit (3,), square to `fingers`; None when it does not tell.

    Of a closed mesh the skin's own normal there; of an open one, whose winding says nothing, away from the middle of
    the hand's section.
    """
    middles = mesh.corners.mean(axis=1)
    if mesh.closed:
        away = np.linalg.norm(middles - at, axis=1)
        # On coarse meshes no face has its middle so near; then the nearest few decide.
        near = away <= max(PALM_PATCH_M, float(np.sort(away)[min(2, len(away) - 1)]))
        normal = mesh.area_normals[near].sum(axis=0)
    else:
        apart = middles - at
        slab = (np.abs(apart @ fingers) < PALM_PATCH_M) & (np.linalg.norm(apart, axis=1) < 0.08)
        if not slab.any():
            return None
        normal = at - np.average(middles[slab], axis=0, weights=np.maximum(mesh.areas[slab], 1e-12))
    normal = normal - (normal @ fingers) * fingers
    size = float(np.linalg.norm(normal))
    return normal / size if size > 1e-9 else None


def distance_to(mesh: Mesh, point: FloatArray) -> float:
    """Straight distance, metres, from a point (3,) to the nearest place of a mesh's surface."""
    return float(np.linalg.norm(closest(point[None], mesh)[0][0] - point))
