"""The audience of a scene: a ready venue, what the scene adds to it, and eyes given one by one."""

from __future__ import annotations

from pathlib import Path

from sightline.errors import FileError, Misfit
from sightline.geometry.mesh import Mesh
from sightline.house.build import House, build
from sightline.house.ready import NoSuchVenueError, ready_path
from sightline.scene.reading import Written, read_venue
from sightline.scene.scene import Scene
from sightline.scene.venue import Venue


def audience(written: Written[Scene]) -> House:
    """All eyes and scenery that a scene names. Raises FileError with the place of what does not fit."""
    scene = written.model
    houses: list[House] = []
    if scene.venue is not None:
        if scene.venue.use is not None:
            houses.append(_used(written, scene.venue.use))
        with written.at("venue"):
            houses.append(_built(written, scene.venue))
    if scene.eyes:
        with written.at():
            houses.append(_built(written, Venue(eyes=scene.eyes)))
    _refuse_twins(written, houses)
    return House(
        next((house.name for house in houses if house.name != Venue.model_fields["name"].default), ""),
        [eye for house in houses for eye in house.eyes],
        [cover for house in houses for cover in house.scenery],
        [outline for house in houses for outline in house.outlines],
        list(dict.fromkeys(note for house in houses for note in house.notes)),
        list(dict.fromkeys(level for house in houses for level in house.levels)),
        [mirror for house in houses for mirror in house.mirrors],
        [lamp for house in houses for lamp in house.lamps],
    )


def _used(written: Written[Scene], name: str) -> House:
    """A ready venue by name, or a venue file below the scene's folder."""
    with written.at("venue", "use"):
        path: Path = written.file_path(name) if _is_file(name) else _ready(name)
    return _read(path)[1]


def venue_house(name: str) -> tuple[Written[Venue], House]:
    """A venue by itself: a file, or a ready one by its name. Raises SightlineError."""
    return _read(Path(name) if _is_file(name) or Path(name).is_file() else _ready(name))


def _is_file(name: str) -> bool:
    return name.endswith((".yaml", ".yml"))


def _read(path: Path) -> tuple[Written[Venue], House]:
    venue = read_venue(path)
    with venue.at():
        return venue, _built(venue, venue.model)


def _ready(name: str) -> Path:
    try:
        return ready_path(name)
    except NoSuchVenueError as error:
        raise Misfit((), str(error)) from error


def _built(written: Written[Scene] | Written[Venue], venue: Venue) -> House:
    def mesh(name: str) -> Mesh:
        return written.read_mesh(name)

    def file(name: str) -> bytes:
        try:
            return written.read_file(name)
        except FileError as error:
            raise Misfit((), error.sentence) from error

    return build(venue, read_file=file, read_mesh=mesh)


def _refuse_twins(written: Written[Scene], houses: list[House]) -> None:
    seen: set[str] = set()
    for house in houses:
        twins = seen & {eye.id for eye in house.eyes}
        if twins:
            raise written.problem((), f"Two eyes are named '{min(twins)}'; give each its own id.")
        seen |= {eye.id for eye in house.eyes}
