"""What eyes see in mirrors: the same work as for a direct look, done from the eye's mirror image.

A plane mirror shows from the eye what would be seen from the eye's image through a window of the mirror's shape: size,
distance and which way a patch turns are those from the image. Only the rays differ: each is two legs, from the patch to
a point of the mirror and from there to the real eye, and everything may block on both. One reflection is followed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.house.mirrors import Mirror
from sightline.sight.prepared import PreparedLine, PreparedSurface, Seen
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray
from sightline.sight.scenery import Scenery

# Whatever is nearer to the mirror's plane than this is taken to lie in it, and is not seen in it.
FLUSH_M = 2 * LIFT_M
# The box round a secret is taken this much larger: rays start lifted off its patches.
SLACK_M = 10 * LIFT_M


def refuse_buried(mirrors: Sequence[Mirror], scenery: Scenery) -> None:
    """Raises Misfit for a mirror whose middle is inside a solid: nothing would be seen in it, without a word."""
    for mirror in mirrors:
        front = (mirror.centre_m + FLUSH_M * mirror.normal)[None]
        for cover in (*scenery.still_covers, *scenery.moment.setting):
            solid = scenery.solid(cover.mesh)
            if solid is not None and solid.holds(front)[0]:
                sentence = f"The front of the mirror '{mirror.name}' is inside '{cover.name}'; hang it before it."
                raise Misfit(("venue", "mirrors"), sentence)


class TwoLegs(Blockers):
    """What blocks between patches and the mirror images of eyes: the edges of the mirror, and others on either leg.

    Asked like any blockers, with the images of the eyes for ends.
    """

    def __init__(self, mirror: Mirror, others: Sequence[Blockers]):
        self.mirror, self.others = mirror, [other for other in others if other.indices]
        self.indices = [index for other in self.others for index in other.indices]

    def blocked_pairs(
        self, starts: FloatArray, of_start: IndexArray, ends: FloatArray, of_end: IndexArray
    ) -> BoolArray:
        out = np.ones(len(of_start), dtype=bool)
        before, behind = self.mirror.heights(starts), -self.mirror.heights(ends)
        facing = np.flatnonzero((before[of_start] > FLUSH_M) & (behind[of_end] > FLUSH_M))
        from_, to = of_start[facing], of_end[facing]
        share = before[from_] / (before[from_] + behind[to])
        places = self.mirror.across(starts)[from_] * (1 - share)[:, None]
        places += self.mirror.across(ends)[to] * share[:, None]
        inside = np.flatnonzero(self.mirror.holds(places))
        left, from_, to, places = facing[inside], from_[inside], to[inside], places[inside]
        if not len(left):
            return out
        # Before the glass by a hair, so that neither the mirror nor what it hangs on is met.
        glass = self.mirror.centre_m + LIFT_M * self.mirror.normal
        glass = glass + places @ self.mirror.placement.rotation[:, [0, 2]].T
        eyes, every = self.mirror.reflected(ends), np.arange(len(glass))
        for other in self.others:
            free = ~other.blocked_pairs(starts, from_, glass, every)
            left, from_, to, every = left[free], from_[free], to[free], every[free]
            free = ~other.blocked_pairs(glass, every, eyes, to)
            left, from_, to, every = left[free], from_[free], to[free], every[free]
        out[left] = False
        return out

    def first(self, starts: FloatArray, ends: FloatArray) -> Any:
        raise NotImplementedError("a ray by way of a mirror has no first thing met")


def looking_in(mirror: Mirror, bounds_m: FloatArray, eyes: FloatArray) -> IndexArray:
    """The eyes (e, 3) that may see something of the box `bounds_m` (2, 3) in the mirror; doubt keeps them.

    Seen from an eye's image the box lies within the hull of its corners, so what of the mirror shows it lies
    within the bounds of the corners' crossing points.
    """
    low, high = bounds_m + np.array([[-SLACK_M], [SLACK_M]])
    box = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
    before, away = mirror.heights(box), mirror.heights(eyes)
    some = np.flatnonzero(away > FLUSH_M)
    if not len(some) or before.max() <= FLUSH_M or before.min() <= FLUSH_M:
        return some if before.max() > FLUSH_M else some[:0]
    # A point of the plane on the way from image to corner divides it as their heights do.
    share = before / (before + away[some, None])
    images = mirror.across(mirror.reflected(eyes[some]))
    places = mirror.across(box) * (1 - share)[..., None] + images[:, None] * share[..., None]
    meets = (places.min(axis=1) <= mirror.half_m) & (places.max(axis=1) >= -np.array(mirror.half_m))
    return np.asarray(some[meets.all(axis=1)])


def take_reflected(
    worst: Seen,
    ready: PreparedSurface | PreparedLine,
    mirrors: Sequence[Mirror],
    eyes: FloatArray,
    before: Sequence[Blockers],
    poses: Sequence[tuple[int, Blockers]],
    position: int,
) -> None:
    """Put what the eyes (e, 3) see of a secret in mirrors into `worst`, where it is more than what stands there.

    `before` blocks in every pose, and each of `poses` (its index, what it adds) in that pose.
    """
    for index, mirror in enumerate(mirrors):
        some = looking_in(mirror, ready.bounds_m, eyes)
        if not len(some):
            continue
        images = mirror.reflected(eyes[some])
        started: Any = ready.start(images, [TwoLegs(mirror, before)], None)
        for pose, adds in poses:
            groups = [TwoLegs(mirror, [adds])] if adds.indices else []
            found = ready.finish(started, images, groups, pose, position)
            found.via[:] = index
            worst.take(some, found)


def missable_rad(ready: PreparedSurface | PreparedLine, mirrors: Sequence[Mirror], eyes: FloatArray) -> FloatArray:
    """The widest disc (e,) rad that can lie between samples, seen directly or in a mirror.

    The way by a mirror is the longer one, but a surface may turn its front to it and its back to the eye.
    """
    out = ready.missable_rad(eyes).copy()
    for mirror in mirrors:
        some = looking_in(mirror, ready.bounds_m, eyes)
        if len(some):
            out[some] = np.maximum(out[some], ready.missable_rad(mirror.reflected(eyes[some])))
    return out
