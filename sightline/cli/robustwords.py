"""What `check --robust` prints: who stays blind to the secret when things are a little off, and what leaks first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sightline.cli.words import size_words


def robust_words(report: dict[str, Any]) -> str:
    """The part of the report on allowances in plain words."""
    return "\n".join(_lines(report)) + "\n"


def _lines(report: dict[str, Any]) -> Iterator[str]:
    found, summary = report["robust"], report["summary"]
    more = found["eyes_seen"] - summary["eyes_seen"]
    yield ""
    part = ", or as far as can be (below)" if any(said.startswith("Only ") for said in found["not_tried"]) else ""
    yield f"  With everything off as far as the allowances say{part}:"
    yield (
        f"      hidden from {found['eyes_hidden']} of {summary['eyes']} still"
        + (f"; {more} more can then see a secret" if more else "; nobody more can see a secret")
        + (f", {found['eyes_faint']} see one faintly" if found["eyes_faint"] else "")
        + "."
    )
    first = found["first_leak"]
    if first:
        yield f"      first to leak: {first['how']} - {first['eye']} sees {first['secret']} ({size_words(first['angular_size_arcmin'])})"
    for allowance in found["allowances"]:
        count = allowance["eyes_newly_seen"]
        said = f"{count} more see a secret" if count else "nobody more sees a secret"
        how = "drawn by chance" if allowance["name"] == "together" else "tried"
        yield f"      {allowance['says']}, {allowance['tried']} {how}: {said}"
        worst = allowance["worst"]
        if worst and allowance["name"] != "together":
            yield f"          most by: {worst['how']}"
    after = found["measure_next"]
    if after:
        people = after["weighted_eyes_seen"]
        yield f"      next: {after['what']}; it decides about {people:g} {'person' if people == 1 else 'people'}."
    elif more:
        yield "      next: nothing alone leaks, only several things at once; keep to the mark first."
    yield "      Not tried:"
    yield from (f"        - {said}" for said in found["not_tried"])
    yield f"        - everything at once in any other way than {found['draws']} drawn by chance (seed {found['seed']})"
