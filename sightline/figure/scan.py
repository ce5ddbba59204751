"""A scanned body in place of the built one: joints from landmarks, the hidden arm cut off and the hole closed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sightline.figure.arm import Side, outward
from sightline.figure.sheet import BodySheet, body_sheet
from sightline.figure.skeleton import Skeleton, standing
from sightline.geometry.frame import FloatArray, Placement, unit
from sightline.geometry.mesh import Mesh

REQUIRED = (
    "crown", "floor", "left shoulder", "right shoulder", "left elbow", "right elbow", "left wrist", "right wrist",
)  # fmt: skip
OPTIONAL = (
    "left eye", "right eye", "neck", "left hip", "right hip", "left knee", "right knee", "left ankle", "right ankle",
    "left fingertip", "right fingertip",
)  # fmt: skip
# Flesh within this many limb radii of the hidden arm's bones goes with the arm. Common practice, no source.
_CUT = 1.5


@dataclass(frozen=True, eq=False)
class ScanFigure:
    """A scan in the performer's frame: `body` is the cover without the hidden arm; `closed` as `Mesh.closed` says."""

    sheet: BodySheet
    skeleton: Skeleton
    body: Mesh
    closed: bool


def scan_figure(
    mesh: Mesh,
    landmarks: Mapping[str, ArrayLike],
    *,
    stature_m: float | None = None,
    sheet: BodySheet | None = None,
    hide: Side | None = "left",
) -> ScanFigure:
    """A scan and its landmarks (3,), in the scan's own axes and unit, brought to the performer's frame in metres.

    `floor` is the point on the floor between the feet and `crown` the top of the head: they give up (the scan's
    own axis where one is within 15 deg) and, with
    `stature_m` (shoes and hair included), the scale; without it the scan is taken to be in metres. The shoulders give
    left and right. Joints that are not among the landmarks are estimated. The arm `hide` is cut off and the hole
    closed; the body need not be watertight, it is then a cover only. Raises ValueError naming a landmark that is
    missing or unknown, or a scan of impossible size.
    """
    missing = [name for name in REQUIRED if name not in landmarks]
    if missing:
        raise ValueError(f"the scan has no landmark '{missing[0]}'; it needs {', '.join(REQUIRED)}")
    strange = [name for name in landmarks if name not in REQUIRED + OPTIONAL]
    if strange:
        raise ValueError(f"'{strange[0]}' is no landmark of a scan; they are {', '.join(REQUIRED + OPTIONAL)}")
    marks = {name: np.asarray(point, dtype=float).reshape(3) for name, point in landmarks.items()}
    if not all(np.all(np.isfinite(point)) for point in marks.values()):
        raise ValueError("a landmark of the scan is not a finite point")
    z = _upright(marks["crown"] - marks["floor"])
    across = marks["left shoulder"] - marks["right shoulder"]
    x = unit(across - (across @ z) * z)
    turn = np.array([x, np.cross(z, x), z])
    tall = float((marks["crown"] - marks["floor"]) @ z)
    scale = 1.0 if stature_m is None else stature_m / tall
    if not 0.5 <= tall * scale <= 2.5:
        raise ValueError(f"the scan stands {tall * scale:.2f} m tall; give its stature, or a scan in metres")

    def brought(points: FloatArray) -> FloatArray:
        return np.asarray((points - marks["floor"]) @ turn.T * scale)

    at = {name: brought(point) for name, point in marks.items()}
    if sheet is None:
        arms = {
            "shoulder_elbow": np.mean([np.linalg.norm(at[f"{s} elbow"] - at[f"{s} shoulder"]) for s in _SIDES]),
            "elbow_wrist": np.mean([np.linalg.norm(at[f"{s} wrist"] - at[f"{s} elbow"]) for s in _SIDES]),
        }
        sheet = body_sheet(stature_m=tall * scale, measured={key: float(value) for key, value in arms.items()})
    skeleton = _skeleton(sheet, at)
    body = Mesh(brought(mesh.vertices), mesh.faces).merged(1e-7)
    if hide is not None:
        body = cut_arm(body, sheet, skeleton, hide)
    return ScanFigure(sheet, skeleton, body, body.closed)


_SIDES: tuple[Side, Side] = ("left", "right")


def _upright(line: FloatArray) -> FloatArray:
    """Up: the scan's own axis nearest to floor-to-crown, or that line itself in a scan that stands askew."""
    along = unit(line)
    main = int(np.argmax(np.abs(along)))
    if abs(along[main]) < np.cos(np.radians(15.0)):
        return along
    return np.asarray(np.eye(3)[main] * np.sign(along[main]))


def _skeleton(sheet: BodySheet, at: Mapping[str, FloatArray]) -> Skeleton:
    """The standing skeleton of the sheet with every landmark put in its place."""
    body = standing(sheet, shoe_m=0.0)
    given: dict[str, FloatArray] = {
        name.replace(" ", "_"): point for name, point in at.items() if name not in ("floor",) and "finger" not in name
    }
    for side in _SIDES:
        tip = at.get(f"{side} fingertip")
        hand = unit((at[f"{side} wrist"] if tip is None else tip) - at[f"{side} {'elbow' if tip is None else 'wrist'}"])
        inward = np.array([-outward(side), 0.0, 0.0])
        square = inward - (inward @ hand) * hand
        if np.linalg.norm(square) < 1e-3:
            square = np.array([0.0, 0.0, -1.0]) - hand * -hand[2]
        given |= {f"{side}_hand": hand, f"{side}_palm": unit(square)}
    moved = at["crown"] - body.crown
    given |= {"head": body.head + moved}
    for side in _SIDES:
        given.setdefault(f"{side}_eye", getattr(body, f"{side}_eye") + moved)
    given.setdefault("neck", (at["left shoulder"] + at["right shoulder"]) / 2.0 + body.neck - _middle(body))
    skull = Placement(body.skull.rotation, body.skull.origin + moved)
    return replace(body, skull=skull, **given)  # type: ignore[arg-type]


def _middle(body: Skeleton) -> FloatArray:
    return (body.left_shoulder + body.right_shoulder) / 2.0


def cut_arm(body: Mesh, sheet: BodySheet, skeleton: Skeleton, side: Side) -> Mesh:
    """The body without the triangles that belong to one arm, the holes closed by fans to their middles."""
    centres = body.corners.mean(axis=1)
    s, e, w, hand, _ = skeleton.arm(side)
    two_pi = 2.0 * np.pi
    arm = np.minimum.reduce(
        [
            _distance(centres, s, e) / (sheet.biceps_girth_m / two_pi),
            _distance(centres, e, w) / (sheet.forearm_girth_m / two_pi),
            _distance(centres, w, w + hand * sheet.hand_length_m) / (0.5 * sheet.hand_breadth_m),
        ]
    )
    # What is nearer, by its own thickness, to trunk, head or leg stays with them.
    hip, knee, ankle = (getattr(skeleton, f"{side}_{name}") for name in ("hip", "knee", "ankle"))
    pelvis = (skeleton.left_hip + skeleton.right_hip) / 2.0
    rest = np.minimum.reduce(
        [
            _distance(centres, pelvis, skeleton.neck) / (sheet.chest_girth_m / two_pi),
            _distance(centres, skeleton.neck, skeleton.crown) / (sheet.head_girth_m / two_pi),
            _distance(centres, hip, knee) / (sheet.thigh_girth_m / two_pi),
            _distance(centres, knee, ankle) / (sheet.calf_girth_m / two_pi),
        ]
    )
    gone = (arm < _CUT) & (arm < rest)
    near = _distance(centres, w, w + hand * sheet.hand_length_m) < 0.6 * sheet.hand_length_m
    return closed_without(body, gone | _stranded(body, gone, near | (arm < rest)))


def _stranded(body: Mesh, gone: NDArray[np.bool_], of_arm: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Kept pieces (m,) that the cut has left hanging where the arm was: fingertips, a puffed cuff."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    kept = np.flatnonzero(~gone)
    faces = body.faces[kept]
    if not len(faces):
        return np.zeros_like(gone)
    count = len(body.vertices)
    links = coo_array((np.ones(2 * len(faces)), (faces[:, [0, 1]].ravel(), faces[:, [1, 2]].ravel())), (count, count))
    label = connected_components(links, directed=False)[1][faces[:, 0]]
    area = np.bincount(label, body.areas[kept])
    armed = np.bincount(label, body.areas[kept] * of_arm[kept]) > 0.5 * area
    out = np.zeros_like(gone)
    out[kept] = armed[label] & (area < 0.05 * body.area_m2)[label]
    return out


def _distance(points: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray:
    axis = end - start
    t = np.clip((points - start) @ axis / max(float(axis @ axis), 1e-12), 0.0, 1.0)
    return np.asarray(np.linalg.norm(points - start - t[:, None] * axis, axis=1))


def closed_without(body: Mesh, gone: NDArray[np.bool_]) -> Mesh:
    """The mesh without the faces `gone` (m,); each hole that this leaves is closed by a fan to its middle."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    kept, cut = body.faces[~gone], body.faces[gone]
    if not len(cut) or not len(kept):
        return Mesh(body.vertices, kept)
    count = len(body.vertices)

    def edges(faces: NDArray[np.int32]) -> NDArray[np.int64]:
        return np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).astype(np.int64)

    of_cut = edges(cut)
    reverse = edges(kept) @ np.array([1, count], dtype=np.int64)
    # An edge of the cut is a rim where the triangle on its other side stays; rims keep the cut triangle's direction.
    rim = of_cut[np.isin(of_cut[:, 0] * count + of_cut[:, 1], reverse)]
    if not len(rim):
        return Mesh(body.vertices, kept).merged(1e-9)
    graph = coo_array((np.ones(len(rim)), (rim[:, 0], rim[:, 1])), shape=(count, count))
    _, label = connected_components(graph, directed=False)
    loops, which = np.unique(label[rim[:, 0]], return_inverse=True)
    middles = np.array([body.vertices[np.unique(rim[which == k])].mean(axis=0) for k in range(len(loops))])
    fans = np.column_stack([rim, count + which.reshape(-1)]).astype(np.int32)
    whole = Mesh(np.concatenate([body.vertices, middles]), np.concatenate([kept, fans]))
    used, faces = np.unique(whole.faces, return_inverse=True)
    return Mesh(whole.vertices[used], faces.reshape(-1, 3).astype(np.int32))
