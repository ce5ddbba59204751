"""The short readable finding that `check` prints."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any


def finding_words(report: dict[str, Any], venue: str) -> str:
    """The report in plain words, for a person at a terminal."""
    return "\n".join(_lines(report, venue)) + "\n"


def _lines(report: dict[str, Any], venue: str) -> Iterator[str]:
    summary, eyes = report["summary"], report["eyes"]
    where = f", {venue}" if venue else ""
    yield f"{report['title']}: {summary['eyes']} eyes{where}"
    yield ""
    if summary["eyes_seen"] == 0:
        faint = f" ({summary['eyes_faint']} faintly, below what they can notice)" if summary["eyes_faint"] else ""
        yield f"  Nobody can see a secret{faint}."
    else:
        yield f"  {summary['eyes_seen']} of {summary['eyes']} can see a secret; the worst is {summary['worst_eye']}."
    for name, secret in report["secrets"].items():
        yield ""
        yield from _secret(name, secret, eyes)
    if report["must_see"]:
        yield ""
        yield "  Must be seen: " + "; ".join(
            f"{name} clear from {found['eyes_with_clear_view']} of {summary['eyes']}"
            for name, found in report["must_see"].items()
        )
    yield ""
    yield f"  Taken for granted ({len(report['assumptions'])}):"
    yield from (f"    - {said}" for said in report["assumptions"])
    yield "  Not checked:"
    yield from (f"    - {said}" for said in report["not_checked"])


def _secret(name: str, secret: dict[str, Any], eyes: list[dict[str, Any]]) -> Iterator[str]:
    seen, faint = secret["eyes_seen"], secret["eyes_faint"]
    entries = {eye["id"]: eye["secrets"][name] for eye in eyes}
    hidden = len(eyes) - seen - faint
    parts = [f"{seen} can see it"] + ([f"{faint} faintly"] if faint else []) + [f"hidden from {hidden}"]
    yield f"  {name} ({secret['kind']}): {', '.join(parts)}"
    for worst in secret["worst"]:
        entry = entries[worst["eye"]]
        size = size_words(entry["angular_size_arcmin"])
        much = f"{entry['visible_length_m'] * 100:.0f} cm of it" if entry["visible_length_m"] is not None else size
        pose = f", with the arm at '{entry['pose']}'" if entry["pose"] else ""
        yield f"      {worst['eye']}: {much}, {worst['how']}{pose}"
    if hidden:
        down = max(e["missable_arcmin"] for e in entries.values() if e["verdict"] == "hidden")
        yield f"      hidden means down to {size_words(down)}"
        covers = [(cover, share) for cover, share in secret["covered_by"].items() if share >= 0.01][:4]
        if covers:
            said = ", ".join(f"{'turned away' if c == 'itself' else c} {share * 100:.0f} %" for c, share in covers)
            yield f"      covered by: {said}"


def size_words(arcmin: float) -> str:
    """An angular size in the unit that suits it."""
    return f"{arcmin:.1f}'" if arcmin < 10 else f"{arcmin:.0f}'" if arcmin < 60 else f"{arcmin / 60:.1f} deg"


def change_words(before: dict[str, Any], after: dict[str, Any]) -> str:
    """What changed since the last check, in one or two lines."""
    old, new = before["summary"], after["summary"]
    said = [f"seats that can see a secret: {old['eyes_seen']} -> {new['eyes_seen']}"]
    for name in after["secrets"]:
        if name in before["secrets"]:
            a, b = before["secrets"][name]["eyes_seen"], after["secrets"][name]["eyes_seen"]
            if a != b:
                said.append(f"{name} {a} -> {b}")
    for name in after["must_see"]:
        if name in before["must_see"]:
            a, b = (r["must_see"][name]["eyes_with_clear_view"] for r in (before, after))
            if a != b:
                said.append(f"clear view of {name} {a} -> {b}")
    return "; ".join(said)
