"""What the performer sees past prop and costume: floor, blind sectors, and where a child is lost from view."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from sightline.blocking.notation import distance
from sightline.figure.skeleton import HEAD_TURN_DEG, Skeleton
from sightline.geometry.frame import FloatArray, about_z
from sightline.geometry.mesh import Cover, Mesh
from sightline.sight.rays import Blockers, IndexArray
from sightline.workshop.bench import Bench
from sightline.workshop.section import Item, Section

# Floor and children are looked for this far out, in these steps; the edge is then followed to a tenth of a millimetre.
FAR_M = 6.0
STEP_M = 0.02
EDGE_M = 1e-4
BEARINGS_DEG = tuple(range(-180, 180, 10))
CHILD_M = 1.0
# To the side of the nose eyes still see about so far, degrees: from memory.
FIELD_HALF_DEG = 90.0
# A bearing is blind where no floor is seen nearer than this: two walking steps. Common practice, no source.
BLIND_M = 3.0
# Floor hidden farther than this ahead hides a kerb until it is underfoot. Common practice, no source.
WARN_M = 1.5
# So much nearer than the first floor seen, floor is asked what hides it.
HIDDEN_M = 0.02
PRACTICE = "common practice, no source"
METHOD = "similar triangles by rays from both eyes"


def seen_from(
    eyes: FloatArray, blockers: Blockers, bearings_rad: Sequence[float], height_m: float = 0.0, far_m: float = FAR_M
) -> FloatArray:
    """How far out, along each bearing, points at `height_m` above the floor are seen from there on.

    `eyes` (k, 3) or per bearing (n, k, 3), metres; one eye is enough. Bearing 0 is ahead (-y), positive to the
    performer's left. Distances (n,) are level, from the plumb line below the middle of the eyes; inf where the point
    `far_m` out is hidden, 0 where all are seen. An island of floor seen nearer, past a gap, does not count.
    """
    bearings = np.asarray(bearings_rad, dtype=float)
    every = np.broadcast_to(eyes, (len(bearings), *np.shape(eyes)[-2:]))
    middle = every.mean(axis=1)
    away = np.column_stack([np.sin(bearings), -np.cos(bearings)])

    def hidden(which: IndexArray, out: FloatArray) -> FloatArray:
        """Whether neither eye of bearing `which` (m,) sees the point `out` metres away (m,)."""
        spots = np.column_stack([middle[which, :2] + away[which] * out[:, None], np.full(len(out), height_m)])
        seen = np.zeros(len(out), dtype=bool)
        for k in range(every.shape[1]):
            seen |= ~blockers.blocked(spots, np.ascontiguousarray(every[which, k]))
        return ~seen

    steps = np.arange(STEP_M, far_m + STEP_M / 2, STEP_M)
    which = np.repeat(np.arange(len(bearings)), len(steps))
    dark = hidden(which, np.tile(steps, len(bearings))).reshape(len(bearings), len(steps))
    last = np.where(dark.any(axis=1), len(steps) - 1 - dark[:, ::-1].argmax(axis=1), -1)
    found = np.where(last < 0, 0.0, np.inf)
    open_ones = np.flatnonzero((last >= 0) & (last < len(steps) - 1))
    low, high = steps[last[open_ones]], steps[last[open_ones]] + STEP_M
    while len(open_ones) and float((high - low).max()) > EDGE_M:
        half = (low + high) / 2
        still = hidden(open_ones, half)
        low, high = np.where(still, half, low), np.where(still, high, half)
    found[open_ones] = (low + high) / 2 if len(open_ones) else []
    return found


def turned_eyes(skeleton: Skeleton, bearing_deg: float) -> FloatArray:
    """Both eyes (2, 3) with the head turned towards a bearing, as far as a neck turns."""
    gaze = skeleton.gaze
    now = math.degrees(math.atan2(gaze[0], -gaze[1])) if math.hypot(gaze[0], gaze[1]) > 1e-9 else 0.0
    turn = np.clip(bearing_deg, -HEAD_TURN_DEG, HEAD_TURN_DEG) - np.clip(now, -HEAD_TURN_DEG, HEAD_TURN_DEG)
    about = about_z(math.radians(float(turn)))
    return np.array(
        [(eye - skeleton.head) @ about.T + skeleton.head for eye in (skeleton.left_eye, skeleton.right_eye)]
    )


def in_view(bearing_deg: float) -> bool:
    """Whether a turned head looks that way at all."""
    return abs(bearing_deg) <= HEAD_TURN_DEG + FIELD_HALF_DEG


@dataclass(frozen=True)
class Seeing:
    """Per bearing (degrees, positive to the performer's left): floor and a child's crown, seen from so far out on."""

    bearings_deg: tuple[int, ...]
    floor_m: tuple[float, ...]
    child_m: tuple[float, ...]
    hider: tuple[str, ...] = ()
    """What hides the floor just nearer than that, by name; empty where nothing does."""

    def floor(self, bearing_deg: int) -> float:
        return self.floor_m[self.bearings_deg.index(bearing_deg)]

    def blind(self) -> list[tuple[int, int]]:
        """Sectors in which no floor is seen within BLIND_M, or the head does not turn: (from, to), right to left."""
        dark = [not in_view(b) or f > BLIND_M for b, f in zip(self.bearings_deg, self.floor_m, strict=True)]
        if all(dark):
            return [(-180, 170)]
        start = dark.index(False)
        sectors: list[list[int]] = []
        for step in range(len(dark)):
            k = (start + step) % len(dark)
            if not dark[k]:
                continue
            if sectors and dark[k - 1]:
                sectors[-1][1] = self.bearings_deg[k]
            else:
                sectors.append([self.bearings_deg[k]] * 2)
        return [(a, b) for a, b in sectors]


def seeing_of(bench: Bench) -> Seeing | None:
    """What is seen in the worst of the puppet's moves; None without a performer."""
    body = bench.body
    if body is None:
        return None
    act, skeleton = bench.staged.act, body.skeleton
    still = [cover for cover in act.covers if cover.name not in ("head", "body")]
    still += [Cover(s.name, s.mesh) for s in act.secrets if s.covers and len(s.mesh.faces)]
    if body.scan is not None:
        still.append(Cover("body", _headless(body.scan, skeleton)))
    eyes = np.array([turned_eyes(skeleton, bearing) for bearing in BEARINGS_DEG])
    bearings = np.radians(BEARINGS_DEG)
    floor, child = np.zeros(len(bearings)), np.zeros(len(bearings))
    hider = [""] * len(bearings)
    met: set[tuple[int, ...]] = set()
    for pose in act.poses:
        # The arm is inside prop and costume: poses in which the puppet is in one place look alike.
        key = tuple(id(must.mesh) for must in pose.must_see)
        if key in met:
            continue
        met.add(key)
        covers = [*still, *pose.surfaces()]
        blockers = Blockers([cover.mesh for cover in covers])
        here = seen_from(eyes, blockers, list(bearings))
        for k in np.flatnonzero((here > floor) & np.isfinite(here)):
            hider[k] = _hider(covers, blockers, eyes[k], float(bearings[k]), float(here[k]))
        floor = np.maximum(floor, here)
        child = np.maximum(child, seen_from(eyes, blockers, list(bearings), CHILD_M))
    return Seeing(BEARINGS_DEG, tuple(floor.tolist()), tuple(child.tolist()), tuple(hider))


def _hider(covers: Sequence[Cover], blockers: Blockers, eyes: FloatArray, bearing: float, seen_m: float) -> str:
    """The cover that the look of both eyes (2, 3) to the floor just nearer than `seen_m` meets first."""
    middle = eyes.mean(axis=0)
    out = seen_m - HIDDEN_M
    spot = [middle[0] + math.sin(bearing) * out, middle[1] - math.cos(bearing) * out, 0.0]
    hits = blockers.first(eyes, np.array([spot, spot]))
    return next((covers[int(mesh)].name for mesh in hits.mesh if mesh >= 0), "")


def _headless(scan: Mesh, skeleton: Skeleton) -> Mesh:
    """A scanned body without what is round its own eyes and above the neck."""
    middle = scan.corners.mean(axis=1)
    head = (np.linalg.norm(middle - skeleton.eye, axis=1) < 0.30) & (middle[:, 2] > skeleton.neck[2])
    return Mesh.of(scan.vertices, scan.faces[~head])


def bearing_words(bearing_deg: int) -> str:
    """`straight ahead`, `30 deg to the left`, `straight behind`: the performer's own sides."""
    turned = (bearing_deg + 180) % 360 - 180
    if turned in (0, -180):
        return "straight ahead" if turned == 0 else "straight behind"
    return f"{abs(turned)} deg to the {'left' if turned > 0 else 'right'}"


def sector_words(sector: tuple[int, int]) -> str:
    if sector == (-180, 170):
        return "all round"
    if sector[0] == sector[1]:
        return bearing_words(sector[0])
    words = f"from {bearing_words(sector[1])} round to {bearing_words(sector[0])}"
    return f"{words}, behind" if _within(sector, lambda b: b == -180) else words


def section(bench: Bench) -> Section:
    found = seeing_of(bench)
    if found is None:
        words = "What the performer sees is not known: the scene has no performer."
        return Section("seeing", [Item("floor ahead", "not known", words)])
    items = [
        _floor_item(found, key, bearing)
        for key, bearing in (("floor ahead", 0), ("floor to the left", 90), ("floor to the right", -90))
    ]
    items += [_blind_item(found), _child_item(found)]
    rows = [
        [b, *(None if math.isinf(x) else round(x, 4) for x in (f, c))]
        for b, f, c in zip(found.bearings_deg, found.floor_m, found.child_m, strict=True)
    ]
    some = [k for k, b in enumerate(found.bearings_deg) if abs(b) <= 150 and b % 30 == 0]
    said = f"Seen from so far out on, floor / a {CHILD_M:g} m child's crown: " + "; ".join(
        f"{bearing_words(found.bearings_deg[k])} {_far(found.floor_m[k])} / {_far(found.child_m[k])}" for k in some
    )
    said += ". Every 10 deg: fit --json."
    items.append(Item("all bearings", "told", said, rows, "deg, m, m", METHOD))
    return Section(
        "seeing",
        items,
        cautions=[
            "A performer who does not see the floor ahead needs a handler's eyes and voice at steps, kerbs, cables and "
            "doors, and near children; walk the way once without the prop.",
        ],
        assumptions=[
            "Distances are level, from a plumb line below the eyes; one of both eyes is enough. The head turns "
            f"{HEAD_TURN_DEG:.0f} deg to each side and eyes see {FIELD_HALF_DEG:.0f} deg beside the nose (from memory).",
            "The head is held as high as in the pose; bending over the prop to look down is not counted on.",
        ],
        not_checked=[
            "what narrows the performer's view besides: masks, hats, hair, spectacles, sweat, darkness and glare",
        ],
    )


def _far(seen_m: float) -> str:
    return "never" if math.isinf(seen_m) else f"{seen_m:.2f} m"


def _floor_item(found: Seeing, key: str, bearing: int) -> Item:
    floor = found.floor(bearing)
    where = bearing_words(bearing) if bearing == 0 else f"at {bearing_words(bearing)}"
    if math.isinf(floor):
        words = f"The floor {where} is not seen within {distance(FAR_M)}: the performer walks blind that way."
        return Item(key, "warn", words, None, "m", METHOD)
    if floor == 0.0:
        return Item(key, "told", f"The floor {where} is seen right from the feet.", 0.0, "m", METHOD)
    hider = found.hider[found.bearings_deg.index(bearing)]
    by = f" by '{hider}'" if hider else ""
    words = f"The floor {where} is seen from {distance(floor)} on; nearer it is hidden{by}."
    return Item(key, "warn" if floor > WARN_M else "told", words, floor, "m", METHOD)


def _blind_item(found: Seeing) -> Item:
    sectors = found.blind()
    values = [list(sector) for sector in sectors]
    blind = "; ".join(sector_words(sector) for sector in sectors) or "none"
    words = f"Blind sectors (no floor seen within {distance(BLIND_M)}, head turned that way): {blind}."
    ahead = any(_within(sector, lambda b: abs(b) <= 90) for sector in sectors)
    if ahead:
        words += " One of them is ahead: the performer cannot lead the way there."
    return Item("blind sectors", "warn" if ahead else "told", words, values, "deg", PRACTICE)


def _within(sector: tuple[int, int], test: Callable[[int], bool]) -> bool:
    wide = (sector[1] - sector[0]) % 360
    return any(test((sector[0] + step + 180) % 360 - 180) for step in range(0, wide + 1, 10))


def _child_item(found: Seeing) -> Item:
    ahead = [(c, b) for b, c in zip(found.bearings_deg, found.child_m, strict=True) if abs(b) <= 90]
    worst, bearing = max(ahead, key=lambda pair: (pair[0], -abs(pair[1])))
    lost = sorted(b for c, b in ahead if math.isinf(c))
    if lost:
        words = (
            f"A {CHILD_M:g} m tall child is lost from view as far as {distance(FAR_M)} away at {len(lost)} of "
            f"{len(ahead)} bearings ahead, the one nearest the front {bearing_words(min(lost, key=abs))}."
        )
        return Item("child blind zone", "warn", words, None, "m", METHOD)
    words = (
        f"A {CHILD_M:g} m tall child's crown is hidden ahead up to {distance(worst)} away ({bearing_words(bearing)}); "
        "farther out it is seen."
    )
    return Item("child blind zone", "warn" if worst > 0.5 else "told", words, worst, "m", METHOD)
