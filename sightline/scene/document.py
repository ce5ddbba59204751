"""A YAML file from a stranger, read with care into plain dicts, lists and text with a place for every node.

Scalars stay the text the user wrote (YAML would make 750 of `12:30` and 8 of `010`). Refused, with a place:
duplicate keys, tags, tabs, alias bombs, deep nesting, binary and huge files.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from sightline.errors import FileError, Place, Problem

MOST_BYTES = 2_000_000
MOST_NODES = 100_000
MOST_DEPTH = 40

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
Key = str | int
KeyPath = tuple[Key, ...]


@dataclass
class Document:
    """The tree of one file and where each part of it stands. `problems` are keys that the tree cannot hold."""

    file: str
    text: str
    tree: Any
    problems: list[Problem] = field(default_factory=list)
    places: dict[KeyPath, Place] = field(default_factory=dict)
    key_places: dict[KeyPath, Place] = field(default_factory=dict)

    def place(self, path: Sequence[Key]) -> Place:
        """Where the value at `path`, or its nearest surrounding part that is there, starts."""
        steps = tuple(path)
        while steps and steps not in self.places:
            steps = steps[:-1]
        return self.places.get(steps, Place(self.file))

    def key_place(self, path: Sequence[Key]) -> Place:
        return self.key_places.get(tuple(path)) or self.place(path)


def read_bytes(path: Path, most: int, what: str) -> bytes:
    """The whole of a regular file no larger than `most` bytes; FileError otherwise."""
    place = Place(str(path))
    try:
        with open(path, "rb", opener=lambda p, flags: os.open(p, flags | getattr(os, "O_NONBLOCK", 0))) as handle:
            mode = os.fstat(handle.fileno()).st_mode
            if not stat.S_ISREG(mode):
                raise FileError([Problem(f"{what} must be an ordinary file.", place)])
            size = os.fstat(handle.fileno()).st_size
            if size > most:
                raise FileError(
                    [Problem(f"{what} is {size / 1e6:.0f} MB; the most that is read is {most / 1e6:.0f} MB.", place)]
                )
            return handle.read(most + 1)
    except OSError as error:
        reason = {2: "is not there", 13: "may not be read", 21: "is a folder"}.get(error.errno or 0, "cannot be read")
        raise FileError([Problem(f"{what} {reason}.", place)]) from error
    except ValueError as error:
        raise FileError([Problem(f"{what} has a name that no file can have.", Place(repr(str(path))))]) from error


def read_document(path: Path) -> Document:
    """Read one YAML file. Raises FileError where it is no YAML, or not one that is read here."""
    name = str(path)
    try:
        path.name.encode("utf-8")
    except UnicodeEncodeError as error:
        # It is written on every sheet and into every result.
        said = "The file's name has letters that this system cannot read; give it another name."
        raise FileError([Problem(said, Place(name))]) from error
    raw = read_bytes(path, MOST_BYTES, "The file")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError([Problem("This is not a text file in UTF-8; is it the right file?", Place(name))]) from error
    return read_text(text, name)


def read_text(text: str, name: str) -> Document:
    """The same for text already in hand; `name` is what errors call the file."""
    if "\0" in text:
        raise FileError([Problem("This is not a text file (it holds NUL bytes); is it the right file?", Place(name))])
    if not text.strip():
        raise FileError([Problem("The file is empty; to start a scene: sightline new NAME.", Place(name))])
    for number, line in enumerate(text.splitlines(), 1):
        column = len(line) - len(line.lstrip(" ")) + 1
        if line[column - 1 : column] == "\t":
            message = "A line is indented with a tab; YAML wants spaces."
            raise FileError([Problem(message, Place(name, number, column))])
    try:
        _refuse_hostile(text, name)
        root = yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError as error:
        raise FileError([_yaml_problem(error, name)]) from error
    if root is None:
        raise FileError([Problem("The file holds only comments; nothing is described.", Place(name))])
    reader = _Reader(Document(name, text, None))
    reader.document.tree = reader.value(root, ())
    return reader.document


def _refuse_hostile(text: str, name: str) -> None:
    """Walk the events, which costs no recursion, before anything is built from them."""
    depth = documents = 0
    events: Iterable[Any] = yaml.parse(text, Loader=_Loader)
    for event in events:
        place = Place(name, event.start_mark.line + 1, event.start_mark.column + 1)
        if isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            depth += 1
            if depth > MOST_DEPTH:
                raise FileError([Problem(f"The file is nested more than {MOST_DEPTH} deep.", place)])
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            depth -= 1
        elif isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                raise FileError([Problem("A scene file holds one document; a second starts here with ---.", place)])
        if getattr(event, "tag", None) is not None:
            sentence = f"YAML tags such as {clean(str(event.tag))} are not allowed; write plain values."
            raise FileError([Problem(sentence, place)])


def clean(text: str) -> str:
    """What a stranger wrote, cut so that no message floods the screen and no control character reaches it."""
    shown = "".join(c if c.isprintable() else "?" for c in text)
    return shown if len(shown) <= 60 else shown[:57] + "..."


def _yaml_problem(error: yaml.YAMLError, name: str) -> Problem:
    mark = getattr(error, "problem_mark", None)
    place = Place(name, mark.line + 1, mark.column + 1) if mark else Place(name)
    what = clean(str(getattr(error, "problem", None) or getattr(error, "reason", None) or error))
    return Problem(f"This is not valid YAML here: {what}.", place)


class _Reader:
    def __init__(self, document: Document):
        self.document = document
        self.nodes = 0

    def value(self, node: Any, path: KeyPath) -> Any:
        self.nodes += 1
        place = self._place(node)
        if self.nodes > MOST_NODES:
            raise FileError([Problem(f"The file unfolds to more than {MOST_NODES} values (aliases?).", place)])
        if len(path) > MOST_DEPTH:
            raise FileError([Problem("The file refers to itself without end.", place)])
        self.document.places[path] = place
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self.value(item, (*path, i)) for i, item in enumerate(node.value)]
        return str(node.value)

    def _mapping(self, node: Any, path: KeyPath) -> dict[str, Any]:
        out: dict[str, Any] = {}
        for key_node, value_node in node.value:
            place = self._place(key_node)
            if not isinstance(key_node, yaml.ScalarNode):
                self.document.problems.append(Problem("A key must be plain words.", place, path_words(path)))
                continue
            key = str(key_node.value)
            if key in out:
                first = self.document.key_places[(*path, key)]
                sentence = f"The key '{clean(key)}' is written twice; the first is in line {first.line}."
                self.document.problems.append(Problem(sentence, place, path_words((*path, key))))
                continue
            self.document.key_places[(*path, key)] = place
            out[key] = self.value(value_node, (*path, key))
        return out

    def _place(self, node: Any) -> Place:
        return Place(self.document.file, node.start_mark.line + 1, node.start_mark.column + 1)


def path_words(path: Sequence[Key]) -> str:
    """`prop.openings[0].diameter`, as messages show it."""
    words = ""
    for step in path:
        words += f"[{step}]" if isinstance(step, int) else ("." if words else "") + clean(step)
    return words
