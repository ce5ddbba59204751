"""The errors a user can cause, each a plain sentence with its place.

Every error that is the user's to mend is a `SightlineError`; the command line prints it and exits 1.
Anything else that is raised is a defect of this program.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass


class SightlineError(Exception):
    """Something the user can mend. `str(error)` is what is printed."""

    @property
    def sentence(self) -> str:
        """What is wrong, in one sentence, without its place."""
        return str(self)


@dataclass(frozen=True)
class Place:
    """Where in a file: line and column count from 1."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True)
class Problem:
    """One thing wrong in a file: the sentence, then the place and the key's path."""

    sentence: str
    place: Place
    path: str = ""

    def __str__(self) -> str:
        at = f"{self.place}: {self.path}" if self.path else str(self.place)
        return f"{printable(self.sentence)}\n    {printable(at)}"


def printable(text: str) -> str:
    """The text without characters that could steer a terminal; what a stranger wrote may be in it."""
    return "".join(c if c.isprintable() else "?" for c in text)


class FileError(SightlineError):
    """One or more problems in a file that was given, all reported at once."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = sorted(problems, key=lambda p: (p.place.file, p.place.line, p.place.column))
        super().__init__("\n".join(str(problem) for problem in self.problems))

    @property
    def sentence(self) -> str:
        """The first of what is wrong."""
        return self.problems[0].sentence


@contextmanager
def gathering(problems: list[Problem]) -> Iterator[None]:
    """Keep the problems of a FileError raised inside and go on, so that all are told at once."""
    try:
        yield
    except FileError as error:
        problems += error.problems


class UnreachableError(SightlineError):
    """A hand cannot get to where it must be. `short_m` says by how much."""

    def __init__(self, sentence: str, short_m: float):
        self.short_m = short_m
        super().__init__(sentence)


class Misfit(SightlineError):
    """A part that does not go together with the rest, found while building it.

    `path` is the key path relative to the part that was being built; whoever knows the file adds the place.
    """

    def __init__(self, path: tuple[str | int, ...], sentence: str):
        self.path = path
        super().__init__(sentence)
