"""What a tape reads round a limb's skin, and how far its hand reaches: the same on a false limb and on a real one."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.workshop.limbs import LimbPose

# Where the hand is widest without its thumb's tip, as a share of its length: across the knuckles. From memory.
KNUCKLES_AT = 0.44


def ring_points(mesh: Mesh, at: FloatArray, direction: FloatArray) -> FloatArray | None:
    """Points (n, 2) in which the skin is cut square to `direction` (3,) at `at` (3,), of the piece nearest to it.

    On two axes square to the direction, from `at`. None where nothing is cut. The mesh must have its corners merged.
    """
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    way = unit(direction)
    depth = (mesh.vertices - at) @ way
    # A corner exactly on the plane would be cut twice or not at all.
    depth = np.where(np.abs(depth) < 1e-9, 1e-9, depth)
    side = depth[mesh.faces] > 0
    cut = mesh.faces[side.any(axis=1) & ~side.all(axis=1)]
    if not len(cut):
        return None
    edges = np.sort(np.stack([cut[:, [0, 1]], cut[:, [1, 2]], cut[:, [2, 0]]], axis=1), axis=2)
    crossed = (depth[edges[..., 0]] > 0) != (depth[edges[..., 1]] > 0)
    # Each cut face has two cut edges; an edge is one point of the ring, and joins the faces beside it.
    pairs = edges[crossed].reshape(-1, 2)
    points, number = np.unique(pairs, axis=0, return_inverse=True)
    ends = number.reshape(-1, 2)
    graph = coo_matrix((np.ones(len(ends)), (ends[:, 0], ends[:, 1])), shape=(len(points), len(points)))
    _, piece = connected_components(graph, directed=False)
    a, b = depth[points[:, 0]], depth[points[:, 1]]
    share = (a / (a - b))[:, None]
    places = mesh.vertices[points[:, 0]] * (1 - share) + mesh.vertices[points[:, 1]] * share - at
    first = unit(np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))]))
    flat = np.column_stack([places @ first, places @ np.cross(way, first)])
    away = np.linalg.norm(flat, axis=1)
    return np.asarray(flat[piece == piece[int(np.argmin(away))]])


def girth_m(mesh: Mesh, at: FloatArray, direction: FloatArray) -> float | None:
    """The taut tape's reading, metres, round the limb at `at` square to `direction`; None where there is no limb."""
    from scipy.spatial import ConvexHull, QhullError

    points = ring_points(mesh, at, direction)
    if points is None or len(points) < 3:
        return None
    try:
        # The outline's length: of a flat hull scipy calls it the area.
        return float(ConvexHull(points).area)
    except QhullError:
        return None


def bone_girth_m(mesh: Mesh, start: FloatArray, end: FloatArray, share: float) -> float | None:
    """The girth, metres, at a share of the bone from `start` to `end` (3,)."""
    return girth_m(mesh, start + share * (end - start), end - start)


def hand_length_m(mesh: Mesh, pose: LimbPose) -> float:
    """How far the fingers reach beyond the wrist along their direction, metres; 0 without a hand."""
    from_wrist = mesh.vertices - pose.wrist
    along = from_wrist @ pose.fingers
    # Within the thickness of a forearm of the fingers' line: a bent arm's shoulder is none of the hand.
    near = np.linalg.norm(from_wrist - along[:, None] * pose.fingers, axis=1) < 0.12
    return float(max(along[near & (along < 0.4)].max(initial=0.0), 0.0))


def hand_breadth_m(mesh: Mesh, pose: LimbPose, length_m: float) -> float | None:
    """The hand's extent across its knuckles, metres, thumb to little-finger side."""
    at = pose.wrist + KNUCKLES_AT * length_m * pose.fingers
    across = np.cross(pose.palm, pose.fingers)
    way = unit(pose.fingers)
    points = ring_points(mesh, at, way)
    if points is None:
        return None
    first = unit(np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))]))
    read = points @ np.array([first @ across, np.cross(way, first) @ across])
    return float(np.ptp(read))
