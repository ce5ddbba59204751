"""Commands that write, each in its smallest form: what they write, and how to have an old one there first."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

from tests.faults.runner import Ended, Warm, left_in
from tests.faults.scenes import PLAIN


@dataclass(frozen=True)
class Writer:
    """`words` write into the folder `made`; with `old`, something of another title is there that --force replaces."""

    name: str
    words: tuple[str, ...]
    old: bool = False

    def command(self) -> list[str]:
        return [*self.words, "--force"] if self.old else list(self.words)


PACKET = ("packet", "plain.yaml", "--only", "data", "--out", "made/packet")
TOUR = ("tour", "tour.yaml", "--workers", "1", "--state", "state", "--out", "made/tour")
ADVICE = ("advise", "plain.yaml", "--only", "turn", "--changes", "1", "--apply", "1", "--out", "made/turned.yaml")
MAP = ("map", "plain.yaml", "--out", "made/plan.svg")
MARKS = ("marks", "plain.yaml", "--out", "made/act")
FORM = ("form", "plain.yaml", "--out", "made/form.html")
WRITERS = [
    Writer("packet", PACKET), Writer("packet again", PACKET, True), Writer("tour", TOUR),
    Writer("advise again", ADVICE, True), Writer("map", MAP), Writer("map again", MAP, True),
    Writer("form again", FORM, True),
]  # fmt: skip
TOGETHER = Writer("marks again", MARKS, True)


class Ground:
    """One writer in a folder: what was there before, what it makes, and back to the beginning."""

    def __init__(self, writer: Writer, folder: Path, warm: Warm):
        self.writer, self.folder, self.warm = writer, folder, warm
        self.made = folder / "made"
        self.kept = folder / "kept"
        if writer.old:
            older = PLAIN.replace("Two plates", "An older act").replace("mark: [0 m, 1 m]", "mark: [0 m, 1.2 m]")
            (folder / "plain.yaml").write_text(older, encoding="utf-8")
            done = warm.run(folder, *writer.words)
            assert done.code == 0, done.stderr
            (folder / "plain.yaml").write_text(PLAIN, encoding="utf-8")
        shutil.copytree(self.made, self.kept)
        self.before = left_in(self.made)
        whole = self.run()
        assert whole.code == 0, whole.stderr
        self.seconds = whole.seconds
        self.after = left_in(self.made)
        assert self.after != self.before
        self.start_again()

    def start_again(self) -> None:
        shutil.rmtree(self.made)
        shutil.copytree(self.kept, self.made)

    def run(self, **plan: object) -> Ended:
        return self.warm.run(self.folder, *self.writer.command(), **plan)  # type: ignore[arg-type]

    def points(self) -> list[str]:
        """Every place at which it writes a file of its own, in order; with what is kept for later left out."""
        log = self.folder / "log"
        log.unlink(missing_ok=True)
        done = self.run(under=str(self.made), log=str(log))
        assert done.code == 0, done.stderr
        self.start_again()
        return [line.split(" ", 2)[1] for line in log.read_text(encoding="utf-8").splitlines()]

    def shown(self) -> dict[str, str]:
        """What a reader finds: everything but names that say they are unfinished."""
        return {name: what for name, what in left_in(self.made).items() if not name.startswith(".")}

    def unfinished(self) -> list[str]:
        return [name for name in left_in(self.made) if name.startswith(".") and "/" not in name]
