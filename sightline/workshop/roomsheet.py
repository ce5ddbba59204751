"""The worst seats in a small room: where a camera goes so that it looks from the same direction, only nearer.

A camera is moved along its eye's own line of sight to the middle of the secret. Lengths in metres; places are in the
performer's own frame (+x to the performer's left, -y ahead, z up from the room's floor, the mark at the origin).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray, Placement
from sightline.geometry.mesh import Cover
from sightline.moment import Moment
from sightline.sight.check import VERDICTS, Finding, Thresholds, check
from sightline.staging.stage import Staged, placement
from sightline.workshop.eyepick import clean_eyes, point_eye, points_of, secret_for, secret_in, worst_eyes
from sightline.workshop.room import Room
from sightline.workshop.roomspot import ELBOW_ROOM_M, Knot, Spot, best_mark, nearness_deg, reaches


@dataclass(frozen=True)
class RoomSheet:
    """`mark_m`: the performer's mark from the wall at the performer's right, and from the wall behind.

    `finding` is the check in the room, None where no camera fits; `turn` takes the performer's frame to the finding's.
    """

    room: Room
    mark_m: tuple[float, float]
    spots: tuple[Spot, ...]
    knots: tuple[Knot, ...]
    finding: Finding | None
    turn: Placement
    notes: tuple[str, ...]


def room_sheet(staged: Staged, finding: Finding, thresholds: Thresholds, room: Room) -> RoomSheet:
    """The eyes to try and where their cameras go. `finding` is the check of the scene on its own mark, with margins."""
    bare = bare_moment(staged)
    # The finding is in the frame of the stage, what is bare in the performer's own where everything goes along.
    back = placement(staged.mark_m, staged.facing_rad).inverse()
    frame = Placement.still() if staged.goes_along else back.inverse()
    places = back.points(finding.moment.eye_points())
    wanted = [*worst_eyes(finding), *clean_eyes(finding, bare, frame.points(places), thresholds)]
    knots: dict[str, Knot] = {}
    spots = []
    for number, (index, chosen) in enumerate(wanted, 1):
        name = secret_for(finding, index)
        if name not in knots:
            points = back.points(points_of(secret_in(finding.moment, name, 0)))
            middle = (points.min(axis=0) + points.max(axis=0)) / 2
            knots[name] = Knot("ABCDEFGHIJKLMNOPQRSTUVWXYZ"[len(knots) % 26], name, middle)
        spots.append(_spot(finding, index, number, chosen, knots[name], places[index]))
    usable = [i for i, spot in enumerate(spots) if spot.why_not is None]
    held, mark = best_mark([spots[i] for i in usable], room, _taken(bare, frame.inverse()))
    for i, (camera, why) in zip(usable, reaches([spots[i] for i in usable], held, mark), strict=True):
        spots[i] = _with_camera(spots[i], camera, why, finding, back)
    spots, seen = _predict(spots, bare, frame, thresholds)
    return RoomSheet(held, mark, tuple(spots), tuple(knots.values()), seen, frame, tuple(_notes(staged, spots)))


def bare_moment(staged: Staged) -> Moment:
    """What stands in the room: the act and the covers that the scene itself places, no audience and no venue."""
    own = staged.own()
    if not staged.goes_along:
        return own
    back = placement(staged.mark_m, staged.facing_rad).inverse()
    return replace(own, setting=tuple(Cover(c.name, c.mesh.placed(back)) for c in staged.plain.covers))


def _spot(finding: Finding, index: int, number: int, chosen: str, knot: Knot, at_m: FloatArray) -> Spot:
    eye = finding.moment.eyes[index]
    seen = finding.secrets[knot.secret].sighting.seen
    why = None
    if finding.secrets[knot.secret].verdict[index] > 0 and seen.via[index] >= 0:
        why = f"it sees it in the mirror {finding.moment.mirrors[seen.via[index]].name}, which the room has not"
    margin = finding.least_margin()
    spare = None if margin is None or np.isnan(margin[index]) else float(margin[index])
    return Spot(
        number, eye.id, eye.kind, chosen, knot, at_m,
        VERDICTS[int(finding.worst_verdict()[index])], float(finding.size_of_leak()[index]), spare, None, 0.0, 0.0, why,
    )  # fmt: skip


def _taken(bare: Moment, back: Placement) -> tuple[FloatArray, FloatArray]:
    """Bounds on the floor (2,), (2,) of the performer and what is secret or carried; they must be in the room."""
    surfaces = [*bare.still.secrets, *bare.poses[0].secrets]
    points = [points_of(secret) for secret in surfaces]
    points += [c.mesh.vertices for c in bare.still.covers if c.name in ("torso", "body", "head")]
    points += [hole.mesh.vertices for hole in bare.apertures]
    flat = back.points(np.concatenate([p for p in points if len(p)]))[:, :2]
    return np.minimum(flat.min(axis=0) - 0.1, -ELBOW_ROOM_M), np.maximum(flat.max(axis=0) + 0.1, ELBOW_ROOM_M)


def _with_camera(spot: Spot, camera: FloatArray | None, why: str | None, finding: Finding, back: Placement) -> Spot:
    if camera is None:
        return replace(spot, why_not=why)
    names = [eye.id for eye in finding.moment.eyes]
    pose = int(finding.secrets[spot.knot.secret].sighting.seen.pose[names.index(spot.eye)])
    points = back.points(points_of(secret_in(finding.moment, spot.knot.secret, max(pose, 0))))
    return replace(
        spot, camera_m=camera, string_m=float(np.linalg.norm(camera - spot.knot.at_m)),
        nearness_deg=nearness_deg(points, spot.venue_m, camera),
    )  # fmt: skip


def _predict(
    spots: list[Spot], bare: Moment, frame: Placement, thresholds: Thresholds
) -> tuple[list[Spot], Finding | None]:  # fmt: skip
    """What each camera will see, by rays; one that would stand inside something is dropped with the reason."""
    while True:
        there = [i for i, spot in enumerate(spots) if spot.camera_m is not None]
        if not there:
            return spots, None
        cameras = frame.points(np.array([spots[i].camera_m for i in there]))
        eyes = tuple(point_eye(spots[i].eye, at) for i, at in zip(there, cameras, strict=True))
        try:
            seen = check(replace(bare, eyes=eyes), thresholds, must_sees=False, brief=True)
        except Misfit as misfit:
            name = misfit.path[-1] if misfit.path[:1] == ("eyes",) else None
            stuck = [i for i in there if spots[i].eye == name]
            if not stuck:
                raise
            spots[stuck[0]] = replace(spots[stuck[0]], camera_m=None, why_not=misfit.sentence.rstrip("."))
            continue
        for k, i in enumerate(there):
            spots[i] = replace(spots[i], room=k, predicted=VERDICTS[int(seen.worst_verdict()[k])])
        return spots, seen


def shows(verdict: str | None) -> str:
    """What a camera is to look for: seen and faint both show."""
    return "nothing shows" if verdict == "hidden" else "it shows"


def _notes(staged: Staged, spots: Sequence[Spot]) -> list[str]:
    notes = [
        "The room has the act alone: no audience, no scenery, no stage edge. A camera has one eye and does not lean.",
        "A camera nearer than the seat looks from the same direction at the secret's middle, and slightly other ones at "
        "its ends: 'nearness' says by how much.",
    ]
    if staged.plain.covers:
        named = ", ".join(cover.name for cover in staged.plain.covers[:6])
        notes.append(f"The scene places covers of its own, which are to stand in the room as well: {named}.")
    for spot in spots:
        differs = spot.predicted is not None and (spot.predicted == "hidden") != (spot.venue_verdict == "hidden")
        if differs:
            notes.append(
                f"{spot.number} ({spot.eye}): {shows(spot.venue_verdict)} in the venue, {shows(spot.predicted)} in the room "
                f"(nearness {spot.nearness_deg:.1f} deg, sway and scenery left out): it proves the build, not that seat."
            )
    narrow = [
        str(s.number) for s in spots
        if s.camera_m is not None and s.venue_verdict == "hidden" and s.margin_deg is not None and s.nearness_deg > s.margin_deg
    ]  # fmt: skip
    if narrow:
        notes.append(
            f"{', '.join(narrow)}: nearness is more than there is to spare, so what shows there may be the room's doing, "
            "not the build's."
        )
    found = {spot.chosen for spot in spots}
    if "clean" not in found:
        notes.append("No clean eye was found that stays clean without the venue's scenery.")
    return notes
