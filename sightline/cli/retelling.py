"""What `rehearse` prints: the act beat by beat, its worst moments, and what one person saw."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sightline.cli.words import size_words

MOST_SPELLS = 12


def rehearsal_words(report: dict[str, Any]) -> str:
    """The report in plain words, for a person at a terminal."""
    return "\n".join(_lines(report)) + "\n"


def told_words(eyes: Sequence[str]) -> str:
    """That somebody saw a secret from these eyes, whatever is computed."""
    return (
        f"As built, somebody saw one from {', '.join(eyes)} (as built: seen from): that counts as seen until somebody has "
        "looked again and taken the entry out."
    )


def account_words(account: dict[str, Any]) -> str:
    """What one eye saw at one second, in plain words."""
    return "\n".join(_account(account)) + "\n"


def _lines(report: dict[str, Any]) -> Iterator[str]:
    from sightline.blocking.notation import clock

    summary, frames = report["summary"], report["frames"]
    last = frames[-1]["t_s"] - frames[0]["t_s"]
    yield f"{report['title']}: {_count(report['beats'], 'beat')} in {clock(last)}, {summary['eyes']} eyes"
    yield ""
    if summary["eyes_ever_seen"]:
        seconds = "" if summary["eye_seconds"] is None else f"; {summary['eye_seconds']:.1f} eye-seconds"
        yield f"  {summary['eyes_ever_seen']} of {summary['eyes']} can see a secret at some time{seconds}."
    else:
        when = "at any frame" if report["beats"][1:] else "at the one mark; nothing moves"
        computed = ", as computed," if report.get("seen_as_built") else ""
        yield f"  Nobody can see a secret{computed} {when}, in what was looked at."
    if report.get("seen_as_built"):
        yield f"  ! {told_words(report['seen_as_built'])}"
    yield ""
    yield "  Beats"
    wide = max(len(beat["name"]) for beat in report["beats"])
    for beat in report["beats"]:
        said = f"{beat['eyes_seen']} can see a secret" if beat["eyes_seen"] else "nobody can see a secret"
        said += f", {beat['eyes_faint']} faintly" if beat["eyes_faint"] else ""
        worst = f"; the worst is {beat['worst_eye']}" if beat["worst_eye"] else ""
        yield f"    {clock(beat['at_s']):>6}  {beat['name']:<{wide}}  {said}{worst}"
        some = {name: found for name, found in beat["secrets"].items() if found["eye_seconds"]}
        if some:
            until = ", ".join(f"{name} {found['eye_seconds']:.1f}" for name, found in some.items())
            yield f"            {'':<{wide}}eye-seconds until the next beat: {until}"
    yield ""
    yield "  Eye-seconds and worst moment of each secret"
    for name, secret in report["secrets"].items():
        yield f"    {name}: {_worst(secret)}"
    yield from _attention(report["attention"])
    for heading, key in (
        ("Warnings", "warnings"),
        ("Mind", "cautions"),
        ("Taken for granted", "assumptions"),
        ("Not checked", "not_checked"),
    ):
        if report[key]:
            yield ""
            yield f"  {heading}:"
            yield from (f"    - {said}" for said in report[key])


def _worst(secret: dict[str, Any]) -> str:
    from sightline.blocking.notation import clock

    seconds = "" if secret["eye_seconds"] is None else f"{secret['eye_seconds']:.1f}; "
    worst = secret["worst"]
    if worst is None:
        return f"{seconds}shows in no frame looked at"
    how = f", {worst['how']}" if worst["how"] else ""
    pose = f", with the arm at '{worst['pose']}'" if worst["pose"] else ""
    size = size_words(worst["angular_size_arcmin"])
    return f"{seconds}at {clock(worst['t_s'])} {worst['eye']} has {size} of it, {worst['verdict']}{how}{pose}"


def _attention(attention: dict[str, Any]) -> Iterator[str]:
    from sightline.blocking.notation import clock

    # Where no time passes there are no spells to speak of.
    spells = [spell for spell in attention["risky"] if spell["seconds"] > 0]
    if spells:
        yield ""
        yield "  Risky spells, and where the focus is then (it changes no verdict)"
        for spell in sorted(spells, key=lambda s: -s["eye_seconds"])[:MOST_SPELLS]:
            move = f", move '{spell['move']}'" if spell["move"] != "as placed" else ""
            yield (
                f"    {clock(spell['start_s'])} to {clock(spell['end_s'])} ({spell['seconds']:.1f} s), '{spell['beat']}': "
                f"{', '.join(spell['secrets'])}; {_count(spell['eyes_seen'], 'eye')}, the worst {spell['worst_eye']} at "
                f"{clock(spell['worst_t_s'])}{move}; focus {spell['focus']}"
            )
        if len(spells) > MOST_SPELLS:
            yield f"    and {len(spells) - MOST_SPELLS} more with less (see --json)"
    if attention["still"]:
        yield ""
        yield f"  The false arm is still (limit {attention['still_for_s']:g} s without a reason)"
        for part in attention["still"]:
            long = (
                " - too long" if part["too_long"] and part["reason"] is None else " - long" if part["too_long"] else ""
            )
            yield f"    {clock(part['start_s'])} for {part['seconds']:.1f} s: {part['reason'] or 'no reason given'}{long}"
    if attention["hands"]:
        yield ""
        yield "  Hands needed"
        for need in attention["hands"]:
            yield f"    {clock(need['at_s'])} '{need['beat']}': {need['needs']}{' - CONFLICT' if need['conflict'] else ''}"


def _account(account: dict[str, Any]) -> Iterator[str]:
    from sightline.blocking.notation import clock

    eye = account["eye"]
    where = f"in '{account['beat']}'" if account["on_the_way_to"] is None else (
        f"on the way from '{account['beat']}' to '{account['on_the_way_to']}'"
    )  # fmt: skip
    yield f"{account['title']}: {eye['id']} ({eye['kind']}) at {clock(account['t_s'])}, {where}"
    yield ""
    yield "  Secrets"
    for name, secret in account["secrets"].items():
        if secret["verdict"] == "hidden":
            yield f"    {name}: hidden, down to {size_words(secret['missable_arcmin'])}"
            continue
        pose = f", with the arm at '{secret['pose']}'" if secret["pose"] else ""
        yield f"    {name}: {secret['verdict']}, {size_words(secret['angular_size_arcmin'])} of it, {secret['how']}{pose}"
    if account["must_see"]:
        yield ""
        yield "  Must be seen"
        for name, found in account["must_see"].items():
            clear = "clear" if found["clear"] else "not clear"
            share = f"{found['clear_fraction'] * 100:.0f} % of it in view"
            yield f"    {name}: {clear}, {share}, {size_words(found['angular_size_arcmin'])}"
    for heading, key in (("Taken for granted", "assumptions"), ("Not checked", "not_checked")):
        yield ""
        yield f"  {heading}:"
        yield from (f"    - {said}" for said in account[key])


def _count(things: Any, word: str) -> str:
    count = things if isinstance(things, int) else len(things)
    return f"{count} {word}" + ("" if count == 1 else "s")
