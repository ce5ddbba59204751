"""A tour read and made ready: its venues, its variants, every file they name, and the points to be worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from sightline.blocking.odds import strays
from sightline.blocking.rehearsal import FIELDS_PAY
from sightline.errors import FileError, Misfit, Problem, SightlineError, gathering
from sightline.house.ready import NoSuchVenueError, ready_path
from sightline.scene.document import Key, read_text
from sightline.scene.editing import Edit, EditError, edited
from sightline.scene.reading import Written, read_tour, scene_from_text
from sightline.scene.scene import Scene
from sightline.scene.tour import Tour
from sightline.tour.bundle import Bundle
from sightline.tour.point import Look, Point, edits_of

# More points than this are no tour any more; half a day of one core at a second each.
MOST_POINTS = 50_000


@dataclass(frozen=True)
class Stop:
    """One venue of the tour: `use` as a path from the root or a ready name, and what of the scene differs there."""

    name: str
    use: str
    ready: bool
    edits: tuple[Edit, ...]
    sums: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Variant:
    """One scene of the tour, its own changes made: `file` is a path from the root."""

    name: str
    file: str
    text: str
    edits: tuple[Edit, ...]
    sums: tuple[tuple[str, str], ...]
    written: Written[Scene]


@dataclass(frozen=True)
class Plan:
    written: Written[Tour]
    stops: tuple[Stop, ...]
    variants: tuple[Variant, ...]
    bundle: Bundle

    @property
    def tour(self) -> Tour:
        return self.written.model

    @property
    def look(self) -> Look:
        tour = self.tour
        return Look(tour.beats, tour.fps, tour.margins)

    def points(self, texts: dict[tuple[int, int], str] | None = None) -> list[Point]:
        """Every point in the order of the table; `texts` by venue and variant are scenes that were retargeted."""
        drawn = [] if self.tour.drift is None else strays(self.tour.drift).tolist()
        # So that more draws, or none, leave all other results as they are.
        strayed = Look(self.tour.beats, quick=len(drawn) >= FIELDS_PAY)
        out = []
        for s, _ in enumerate(self.stops):
            for v, _ in enumerate(self.variants):
                meant = self.point(s, v, "look")
                if texts is not None:
                    if (s, v) not in texts:
                        continue
                    meant = _replaced(meant, text=texts[s, v], edits=())
                out.append(meant)
                out += [_replaced(meant, look=strayed, draw=k, stray=tuple(draw)) for k, draw in enumerate(drawn)]
        return out

    def point(self, stop: int, variant: int, kind: str) -> Point:
        at, act = self.stops[stop], self.variants[variant]
        return Point(
            stop, variant, kind, act.file, act.text, at.use, at.ready, at.edits,
            tuple(sorted({*act.sums, *at.sums})), self.look,
        )  # fmt: skip


def _replaced(point: Point, **changes: Any) -> Point:
    from dataclasses import replace

    return replace(point, **changes)


def read_plan(path: Path, root: Path | None = None) -> Plan:
    """Read a tour and all that it names. Raises FileError with all problems, each with its place in the tour file."""
    written = read_tour(path, root)
    _refuse_too_many(written)
    try:
        bundle = Bundle(written.root.resolve())
    except (OSError, RuntimeError) as error:
        # A link that leads back to itself.
        raise SightlineError(f"'{written.root}' leads to no folder.") from error
    problems: list[Problem] = []
    stops: list[Stop] = []
    for i, entry in enumerate(written.model.venues):
        with gathering(problems), written.at("venues", i):
            stops.append(_stop(written, bundle, entry.name, entry.use, edits_of(entry.change)))
    variants = _variants(written, bundle, problems)
    if problems:
        raise FileError(problems)
    _refuse_twins(written, "venues", [stop.name for stop in stops])
    _refuse_twins(written, "variants" if written.model.variants else "scenes", [act.name for act in variants])
    return Plan(written, tuple(stops), tuple(variants), bundle)


def _refuse_too_many(written: Written[Tour]) -> None:
    tour = written.model
    acts = len(tour.variants) if tour.variants is not None else len(tour.scenes)
    draws = tour.drift.draws if tour.drift else 0
    count = len(tour.venues) * acts * (1 + draws)
    if count > MOST_POINTS:
        sentence = f"{len(tour.venues)} venues x {acts} variants"
        sentence += f" x {1 + draws} (as meant, and {draws} strays)" if draws else ""
        where: tuple[Key, ...] = ("drift", "draws") if draws else ("venues",)
        raise written.problem(where, f"{sentence} are {count:,} points; the most is {MOST_POINTS:,}. Split the tour.")


def _stop(written: Written[Tour], bundle: Bundle, name: str | None, use: str, edits: tuple[Edit, ...]) -> Stop:
    """Raises Misfit where there is no such venue. Whether it can be built is seen when it is its turn."""
    if not use.endswith((".yaml", ".yml")):
        try:
            data = ready_path(use).read_bytes()
        except NoSuchVenueError as error:
            raise Misfit(("use",), str(error)) from error
        from hashlib import sha256

        return Stop(name or use, use, True, edits, ((f"ready venue {use}", sha256(data).hexdigest()),))
    path = _there(written, use, "venue")
    own = bundle.add(path)
    return Stop(name or path.stem, own, False, edits, bundle.sums([own, *_named(bundle, own, path.parent)]))


def _named(bundle: Bundle, own: str, folder: Path) -> list[str]:
    """The files that a venue's file names; none where it cannot be read, which is told when it is its turn."""
    try:
        return bundle.add_named(read_text(bundle.files[own].decode("utf-8-sig"), own).tree, folder)
    except (FileError, UnicodeDecodeError):
        return []


def _there(written: Written[Tour], name: str, what: str) -> Path:
    """The file of this name below the tour's root. Raises Misfit with the nearest name where there is none."""
    try:
        path = written.file_path(name)
        known = path.is_file()
    except (OSError, ValueError) as error:
        raise Misfit((), f"'{name[:60]}' is no name that a file can have.") from error
    if not known:
        beside = _beside(path, written)
        near = get_close_matches(name, beside, n=1)
        hint = f"; did you mean '{near[0]}'?" if near else "."
        raise Misfit((), f"There is no {what} file '{name}'{hint}")
    return path


def _beside(path: Path, written: Written[Tour]) -> list[str]:
    """Names of the YAML files in the folder where one was looked for, as the tour would write them."""
    try:
        found = sorted(p for p in path.parent.iterdir() if p.suffix in (".yaml", ".yml"))[:2000]
        return [p.relative_to(written.folder.resolve()).as_posix() for p in found]
    except (OSError, ValueError):
        return []


def _variants(written: Written[Tour], bundle: Bundle, problems: list[Problem]) -> list[Variant]:
    tour = written.model
    out: list[Variant] = []
    if tour.variants is None:
        for i, name in enumerate(tour.scenes):
            with gathering(problems):
                out.append(_act(written, bundle, ("scenes", i), name, None, {}))
        return out
    for i, name in enumerate(tour.scenes):
        # A scene that no variant uses must be there all the same.
        with gathering(problems), written.at("scenes", i):
            _there(written, name, "scene")
    if problems:
        return []
    for i, entry in enumerate(tour.variants):
        with gathering(problems):
            path: tuple[Key, ...] = ("variants", i)
            out.append(_act(written, bundle, path, entry.scene or tour.scenes[0], entry.name, entry.change))
    return out


def _act(
    written: Written[Tour], bundle: Bundle, path: tuple[Key, ...], scene: str, name: str | None, change: dict[str, Any]
) -> Variant:
    """Raises FileError: with the place in the scene for a faulty scene, in the tour for a change that does not fit."""
    with written.at(*path):
        file = _there(written, scene, "scene")
    own = bundle.add(file)
    try:
        text = bundle.files[own].decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise written.problem(path, f"'{scene}' is not a text file in UTF-8; is it the right file?") from error
    said_file = str(written.folder / scene)
    read = scene_from_text(text, said_file, file.parent, bundle.root)
    edits = edits_of(change)
    for said, edit in zip(change, edits, strict=True):
        where = (*path, "change", said)
        try:
            text = edited(text, [edit])
            read = scene_from_text(text, said_file, file.parent, bundle.root)
        except EditError as error:
            raise written.problem(where, str(error)) from error
        except FileError as error:
            raise written.problem(where, error.sentence) from error
    names = bundle.add_named(read.document.tree, file.parent)
    return Variant(name or Path(scene).stem, own, text, edits, bundle.sums(sorted({own, *names})), read)


def _refuse_twins(written: Written[Tour], key: str, names: Sequence[str]) -> None:
    for i, name in enumerate(names):
        if name in names[:i]:
            raise written.problem((key, i), f"There are two of the name '{name}'; give one of them a name of its own.")


def said_edit(edit: Edit) -> dict[str, Any]:
    """A change as the report gives it."""
    from sightline.scene.document import path_words

    value = edit.value if edit.items is None else f"[{', '.join(edit.items)}]"
    return {"path": path_words(edit.path) + ("[+]" if edit.append else ""), "value": value}


def problem_words(error: SightlineError) -> str:
    """The first sentence of an error, with its place where it has one."""
    if isinstance(error, FileError) and error.problems:
        problem = error.problems[0]
        more = f" (and {len(error.problems) - 1} more)" if len(error.problems) > 1 else ""
        return f"{problem.sentence} ({problem.place}{': ' + problem.path if problem.path else ''}){more}"
    return " ".join(str(error).split())
