"""Which program this is: its version, and the source of all that computes. Results of another one are not mixed with ours."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from sightline.errors import SightlineError
from sightline.house.ready import ready_names, ready_path

# What a result can depend on; how it is drawn, printed or asked for is none of it.
COMPUTES = ("geometry", "scene", "figure", "props", "house", "staging", "sight", "blocking", "tour")


class OtherProgramError(SightlineError):
    """A worker runs another version of this program."""


@dataclass(frozen=True)
class Program:
    version: str
    source: str

    @property
    def name(self) -> str:
        return f"{self.version} {self.source}"


def here() -> Program:
    """The program that this process runs."""
    import sightline

    # Asked at the time: a test may say that this is another one.
    return Program(sightline.__version__, _source())


@lru_cache(maxsize=1)
def _source() -> str:
    found = hashlib.sha256()
    folder = Path(__file__).resolve().parent.parent
    paths = sorted(folder.glob("*.py")) + sorted(path for name in COMPUTES for path in (folder / name).glob("*.py"))
    paths += [ready_path(name) for name in ready_names()]
    for path in paths:
        data = path.read_bytes()
        found.update(f"{path.name}\0{len(data)}\0".encode() + data)
    return found.hexdigest()[:16]


def refuse_other(found: Program, where: str, ours: Program) -> None:
    """Raises OtherProgramError where a worker's program is not the one that asks."""
    if found.version != ours.version:
        raise OtherProgramError(
            f"The worker {where} has sightline {found.version}, this machine has {ours.version}: install the same version "
            "on both."
        )
    if found.source != ours.source:
        raise OtherProgramError(
            f"The worker {where} has sightline {found.version} as this machine has, but its files differ: install the same "
            "build on both."
        )
