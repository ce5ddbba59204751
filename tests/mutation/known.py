"""What is known of single mutants: which change nothing that anyone could see, and why others survive (known.yaml)."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import yaml

from tests.mutation.mutants import Mutant

KNOWN = Path(__file__).parent / "known.yaml"
Key = tuple[str, str, str, str, int]


@dataclass(frozen=True)
class Entry:
    """One mutant as it was when it was read: what its line becomes, and the reason."""

    key: Key
    becomes: str
    why: str


def read(part: str, path: Path = KNOWN) -> dict[Key, Entry]:
    """The entries of a part of the file, `equivalent` or `survives`. Raises ValueError where one stands twice."""
    out: dict[Key, Entry] = {}
    for raw in (yaml.safe_load(path.read_text(encoding="utf-8")) or {}).get(part) or []:
        key = (raw["file"], raw.get("in") or "", raw["was"], raw["operator"], int(raw.get("nth", 0)))
        if key in out:
            raise ValueError(f"{key} stands twice")
        out[key] = Entry(key, raw["is"], raw["why"])
    return out


def entry_text(mutant: Mutant, becomes: str, why: str) -> str:
    """A mutant as known.yaml takes it, to be pasted there."""
    fields = {"file": mutant.file, "in": mutant.scope, "was": mutant.was, "is": becomes, "operator": mutant.operator}
    return yaml.safe_dump([{**fields, "nth": mutant.nth, "why": why}], sort_keys=False, allow_unicode=True, width=1000)
