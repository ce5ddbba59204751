"""What a part of the fit report says: items with their state and source, cautions, and what was not checked."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

State = Literal["yes", "no", "not known", "warn", "told"]
"""`yes` and `no` answer a question, `not known` cannot; `warn` is a figure to look at, `told` one for information."""


@dataclass(frozen=True)
class Item:
    """One finding. `words` is a whole sentence with units; `value` the bare figure in `unit` (SI or deg) for programs.

    `source` says where the rule or figure is from, or that it is from memory or common practice.
    """

    key: str
    state: State
    words: str
    value: float | str | list[Any] | None = None
    unit: str | None = None
    source: str | None = None


@dataclass(frozen=True)
class Section:
    """One part of the report. `top` items that are `no` or `not known` stand above everything, on every card too."""

    name: str
    items: list[Item] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    assumptions: list[str] = field(default_factory=list)
    not_checked: list[str] = field(default_factory=list)
    top: list[Item] = field(default_factory=list)
