"""What the page asks instead of casting rays: for every direction, how far it is to the edge of what shows.

As in `sight/fields.py` the act is small and rigid, so whether it hides a piece of itself depends on the direction to
the eye alone. The page needs less and smaller: all poses of one staging laid into one field, at most MOST_CLUSTERS
pieces of each secret, and for each a signed angle to the edge between shown and hidden. An angle is a smooth function
where a yes or no is not, so that between the corners of a coarse map the edge is found within a fraction of a cell.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.moment import Secret
from sightline.packet.quickcast import Part, asked_finely, over_all, points_of
from sightline.sight import octahedral
from sightline.sight.fieldcache import FieldCache, digest
from sightline.sight.prepared import PreparedSurface
from sightline.sight.rays import BoolArray, IndexArray
from sightline.sight.scenery import Scenery

SIDE = 64
FINER = 2
MOST_CLUSTERS = 80
# Edges are kept so far to either side, and in such steps: wide enough for the largest cell.
CLAMP_RAD = np.radians(5.0)
STEP_RAD = np.radians(0.5)


@dataclass(frozen=True)
class QuickField:
    """One secret over all poses of a staging, in the act's own frame.

    `centres_m` (k, 3) of the pieces; `edge` (k, (side + 1)^2) int8: steps of STEP_RAD from the corner's direction to
    the edge, positive where something of the piece shows; `size` (k, (side / 2 + 1)^2) uint8: square root of how much
    shows, 255 for `most` (k,): projected area in m2, for a line projected length in m. Of what moves all that shows
    is seen: it has no `size` (k, 0), and `most` is about what one piece looks like from the side.
    """

    secret: Secret
    side: int
    centres_m: FloatArray
    reach_m: float
    edge: NDArray[np.int8]
    size: NDArray[np.uint8]
    most: FloatArray


def parts_of(name: str, scenery: Scenery) -> list[Part]:
    """The secret in every way in which the poses have it; one way for what stands still."""
    moment = scenery.moment
    still = {secret.name: secret for secret in moment.still.secrets}
    everyone = [scenery.pose(i)[1] for i in range(len(moment.poses))]
    if name in still:
        adds = [[scenery.still, group] for group in everyone if group.indices] or [[scenery.still]]
        return [(scenery.prepared(still[name], 0), adds)]
    return [
        (scenery.prepared(secret, i), [[scenery.still, everyone[i]]])
        for i, pose in enumerate(moment.poses)
        for secret in pose.secrets
        if secret.name == name
    ]


def secret_of(name: str, scenery: Scenery) -> Secret:
    moment = scenery.moment
    every = (*moment.still.secrets, *[s for pose in moment.poses for s in pose.secrets])
    return next(secret for secret in every if secret.name == name)


def field_of(name: str, scenery: Scenery, piece_m: float, steepest_rad: float, cache: FieldCache | None) -> QuickField:
    """The field of one secret, made or fetched from the user's cache."""
    if cache is None:
        return build(name, scenery, piece_m, steepest_rad)
    secret, parts = secret_of(name, scenery), parts_of(name, scenery)
    covers = [scenery.still_covers, *[scenery.pose(i)[0] for i in range(len(scenery.moment.poses))]]
    key = digest(
        "quick field 1", SIDE, FINER, MOST_CLUSTERS, piece_m, steepest_rad, secret.moves,
        *[points_of(ready) for ready, _ in parts],
        *[array for group in covers for cover in group for array in (cover.mesh.vertices, cover.mesh.faces)],
    )  # fmt: skip
    stored = cache.fetch(key)
    if stored is not None and set(stored) == {"centres", "reach", "edge", "size", "most"}:
        return QuickField(
            secret, SIDE, stored["centres"], float(stored["reach"]), stored["edge"], stored["size"], stored["most"]
        )
    made = build(name, scenery, piece_m, steepest_rad)
    kept = {
        "centres": made.centres_m,
        "reach": np.array(made.reach_m),
        "edge": made.edge,
        "size": made.size,
        "most": made.most,
    }
    cache.store(key, kept)
    return made


def build(name: str, scenery: Scenery, piece_m: float, steepest_rad: float, side: int = SIDE) -> QuickField:
    """Cast the field of one secret. `piece_m`: how large a piece may be, where so few are allowed.

    Directions steeper than `steepest_rad` up or down are not asked: there everything counts as shown.
    """
    secret, parts = secret_of(name, scenery), parts_of(name, scenery)
    points = [points_of(ready) for ready, _ in parts]
    of, centres = clustered(np.concatenate(points), piece_m)
    ends = np.cumsum([0, *[len(p) for p in points]])
    of_part = [of[ends[i] : ends[i + 1]] for i in range(len(parts))]
    corners = octahedral.corner_directions(side)
    steep = np.abs(corners[:, 2]) > np.sin(steepest_rad)
    asked = np.flatnonzero(~steep)
    count = len(centres)
    shown = np.zeros((count, len(corners)), dtype=bool)
    size = np.zeros((count, len(corners)))
    for (ready, poses), mine in zip(parts, of_part, strict=True):
        found, much = over_all(ready, poses, corners[asked], mine, shown[:, asked], sized=not secret.moves)
        shown[:, asked] |= found
        size[:, asked] = np.maximum(size[:, asked], much)
    edge = _edges(shown, steep, side, parts, of_part)
    coarse = size.reshape(count, side + 1, side + 1)[:, ::2, ::2].reshape(count, -1)
    most = coarse.max(axis=1, initial=0.0)
    share = np.sqrt(coarse / np.maximum(most, 1e-12)[:, None])
    reach = float(np.linalg.norm(np.concatenate(points) - centres[of], axis=1).max()) if len(of) else 0.0
    packed = np.ceil(share * 255).astype(np.uint8)
    if secret.moves:
        # A closed surface shows a quarter of its area on average (Cauchy).
        packed, most = np.zeros((count, 0), dtype=np.uint8), _areas(parts, of_part, count) / 4
    return QuickField(secret, side, centres, reach, edge, packed, most)


def clustered(points: FloatArray, piece_m: float, most: int = MOST_CLUSTERS) -> tuple[IndexArray, FloatArray]:
    """Which piece each point (n, 3) belongs to (n,), and the pieces' middles (k, 3), k at most `most`."""
    from scipy.spatial import cKDTree

    if not len(points):
        return np.zeros(0, dtype=np.intp), np.zeros((0, 3))
    while True:
        grid = np.floor(points / piece_m).astype(np.int64)
        _, of = np.unique(grid, axis=0, return_inverse=True)
        of = of.ravel()
        if of.max() < most:
            break
        piece_m *= 1.1
    for _ in range(4):
        counts = np.bincount(of)
        centres = (
            np.column_stack([np.bincount(of, points[:, k]) for k in range(3)])[counts > 0] / counts[counts > 0, None]
        )
        _, of = cKDTree(centres).query(points)
    counts = np.bincount(of, minlength=len(centres))
    kept = np.flatnonzero(counts)
    return np.searchsorted(kept, of), centres[kept]


def _areas(parts: list[Part], of_part: list[IndexArray], count: int) -> FloatArray:
    """The largest area in m2 (k,) that a piece has in any pose."""
    most = np.zeros(count)
    for (ready, _), of in zip(parts, of_part, strict=True):
        areas = ready.patches.areas if isinstance(ready, PreparedSurface) else ready.line.lengths * ready.line.width_m
        most = np.maximum(most, np.bincount(of, areas, count))
    return most


def _edges(
    shown: BoolArray, steep: BoolArray, side: int, parts: list[Part], of_part: list[IndexArray]
) -> NDArray[np.int8]:
    """The signed angle from every corner to the edge (k, (side + 1)^2), in steps.

    Cells whose corners differ are asked again on a grid FINER times as fine.
    """
    from scipy.spatial import cKDTree

    count = len(shown)
    grid = shown.reshape(count, side + 1, side + 1)
    many = grid[:, 1:, 1:].astype(np.int8) + grid[:, 1:, :-1] + grid[:, :-1, 1:] + grid[:, :-1, :-1]
    mixed = ((many > 0) & (many < 4)).reshape(count, -1)
    fine = fine_directions(side)
    cell_steep = np.abs(fine[..., 2]).max(axis=1) > np.abs(octahedral.corner_directions(side)[steep][:, 2]).min(
        initial=1.1
    )
    mixed &= ~cell_steep
    rows, cells = np.nonzero(mixed)
    found = asked_finely(parts, of_part, fine, rows, cells)
    corners = octahedral.corner_directions(side)
    out = np.empty((count, len(corners)), dtype=np.int8)
    most = round(float(CLAMP_RAD / STEP_RAD))
    starts = np.searchsorted(rows, np.arange(count + 1))
    half = 0.5 * octahedral.narrowest_rad(side) / FINER
    for k in range(count):
        mine = slice(starts[k], starts[k + 1])
        samples = np.concatenate([corners[~steep], fine[cells[mine]].reshape(-1, 3)])
        yes = np.concatenate([shown[k][~steep], found[mine].ravel()])
        away = np.full(len(corners), float(CLAMP_RAD))
        for value in (True, False):
            ask = shown[k] != value
            if ask.any() and (yes == value).any():
                chord, _ = cKDTree(samples[yes == value]).query(
                    corners[ask], distance_upper_bound=2 * np.sin(CLAMP_RAD)
                )
                away[ask] = np.minimum(2 * np.arcsin(np.minimum(chord, 2.0) / 2), CLAMP_RAD)
        steps = np.clip(np.round((away - half) / STEP_RAD), 0, most)
        out[k] = np.where(shown[k], steps, -steps)
        out[k][steep] = most
    return out


def fine_directions(side: int) -> FloatArray:
    """Directions (side^2, FINER^2, 3) evenly inside every cell."""
    inside = (np.arange(FINER) + 0.5) / FINER
    row, column = np.divmod(np.arange(side * side), side)
    v = (row[:, None, None] + inside[None, :, None]) * 2 / side - 1 + np.zeros((1, 1, FINER))
    u = (column[:, None, None] + inside[None, None, :]) * 2 / side - 1 + np.zeros((1, FINER, 1))
    return octahedral.directions(np.column_stack([u.ravel(), v.ravel()])).reshape(side * side, FINER * FINER, 3)
