"""The plan and what was built as one report: what moved, whose verdict changed, what mattered most, what was ticked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from sightline.sight.check import RANK
from sightline.workshop.asbuilt import Reading, Taken
from sightline.workshop.asbuiltlook import Alone
from sightline.workshop.asbuiltsize import Size


def worst_of(report: dict[str, Any], ends: Sequence[dict[str, Any]]) -> None:
    """Let every eye and secret of a report take the worst of what is found with sizes at the ends of their ranges."""
    for end in ends:
        there = {eye["id"]: eye for eye in end["eyes"]}
        for eye in report["eyes"]:
            other = there.get(eye["id"])
            if other is None:
                continue
            for name, entry in eye["secrets"].items():
                found = other["secrets"].get(name)
                if found is not None and _worse(found, entry):
                    entry |= {key: found[key] for key in ("verdict", "solid_angle_sr", "angular_size_arcmin")}
            for name, must in eye["must_see"].items():
                must["clear"] = must["clear"] and other["must_see"].get(name, must)["clear"]
    worst = [max((RANK[entry["verdict"]] for entry in eye["secrets"].values()), default=0) for eye in report["eyes"]]
    report["summary"] |= {"eyes_seen": worst.count(2), "eyes_faint": worst.count(1)}
    for name, must in report["must_see"].items():
        must["eyes_with_clear_view"] = sum(eye["must_see"][name]["clear"] for eye in report["eyes"])


def _worse(found: dict[str, Any], than: dict[str, Any]) -> bool:
    return (RANK[found["verdict"]], found["solid_angle_sr"]) > (RANK[than["verdict"]], than["solid_angle_sr"])


def verdicts_changed(before: dict[str, Any], after: dict[str, Any]) -> dict[str, Any]:
    """Per secret, and under `any` for the worst of all, the eyes of each change of verdict: `hidden -> seen`."""
    later = {eye["id"]: eye for eye in after["eyes"]}
    secrets: dict[str, dict[str, list[str]]] = {name: {} for name in before["secrets"] if name in after["secrets"]}
    worst: dict[str, list[str]] = {}
    for eye in before["eyes"]:
        if eye["id"] not in later:
            continue
        pairs = {
            name: (entry["verdict"], later[eye["id"]]["secrets"][name]["verdict"])
            for name, entry in eye["secrets"].items()
            if name in secrets
        }
        both = [max((pair[k] for pair in pairs.values()), key=RANK.__getitem__, default="hidden") for k in range(2)]
        for steps, (old, new) in [(worst, both), *((secrets[name], pair) for name, pair in pairs.items())]:
            if old != new:
                steps.setdefault(f"{old} -> {new}", []).append(eye["id"])
    return {"any": worst, "secrets": secrets}


def views_changed(before: dict[str, Any], after: dict[str, Any]) -> dict[str, dict[str, list[str]]]:
    """Per must-see the eyes that lose their clear view, and those that get one."""
    later = {eye["id"]: eye["must_see"] for eye in after["eyes"]}
    changed: dict[str, dict[str, list[str]]] = {name: {"lost": [], "got": []} for name in before["must_see"]}
    for eye in before["eyes"]:
        for name, must in eye["must_see"].items():
            now = later.get(eye["id"], {}).get(name)
            if now is not None and now["clear"] != must["clear"]:
                changed[name]["lost" if must["clear"] else "got"].append(eye["id"])
    return changed


def sizes_document(reading: Reading) -> dict[str, Any]:
    """What moved and by how much, what is as planned, and what nobody knows."""
    return {
        "moved": [_moved(one) for one in reading.moved],
        "as_planned": [one.size.key for one in reading.as_planned],
        "unknown": [size.key for size in reading.unknown],
        "not_measured": [size.key for size in reading.blank],
        "ranges": [
            {"size": one.size.key, "built": one.said, "least": _number(one.size, one.built.low),
             "most": _number(one.size, one.built.high), "unit": _unit(one.size)}
            for one in reading.ranged
        ],
    }  # fmt: skip


def _moved(one: Taken) -> dict[str, Any]:
    return {
        "size": one.size.key, "of": one.size.group, "how": one.size.how, "planned": one.size.said, "built": one.said,
        "unit": _unit(one.size), "planned_value": _number(one.size, one.size.planned.value),
        "built_value": _number(one.size, one.built.value),
        "difference": _number(one.size, one.built.value - one.size.planned.value),
    }  # fmt: skip


def _unit(size: Size) -> str:
    return "deg" if size.kind == "angle" else "m"


def _number(size: Size, value: float) -> float:
    # A hundredth of a millimetre, or of a degree: what is less is arithmetic.
    # No minus before nothing.
    return (round(math.degrees(value), 2) if size.kind == "angle" else round(value, 5)) + 0.0


def alone_document(found: Sequence[Alone]) -> list[dict[str, Any]]:
    return [
        {
            "sizes": one.keys, "worse": one.worse, "better": one.better,
            "eyes_seen": None if one.why_not is not None else one.eyes_seen, "why_not": one.why_not,
        }
        for one in found
    ]  # fmt: skip


def matters_most(alone: Sequence[Alone], put_right: Sequence[Alone] = (), seen: int = 0) -> list[str] | None:
    """The sizes of the one deviation that alone changes most.

    Where none changes anything alone, those of the one that, put right, leaves fewer than the `seen` as built. None where
    there is neither.
    """
    if alone and alone[0].why_not is None and (alone[0].worse or alone[0].better):
        return alone[0].keys
    if put_right and put_right[0].why_not is None and put_right[0].eyes_seen < seen:
        return put_right[0].keys
    return None


def assumptions(reading: Reading) -> list[str]:
    """What is taken for granted beyond what the check itself says."""
    said = []
    missing = len(reading.blank) + len(reading.unknown)
    if missing:
        said.append(f"{missing} of the sizes {'is' if missing == 1 else 'are'} not measured: taken as planned.")
    if reading.ranged:
        said.append(
            "Where a size is known within a range, the worst of its middle and both ends counts; with more than one range "
            "also all at their least and all at their most, but no other mixture (sightline check --robust)."
        )
    if any(tick.camera_m is not None for tick in reading.ticks):
        said.append(
            "What a camera of the mock-up saw is compared with the act as built in a bare room, from where the sheet puts the "
            "camera, with one eye that does not lean."
        )
    said.append("Somebody who saw a secret is believed against the computation; somebody who saw nothing is not.")
    return said
