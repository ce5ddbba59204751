"""The eyes of a contact sheet: centre, both extremes, front row, each balcony's front and back, and one of each kind."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.storeys import storeys
from sightline.sight.check import Finding
from sightline.sight.rays import IndexArray

# What a kind of eye is called on the sheet; seated eyes need no place of their own.
KINDS = {
    "standing": "standing", "child": "child", "floor child": "child on the floor", "wheelchair": "wheelchair",
    "phone": "raised phone", "camera": "camera",
}  # fmt: skip
# An eye this far round from straight ahead sees the act from behind.
BEHIND_RAD = math.radians(135)


@dataclass(frozen=True)
class ContactEye:
    """One eye of the moment, by its index, and why it is on the sheet."""

    index: int
    why: str


def contact_eyes(finding: Finding) -> list[ContactEye]:
    """The eyes in a fixed order, each once, with all reasons for it; the one that sees most comes first."""
    reasons: dict[int, list[str]] = {}
    for index, why in _wanted(finding):
        reasons.setdefault(index, []).append(why)
    return [ContactEye(index, ", ".join(why)) for index, why in reasons.items()]


def _wanted(finding: Finding) -> Iterator[tuple[int, str]]:
    moment = finding.moment
    worst, size = finding.worst_verdict(), finding.size_of_leak()
    if worst.any():
        yield int(np.lexsort((-np.arange(len(size)), size, worst))[-1]), "sees most"
    at, focus = moment.eye_points(), moment.focus_m
    flat = at[:, :2] - focus[:2]
    away = np.hypot(flat[:, 0], flat[:, 1])
    # Bearings as facings are said: 0 straight out front, growing to stage left.
    bearing = np.arctan2(flat[:, 0], -flat[:, 1])
    ground, *upper = storeys(moment.eyes)
    everyone = ground.members
    if len(everyone):
        yield _middle(everyone, bearing, away, float(np.median(away[everyone]))), "centre"
        front = everyone[np.abs(bearing[everyone]) < BEHIND_RAD]
        if len(front):
            # stage right is house left.
            yield int(front[np.argmin(bearing[front])]), "extreme house left"
            yield int(front[np.argmax(bearing[front])]), "extreme house right"
        behind = everyone[np.abs(bearing[everyone]) >= BEHIND_RAD]
        if len(behind):
            yield int(behind[np.argmin(away[behind])]), "behind"
        seated = len([i for i in everyone if moment.eyes[i].row is not None]) > 0
        yield _middle(everyone, bearing, away, float(away[everyone].min())), "front row" if seated else "nearest"
        yield _middle(everyone, bearing, away, float(away[everyone].max())), "back row" if seated else "farthest"
    for storey in upper:
        members = storey.members
        yield _middle(members, bearing, away, float(away[members].min())), f"{storey.name} front"
        yield _middle(members, bearing, away, float(away[members].max())), f"{storey.name} back"
    for kind, called in KINDS.items():
        of_kind = np.array([i for i, eye in enumerate(moment.eyes) if eye.kind == kind], dtype=np.intp)
        if len(of_kind):
            order = np.lexsort((of_kind, away[of_kind], -size[of_kind], -worst[of_kind].astype(int)))
            yield int(of_kind[order[0]]), called


def _middle(members: IndexArray, bearing: FloatArray, away: FloatArray, distance: float) -> int:
    """Of the eyes about so far away, the one nearest to straight ahead of the house."""
    gap = np.abs(away[members] - distance)
    # A metre nearer or farther counts as much as a metre to the side.
    side = np.abs(np.sin(bearing[members] / 2)) * 2 * np.maximum(away[members], 1.0)
    return int(members[np.lexsort((members, np.round(gap + 0.5 * side, 6)))[0]])
