"""Who is kept from where: seats held off sale, sectors kept closed by a handler, people kept back from the mark."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from difflib import get_close_matches

import numpy as np

from sightline.errors import Problem, gathering
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.house.build import House
from sightline.house.eyes import Eye
from sightline.house.ground import inside, way_to_way_m
from sightline.house.outline import Outline
from sightline.house.people import EYE_HEIGHT_M
from sightline.props.plain import shape_mesh
from sightline.scene.blocking import ClosedSector
from sightline.scene.reading import Written
from sightline.scene.scene import Scene


def kept(written: Written[Scene], house: House) -> House:
    """The house as the scene lets people into it. Raises FileError for seats that are not there or may not be held."""
    venue = written.model.venue
    if venue is None or not (venue.held_seats or venue.closed_sectors or venue.keep_back):
        return house
    mark = np.array(written.model.blocking.mark)
    eyes, notes = list(house.eyes), list(house.notes)
    ids = {eye.id: eye for eye in eyes}
    for i, seat in enumerate(venue.held_seats):
        path = ("venue", "held seats", i)
        if seat not in ids:
            near = get_close_matches(seat, list(ids), n=1)
            hint = f"; did you mean '{near[0]}'?" if near else "."
            raise written.problem(path, f"There is no seat '{seat}' to hold{hint}")
        if ids[seat].id in protected(house.eyes):
            raise written.problem(path, f"'{seat}' is a wheelchair or companion place: it is never held.")
    held = set(venue.held_seats)
    # A handler on the performing floor says nothing to those on another storey.
    away = [
        eye.id
        for eye in eyes
        if eye.id not in held
        and not on_the_floor(eye)
        and (
            any(_in_turn(eye, sector, mark) for sector in venue.closed_sectors)
            or (venue.keep_back and _back(eye, venue.keep_back, mark) is not eye)
        )
    ]
    for i, sector in enumerate(venue.closed_sectors):
        inside = [eye for eye in eyes if in_sector(eye, sector, mark)]
        if any(eye.kind == "wheelchair" for eye in inside):
            raise written.problem(
                ("venue", "closed sectors", i), "There is a wheelchair place in this sector: it is never closed off."
            )
        held |= {eye.id for eye in inside}
    if held:
        eyes = [eye for eye in eyes if eye.id not in held]
        notes.append(f"{len(held)} places are held or closed off; a handler or usher sees to it that nobody is there.")
    if venue.keep_back:
        moved = [kept_back(eye, venue.keep_back, mark) for eye in eyes]
        ways = _Ways(written, house)
        stuck = [old.id for old, new in zip(eyes, moved, strict=True) if new is not old and not ways.free(old, new)]
        eyes = [old if old.id in stuck else new for old, new in zip(eyes, moved, strict=True)]
        notes.append(f"People who stand are kept {venue.keep_back:.2f} m from the mark; a handler sees to it.")
        if stuck:
            notes.append(
                f"{len(stuck)} cannot step straight back for walls, covers, mirrors, scenery, ways to be kept clear or the "
                f"end of their own area, and are taken to stay where they are: {_some(stuck)}."
            )
    if away:
        notes.append(
            f"{len(away)} stand a storey or more above or below the mark's floor: no ring or sector on it moves them, and "
            f"they are taken to stay where they are: {_some(away)}."
        )
    return replace(house, eyes=eyes, notes=notes)


def _some(ids: list[str]) -> str:
    return ", ".join(ids[:6]) + (" ..." if len(ids) > 6 else "")


def stands(eye: Eye) -> bool:
    """Whether this is somebody who stands about, and can be asked to stand elsewhere: nobody in a seat or a chair."""
    return eye.seat is None and eye.kind in ("standing", "child", "floor child", "phone")


# Floors so far apart are storeys: nobody on the one heeds a handler on the other. Common practice, no source.
STOREY_M = 2.0


def floor_of(eye: Eye) -> float:
    """Height of the floor somebody stands on, m; of one given as an eye only, as their kind commonly stands."""
    return eye.position_m[2] - EYE_HEIGHT_M.get(eye.kind, 0.0) if eye.floor_m is None else eye.floor_m


def on_the_floor(eye: Eye) -> bool:
    """Whether an eye's floor is less than a storey from the performing floor, which every mark is on."""
    return abs(floor_of(eye)) < STOREY_M


def in_sector(eye: Eye, sector: ClosedSector, mark_m: FloatArray) -> bool:
    """Whether an eye that stands on this storey is in a sector about the mark."""
    return on_the_floor(eye) and _in_turn(eye, sector, mark_m)


def _in_turn(eye: Eye, sector: ClosedSector, mark_m: FloatArray) -> bool:
    """The same in plan, whatever the storey."""
    if eye.seat is not None or eye.floor_m is None:
        return False
    x, y = eye.position_m[0] - mark_m[0], eye.position_m[1] - mark_m[1]
    bearing = math.atan2(x, -y)
    return math.hypot(x, y) <= sector.out and (bearing - sector.start) % (2 * math.pi) <= (sector.to - sector.start) % (
        2 * math.pi
    )


def kept_back(eye: Eye, distance_m: float, mark_m: FloatArray) -> Eye:
    """The eye at least so far from the mark, on the same bearing; wheelchair places and other storeys are never moved."""
    return _back(eye, distance_m, mark_m) if on_the_floor(eye) else eye


def _back(eye: Eye, distance_m: float, mark_m: FloatArray) -> Eye:
    """The same in plan, whatever the storey."""
    if not stands(eye):
        return eye
    step = np.array(eye.position_m[:2]) - mark_m
    far = float(np.hypot(*step))
    if far >= distance_m or far < 1e-6:
        return eye
    x, y = (mark_m + step * distance_m / far).tolist()
    return replace(eye, position_m=(x, y, eye.position_m[2]))


# What nobody steps through, and where nobody is sent.
BARRED = ("wall", "box", "column", "rail", "masking", "proscenium", "stage edge", "balcony front")
KEPT_CLEAR = ("keep clear", "exit")
TOUCHES_M = 1e-9


# What is lower is stepped on, what is higher is walked under; a body needs so much to either side. Common practice.
STEPPED_ON_M, WALKED_UNDER_M, HALF_BODY_M = 0.05, 2.0, 0.2
# An area's round edge is drawn in straight pieces.
DRAWN_M = 0.01


class _Ways:
    """What is in the way of people who step back: lines of the plan, covers of the scene that stay, mirrors."""

    def __init__(self, written: Written[Scene], house: House):
        self.house = house
        venue = written.model.venue
        # People in a single ring have an edge, no area: the floor goes on behind them.
        single = {c.area for c in venue.standing if c.ring and c.ring.inner == c.ring.outer} if venue else set()
        floors = {_area_of(eye): eye.floor_m for eye in house.eyes if eye.floor_m is not None}
        # Corners and floor of every area people stand in, by its name.
        self.areas: list[tuple[str, FloatArray, float]] = [
            (outline.name, outline.points_m, floors[outline.name])
            for outline in house.outlines
            if outline.kind == "standing area" and outline.closed and outline.name in floors.keys() - single
        ]
        meshes = [*_staying(written), *(mirror.cover().mesh for mirror in house.mirrors)]
        faces = [mesh.vertices[mesh.faces] for mesh in meshes]
        self.faces_m = np.concatenate([np.zeros((0, 3, 3)), *faces])
        self.low_m, self.high_m = self.faces_m.min(axis=1), self.faces_m.max(axis=1)

    def free(self, old: Eye, new: Eye) -> bool:
        """Whether somebody can step straight from one place to the other, and may stand there."""
        way = np.array([old.position_m[:2], new.position_m[:2]])
        for outline in self.house.outlines:
            if outline.kind in BARRED and (
                way_to_way_m(way, outline.points_m) <= TOUCHES_M or _within(way[1:], outline)
            ):
                return False
            if outline.kind in KEPT_CLEAR and _within(way[1:], outline):
                return False
        return self._has_floor(old, way[1:]) and not self._blocked(way, floor_of(old))

    def _has_floor(self, eye: Eye, spot_m: FloatArray) -> bool:
        """Whether a place (1, 2) is in the eye's own area, or in another on the same floor: none is known beyond."""
        own = _area_of(eye)
        if all(name != own for name, _, _ in self.areas):
            return True
        return any(
            inside(points[:-1], spot_m).any() or way_to_way_m(spot_m, points) <= DRAWN_M
            for name, points, floor in self.areas
            if name == own or abs(floor - floor_of(eye)) <= STEPPED_ON_M
        )

    def _blocked(self, way_m: FloatArray, floor_m: float) -> bool:
        """Whether a face at the height of a body is nearer to the way in plan than a body needs."""
        near = (self.high_m[:, 2] > floor_m + STEPPED_ON_M) & (self.low_m[:, 2] < floor_m + WALKED_UNDER_M)
        near &= (self.high_m[:, :2] >= way_m.min(axis=0) - HALF_BODY_M).all(axis=1)
        near &= (self.low_m[:, :2] <= way_m.max(axis=0) + HALF_BODY_M).all(axis=1)
        for face in self.faces_m[near][:, :, :2]:
            if way_to_way_m(way_m, face[[0, 1, 2, 0]]) <= HALF_BODY_M or inside(face, way_m[:1]).any():
                return True
        return False


def _area_of(eye: Eye) -> str:
    """The area of somebody in a crowd, whose people are numbered."""
    return re.sub(r"( behind)? \d+$", "", eye.id)


def _staying(written: Written[Scene]) -> list[Mesh]:
    """The scene's covers that do not go with the performer. One that cannot be made is told of where the act is."""
    meshes: list[Mesh] = []
    told_elsewhere: list[Problem] = []
    for i, cover in enumerate(written.model.covers):
        if not cover.carried:
            with gathering(told_elsewhere), written.at("covers", i):
                meshes.append(shape_mesh(cover, written.mesh))
    return meshes


def _within(points_m: FloatArray, outline: Outline) -> bool:
    return outline.closed and bool(inside(outline.points_m[:-1], points_m).any())


def protected(eyes: list[Eye]) -> frozenset[str]:
    """Ids of wheelchair places and the seats beside them, which are their companions'."""
    chairs = [eye for eye in eyes if eye.kind == "wheelchair"]
    out = {eye.id for eye in chairs}
    for chair in chairs:
        if chair.row is None:
            continue
        row = [eye for eye in eyes if (eye.level, eye.row) == (chair.level, chair.row) and eye.id not in out]
        row.sort(key=lambda eye: math.dist(eye.position_m, chair.position_m))
        out |= {eye.id for eye in row[:1]}
    return frozenset(out)
