"""What is wrong in one table of a stranger's: gathered with its places, told at once, never a flood."""

from __future__ import annotations

from typing import NoReturn

from sightline.errors import FileError, Place, Problem

MOST_PROBLEMS = 20


class Faults:
    """The problems of one file. `most` of them stop the reading by themselves."""

    def __init__(self, file: str, most: int = MOST_PROBLEMS):
        self.file, self.most = file, most
        self.problems: list[Problem] = []

    def note(self, sentence: str, line: int = 1, column: int = 1, path: str = "") -> None:
        """Keep a problem; FileError with all of them when there are too many."""
        self.problems.append(Problem(sentence, Place(self.file, line, column), path))
        if len(self.problems) >= self.most:
            self.stop()

    def fail(self, sentence: str, line: int = 1, column: int = 1, path: str = "") -> NoReturn:
        """FileError with this problem and those before it."""
        self.problems.append(Problem(sentence, Place(self.file, line, column), path))
        raise FileError(self.problems)

    def stop(self) -> None:
        """FileError if anything was wrong so far."""
        if self.problems:
            raise FileError(self.problems)


def short(text: str) -> str:
    """What a stranger wrote, cut so that no message floods the screen and no control character reaches it."""
    clean = "".join(c if c.isprintable() else "?" for c in text)
    return clean if len(clean) <= 40 else clean[:37] + "..."
