"""Places on the body that nothing hard or tight belongs on, from the skeleton and the sheet. Performer's frame, metres.

How they lie to the joints is from memory of bodies in general, good to a few centimetres.
"""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.staging.body import Body


def face(body: Body) -> FloatArray:
    """Between nose and mouth: below the eyes along the head, a little ahead of them."""
    skeleton = body.skeleton
    down = skeleton.skull.directions([0.0, 0.0, -1.0])
    return skeleton.eye + 0.27 * body.sheet.head_height_m * down + 0.02 * skeleton.gaze


def throat(body: Body) -> FloatArray:
    """The neck's front."""
    skeleton = body.skeleton
    ahead = skeleton.trunk.directions([0.0, -1.0, 0.0])
    return skeleton.neck + body.sheet.neck_girth_m / (2 * np.pi) * ahead


def breastbone(body: Body) -> FloatArray:
    """The chest's front, a hand above its fullest level."""
    skeleton, sheet = body.skeleton, body.sheet
    middle = (skeleton.left_shoulder + skeleton.right_shoulder) / 2
    return middle + skeleton.trunk.directions([0.0, -sheet.chest_depth_m / 2, -0.05 * sheet.stature_m])


def armpit(body: Body, side: str) -> FloatArray:
    """Below the shoulder joint by the depth of the arm hole's lower half, drawn in a little."""
    shoulder: FloatArray = getattr(body.skeleton, f"{side}_shoulder")
    inward = -1.0 if side == "left" else 1.0
    return shoulder + body.skeleton.trunk.directions([0.02 * inward, 0.0, -body.sheet.armscye_girth_m / (2 * np.pi)])


def collarbone(body: Body, side: str) -> tuple[FloatArray, FloatArray]:
    """From beside the notch of the throat to the tip of the shoulder, on the front."""
    shoulder: FloatArray = getattr(body.skeleton, f"{side}_shoulder")
    inner = throat(body) + body.skeleton.trunk.directions([0.02 if side == "left" else -0.02, 0.0, -0.03])
    return inner, shoulder + body.skeleton.trunk.directions([0.0, -0.03, 0.02])


def spots(body: Body) -> dict[str, FloatArray]:
    """The places that a hard edge must keep away from."""
    return {
        "face": face(body), "throat": throat(body), "breastbone": breastbone(body),
        "left armpit": armpit(body, "left"), "right armpit": armpit(body, "right"),
    }  # fmt: skip


def distance_m(mesh: Mesh, points: FloatArray) -> float:
    """How near a mesh comes to any of the points (n, 3)."""
    from trimesh.triangles import closest_point

    count, faces = len(points), len(mesh.faces)
    triangles = np.tile(mesh.corners, (count, 1, 1))
    asked = np.repeat(points, faces, axis=0)
    nearest: FloatArray = closest_point(triangles, asked)  # type: ignore[no-untyped-call]
    return float(np.linalg.norm(nearest - asked, axis=1).min())


def at_neck(body: Body, mesh: Mesh, room_m: float = 0.03) -> bool:
    """Whether any of a mesh lies in the column round the neck, from its root to the chin, `room_m` wider than the neck."""
    skeleton = body.skeleton
    axis = skeleton.head - skeleton.neck
    along = (mesh.vertices - skeleton.neck) @ axis / float(axis @ axis)
    off = np.linalg.norm(mesh.vertices - skeleton.neck - along[:, None] * axis, axis=1)
    radius = body.sheet.neck_girth_m / (2 * np.pi) + room_m
    return bool(((along > -0.25) & (along < 1.0) & (off < radius)).any())
