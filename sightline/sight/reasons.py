"""Why an eye sees a secret: through which opening, or past which edge of which cover."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray, unit
from sightline.sight.check import Finding
from sightline.sight.leak import facing, origins, unblocked
from sightline.sight.lines import line_facing, line_unblocked
from sightline.sight.looking import head_positions
from sightline.sight.prepared import PreparedSurface
from sightline.sight.rays import Blockers, BoolArray, nearest_mesh

WORST = 3


def worst_eyes(finding: Finding, secret: str, most: int = WORST) -> list[int]:
    """Indices of the eyes that see most of a secret, the worst first; none that see nothing."""
    found = finding.secrets[secret]
    rank = found.sighting.seen.rank
    order = np.lexsort((np.arange(len(rank)), -rank, -found.verdict.astype(int)))
    return [int(i) for i in order[:most] if found.verdict[i] > 0]


def reason(finding: Finding, secret: str, eye: int) -> str:
    """In a few words, how what the eye sees of the secret gets past the covers."""
    moment, scenery = finding.moment, finding.looked.scenery
    seen = finding.secrets[secret].sighting.seen
    if seen.via[eye] >= 0:
        return f"in the mirror {moment.mirrors[seen.via[eye]].name}"
    pose = int(seen.pose[eye])
    at = head_positions(moment, finding.swayed)[int(seen.position[eye]), eye][None]
    what = next(
        (s for s in moment.poses[pose].secrets if s.name == secret),
        next((s for s in moment.still.secrets if s.name == secret), None),
    )
    assert what is not None
    ready = finding.secrets[secret].sighting.in_pose(pose)
    groups = [*scenery.before_poses, scenery.pose(pose)[1]]
    if isinstance(ready, PreparedSurface):
        front = facing(ready.patches, at)
        shown = unblocked(ready.patches, front, groups, at)
        clear = np.isin(front.columns, shown.columns)
        starts = origins(ready.patches, front)
    else:
        samples = np.flatnonzero(line_facing(ready.line, at)[0])
        clear = line_unblocked(ready.line, line_facing(ready.line, at), groups, at)[0][samples]
        starts = ready.line.points[samples]
    if not clear.any():
        return "in a sliver beside what was looked at"
    opening = _opening(moment.apertures, starts[clear], at[0], scenery.centre_m)
    if opening:
        return f"through the {opening}"
    if clear.all():
        return "with nothing in the way"
    ends = np.broadcast_to(at[0], starts.shape)
    found, *_ = nearest_mesh(scenery.surfaces(pose), starts[~clear], ends[~clear])
    covers = scenery.covers(pose)
    near = _beside(starts[~clear], starts[clear])
    hits = found[near & (found >= 0)]
    if not len(hits):
        hits = found[found >= 0]
    if not len(hits):
        return "with nothing in the way"
    index = int(np.bincount(hits).argmax())
    name = covers[index].name
    if what.on is not None and name == what.on:
        return f"on the side of the {name} that faces there"
    side = _which_side(starts[clear], starts[~clear][found == index], at[0])
    return f"round itself, {side}" if name == secret else f"{side} the {name}"


def _opening(apertures: tuple[object, ...], starts: FloatArray, eye: FloatArray, centre: FloatArray) -> str | None:
    """The opening that most of what is visible is seen through."""
    from sightline.geometry.mesh import Cover

    holes = [hole for hole in apertures if isinstance(hole, Cover)]
    if not holes:
        return None
    hits = Blockers([hole.mesh for hole in holes], centre).first(starts, np.broadcast_to(eye, starts.shape))
    through = hits.mesh[hits.mesh >= 0]
    if len(through) * 2 < len(starts):
        return None
    return holes[int(np.bincount(through).argmax())].name


def _beside(points: FloatArray, others: FloatArray) -> BoolArray:
    """Which points are among the nearest to any of the others."""
    distance = np.linalg.norm(points[:, None] - others[None], axis=2).min(axis=1)
    return np.asarray(distance <= max(0.04, float(np.quantile(distance, 0.1))))


def _which_side(clear: FloatArray, blocked: FloatArray, eye: FloatArray) -> str:
    """Where what is visible lies, as the eye sees it, from what the cover hides."""
    ahead = unit(clear.mean(axis=0) - eye)
    right = np.cross(ahead, [0.0, 0.0, 1.0])
    if np.linalg.norm(right) < 1e-6:
        return "past"
    right = unit(right)
    step = clear.mean(axis=0) - blocked.mean(axis=0)
    x, y = float(step @ right), float(step @ np.cross(right, ahead))
    if abs(y) > abs(x):
        return "over" if y > 0 else "under"
    # The eye's right is stage left when it looks upstage.
    stage_left = (right[0] if abs(right[0]) > 1e-6 else 1.0) * x > 0
    return "past the stage-left side of" if stage_left else "past the stage-right side of"
