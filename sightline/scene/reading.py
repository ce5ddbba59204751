"""From a file to a checked Scene: every problem at once, each with its place and the nearest valid key."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Generic, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from sightline.errors import FileError, Misfit, Problem
from sightline.geometry.mesh import Mesh
from sightline.scene.asbuilt import AsBuiltSheet
from sightline.scene.document import Document, Key, KeyPath, clean, path_words, read_bytes, read_document, read_text
from sightline.scene.fields import Part
from sightline.scene.kept import KeptMove
from sightline.scene.scene import Scene
from sightline.scene.shapes import MeshFile
from sightline.scene.tour import Tour
from sightline.scene.venue import Venue

MOST_FILE_BYTES = 50_000_000
# So many problems of a file are told at once.
MOST_PROBLEMS = 50
SOFT_WORDS = re.compile(r"\s*(about\s|~|unknown\s*$)|.*\d\s*(-|–|to)\s*\d", re.IGNORECASE)
# A date, 2026-05-01, is no range from 5 to 1, and a note about something no length.
WORDS_ONLY = {("papers",), ("accepted",), ("moves taken",), ("as built",), ("travel",), ("venue", "outdoors")}
NAMES = {("title",), ("name",), ("id",)}

Model = TypeVar("Model", bound=Part)


@dataclass(frozen=True)
class Written(Generic[Model]):
    """A checked model together with the file it came from, so that later findings still have a place."""

    model: Model
    document: Document
    folder: Path
    root: Path
    soft: list[tuple[str, str]] = field(default_factory=list)

    def problem(self, path: Sequence[Key], sentence: str) -> FileError:
        return FileError([Problem(sentence, self.document.place(real_path(self.document, path)), path_words(path))])

    @contextmanager
    def at(self, *path: Key) -> Iterator[None]:
        """Turn a Misfit raised inside into an error with the place of the part at `path`."""
        try:
            yield
        except Misfit as misfit:
            raise self.problem((*path, *misfit.path), misfit.sentence) from misfit

    def read_file(self, name: str) -> bytes:
        """The bytes of a file named in the scene. Misfit when it is outside the root or cannot be read."""
        return read_bytes(self.file_path(name), MOST_FILE_BYTES, f"The file '{name}'")

    def file_path(self, name: str) -> Path:
        try:
            path, root = (self.folder / name).resolve(), self.root.resolve()
        except (OSError, RuntimeError, ValueError) as error:
            # A link that leads back to itself, or a name that no file can have.
            raise Misfit((), f"'{name}' leads to no file.") from error
        if not path.is_relative_to(root):
            raise Misfit((), f"'{name}' is outside the scene's folder; copy it beside the scene or use --root.")
        return path

    def read_mesh(self, name: str, scale: float = 1.0) -> Mesh:
        """The mesh of a file named in the scene, in metres. Misfit with a sentence when it is none."""
        from sightline.geometry.meshfile import parse_mesh

        try:
            data = self.read_file(name)
        except FileError as error:
            raise Misfit((), error.sentence) from error
        return parse_mesh(data, name, scale)

    def mesh(self, ref: MeshFile) -> Mesh:
        return self.read_mesh(ref.file, ref.scale)


def read_scene(path: Path, root: Path | None = None) -> Written[Scene]:
    """Read and check a scene file. Raises FileError with all problems."""
    return _check(Scene, read_document(path), path.parent, root)


def scene_from_text(
    text: str, name: str = "scene.yaml", folder: Path = Path("."), root: Path | None = None
) -> Written[Scene]:
    return _check(Scene, read_text(text, name), folder, root)


def retold(written: Written[Scene], tree: Any) -> Written[Scene]:
    """The same file with other values in its tree, checked anew; places are those of the file. Raises FileError."""
    return _check(Scene, replace(written.document, tree=tree), written.folder, written.root)


def read_venue(path: Path) -> Written[Venue]:
    """Read and check a venue file. Raises FileError with all problems."""
    return _check(Venue, read_document(path), path.parent, None)


def read_kept(path: Path) -> Written[KeptMove]:
    """Read and check a move kept on a packet's page. Raises FileError with all problems."""
    return _check(KeptMove, read_document(path), path.parent, None)


def read_as_built(path: Path) -> Written[AsBuiltSheet]:
    """Read and check a sheet of sizes as built. Raises FileError with all problems."""
    return _check(AsBuiltSheet, read_document(path), path.parent, None)


def read_tour(path: Path, root: Path | None = None) -> Written[Tour]:
    """Read and check a tour file. Raises FileError with all problems."""
    return _check(Tour, read_document(path), path.parent, root)


def _check(model: type[Model], document: Document, folder: Path, root: Path | None) -> Written[Model]:
    if not isinstance(document.tree, dict):
        raise FileError([Problem("The file must hold keys and values, such as title: My act.", document.place(()))])
    if model is Scene:
        _check_version(document)
    try:
        checked = model.model_validate(document.tree)
    except ValidationError as error:
        raise FileError(_told(error, model, document)) from None
    if document.problems:
        raise FileError(_cut(document.problems, len(document.problems)))
    # By path, not as they stand in the file: the order of keys says nothing.
    soft = [(path_words(path), text) for path, text in sorted(soft_values(document.tree), key=_by_path)]
    return Written(checked, document, folder, root or folder, soft)


def _told(error: ValidationError, model: type[Part], document: Document) -> list[Problem]:
    """The problems as sentences; of a flood, which costs time and helps nobody, the first and how many there are."""
    count = len(document.problems) + error.error_count()
    items = error.errors(include_url=False, include_input=True)[:MOST_PROBLEMS]
    return _cut([*document.problems, *(_problem(item, model, document) for item in items)], count)


def _cut(problems: list[Problem], count: int) -> list[Problem]:
    if count <= MOST_PROBLEMS:
        return problems
    first = FileError(problems).problems[:MOST_PROBLEMS]
    return [*first, Problem(f"That is not all: {count:,} things are wrong in this file.", first[-1].place)]


def _check_version(document: Document) -> None:
    said = document.tree.get("version")
    if said is None:
        raise FileError(
            [Problem("The first line must say which version of the format this is: version: 1", document.place(()))]
        )
    if said != "1":
        sentence = f"Version '{str(said)[:20]}' of the scene format is not known here; this program reads version: 1."
        raise FileError([Problem(sentence, document.place(("version",)), "version")])


def _by_path(soft: tuple[KeyPath, str]) -> list[tuple[int, str]]:
    return [(step, "") if isinstance(step, int) else (-1, step) for step in soft[0]]


def soft_values(tree: Any, path: KeyPath = ()) -> Iterator[tuple[KeyPath, str]]:
    """Values said as a range, as `about` or as `unknown`: (key path, what was written)."""
    if isinstance(tree, dict):
        for key, value in tree.items():
            yield from soft_values(value, (*path, key))
    elif isinstance(tree, list):
        for i, value in enumerate(tree):
            yield from soft_values(value, (*path, i))
    elif not {path[:1], path[:2]} & WORDS_ONLY and path[-1:] not in NAMES and SOFT_WORDS.match(tree):
        yield path, tree


def real_path(document: Document, loc: Sequence[Key]) -> KeyPath:
    """The path in the file of a pydantic location: steps that the file does not have are ours, and dropped."""
    path: KeyPath = ()
    for step in loc:
        if (*path, step) in document.places:
            path = (*path, step)
    return path


def _problem(error: Any, model: type[Part], document: Document) -> Problem:
    loc: tuple[Key, ...] = error["loc"]
    kind, path = error["type"], real_path(document, loc)
    if kind == "extra_forbidden":
        said = clean(str(loc[-1]))
        if said[:1].isdigit():
            sentence = f"There is no key '{said}' here; a comma ends a value: in numbers write a point, as in 46.5 cm."
        else:
            sentence = f"There is no key '{said}' here{_nearest(said, model, loc[:-1])}"
        return Problem(sentence, document.key_place(path), path_words(path))
    if kind == "missing":
        of_list = isinstance(loc[-1], int)
        sentence = "A value is missing from this list." if of_list else f"The key '{loc[-1]}' is missing here."
        return Problem(sentence, document.place(path), path_words(path))
    return Problem(_sentence(error, document, path), document.place(path), path_words(path))


def _sentence(error: Any, document: Document, path: KeyPath) -> str:
    kind, context = error["type"], error.get("ctx") or {}
    if kind == "sightline":
        return str(context["sentence"])
    if kind == "literal_error":
        choices = re.findall(r"'([^']*)'", context["expected"])
        near = get_close_matches(str(error["input"])[:40], choices, n=1)
        said = f"'{str(error['input'])[:40]}' is not one of the choices"
        return f"{said}; did you mean '{near[0]}'?" if near else f"{said}; write one of: {', '.join(choices)}."
    if kind in {"model_type", "model_attributes_type", "dict_type"}:
        return "Keys and values belong here, such as {width: 46 cm}."
    if kind in {"too_long", "too_short"}:
        bound = context.get("max_length", context.get("min_length"))
        return f"There are {'more' if kind == 'too_long' else 'fewer'} entries here than the {bound} that are allowed."
    if kind in {"missing_argument", "tuple_type", "list_type"}:
        return "A list belongs here, such as [0 m, 1.5 m]."
    if kind == "greater_than_equal":
        return f"This is too small; the least here is {context['ge']:g}."
    if kind == "less_than_equal":
        return f"This is too large; the most here is {context['le']:g}."
    return str(error["msg"]) + "."


def _nearest(key: str, model: type[Part], loc: Sequence[Key]) -> str:
    keys = sorted(_keys(model, loc))
    near = get_close_matches(key, keys, n=1, cutoff=0.5)
    if near:
        return f"; did you mean '{near[0]}'?"
    return f"; it can hold: {', '.join(keys)}." if keys else "."


def _keys(model: type[Part], loc: Sequence[Key]) -> set[str]:
    """The keys allowed in the part at `loc`."""
    found: type[BaseModel] | None = model
    for step in loc:
        if isinstance(step, int) or found is None:
            continue
        fields = {(f.alias or name): f for name, f in found.model_fields.items()}
        found = _model_in(fields[step].annotation) if step in fields else found
    return {f.alias or name for name, f in found.model_fields.items()} if found else set()


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((m for a in get_args(annotation) if (m := _model_in(a)) is not None), None)
