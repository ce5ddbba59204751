"""What `compare --as-built` prints: what moved, whose verdict changes, what matters most, and where somebody saw otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

# More than so many eyes or sizes are counted, not named.
MOST_NAMED = 8


def as_built_words(result: dict[str, Any]) -> str:
    """The report in plain words, for a person at a terminal."""
    from sightline.errors import printable

    return "\n".join(printable(line) for line in _lines(result)) + "\n"


def _lines(result: dict[str, Any]) -> Iterator[str]:
    from sightline.cli.say import closing

    sizes = result["sizes"]
    yield f"{result['title']}: as planned in {result['before']['scene']}, as built by {result['after']['scene']}"
    yield ""
    unknown = f"; {len(sizes['unknown'])} could not be measured" if sizes["unknown"] else ""
    yield (
        f"  {_count(sizes['moved'], 'size')} moved; {len(sizes['as_planned'])} as planned; "
        f"{len(sizes['not_measured'])} not measured{unknown}."
    )
    if not (sizes["moved"] or sizes["as_planned"] or result["ticks"]):
        yield "  Nothing is filled in on this sheet: nothing was learnt of what was built."
    elif not sizes["moved"]:
        yield "  Everything that was measured is as planned." if sizes["as_planned"] else "  No size was measured."
    yield from (f"  ! {said}" for said in result["warnings"])
    if sizes["moved"]:
        yield ""
        yield "  Moved"
        for one in sizes["moved"]:
            yield f"    {one['size']}: {one['planned']} -> {one['built']}, {_difference(one)}"
            yield f"        {one['of']}; {one['how']}"
    if sizes["ranges"]:
        yield ""
        yield "  Known within a range: the worst of its middle and both ends counts"
        for one in sizes["ranges"]:
            yield f"    {one['size']}: {one['built']}, which is {_number(one['least'], one['unit'])} to {_number(one['most'], one['unit'])}"
    yield ""
    yield from _verdicts(result)
    yield from _alone(result)
    yield from _ticks(result["ticks"])
    for key, words in (("unknown", "Could not be measured"), ("not_measured", "Not measured")):
        if sizes[key]:
            yield ""
            yield f"  {words}, taken as planned: {_named(sizes[key])}"
    yield ""
    yield from closing(result["assumptions"], result["not_checked"])


def _verdicts(result: dict[str, Any]) -> Iterator[str]:
    from sightline.cli.retelling import told_words

    summary = result["summary"]
    planned, built, counted = (summary[f"eyes_seen_{key}"] for key in ("planned", "built", "counted"))
    earlier, shaded = result["after"]["seen_as_built"], result["after"]["shadow_seen_from"]
    also = ["what somebody saw"] if earlier or summary["seen_by_tick_alone"] else []
    also += ["shadows"] if shaded else []
    told = f"; {counted} with {' and '.join(also)}" if counted != built else ""
    yield f"  Eyes that can see a secret: {planned} as planned, {built} as built{told}."
    if earlier:
        yield f"  ! {told_words(earlier)}"
    if shaded:
        yield f"    the shadow of a secret: {_count(shaded, 'eye')} as built: {_named(shaded)}"
    if not result["verdicts_changed"] and not any(result["secrets_changed"].values()):
        yield "  No verdict that is computed changes."
    for step, eyes in sorted(result["verdicts_changed"].items()):
        yield f"    {step}: {_count(eyes, 'eye')}: {_named(eyes)}"
    for name, steps in result["secrets_changed"].items():
        said = [f"{step} for {len(eyes)} ({_named(eyes, 3)})" for step, eyes in sorted(steps.items())]
        said += _within(result["eyes"], name)
        if said:
            yield f"    {name}: {'; '.join(said)}"
    for name, found in result["must_see"].items():
        changed = result["views_changed"].get(name, {"lost": [], "got": []})
        whose = "".join(f"; {word} by {_named(changed[word], 3)}" for word in ("lost", "got") if changed[word])
        yield f"    clear view of {name}: {found['before']} -> {found['after']}{whose}"
    for key, words in (("only_before", "there only as planned"), ("only_after", "there only as built")):
        for kind, names in result[key].items():
            if names:
                yield f"    {kind} {words}: {_named(sorted(names))}"


def _within(eyes: Sequence[dict[str, Any]], name: str) -> list[str]:
    """To how many, whose verdict stays, a tenth more or less of a secret shows."""
    entries = [eye["secrets"][name] for eye in eyes if name in eye["secrets"]]
    stays = [entry["change"] for entry in entries if entry["before"] == entry["after"]]
    counts = (("more of it shows", stays.count("worse")), ("less of it shows", stays.count("better")))
    return [f"{word} to {count} of the others" for word, count in counts if count]


def _alone(result: dict[str, Any]) -> Iterator[str]:
    alone = result["alone"]
    if not alone:
        return
    yield ""
    most, mended = result["matters_most"], result["put_right"]
    if most is not None and not mended:
        yield f"  Matters most: {' and '.join(most)}"
    elif not mended:
        yield "  No size that moved changes any verdict by itself."
    elif most is not None:
        yield f"  No size that moved changes any verdict by itself; together they do. Put right first: {' and '.join(most)}"
    else:
        yield "  No size that moved changes any verdict by itself; together they do, and no one put right mends it."
    for said, found in (("alone", alone), ("put right, the rest as built", mended)):
        for one in found:
            named = " and ".join(one["sizes"])
            if one["why_not"] is not None:
                yield f"    {named}, {said}: cannot be looked at: {one['why_not']}"
                continue
            changes = f"worse for {one['worse']}, better for {one['better']} than planned"
            yield f"    {named}, {said}: {changes}; {one['eyes_seen']} can see a secret"


def _ticks(ticks: Sequence[dict[str, Any]]) -> Iterator[str]:
    if not ticks:
        return
    agree = sum(tick["agrees"] is True for tick in ticks)
    yield ""
    yield f"  What somebody saw beside what is computed as built: {agree} of {len(ticks)} agree"
    for tick in ticks:
        place = f"{tick['eye']}, from its {tick['from']}"
        saw = {"yes": "ticked seen", "no": "ticked not seen", "not sure": "ticked not sure, which counts as seen"}[
            tick["saw"]
        ]
        where = f" ({tick['where']})" if tick["where"] else ""
        computed = f"computed {tick['computed']}" if tick["computed"] else f"nothing is computed: {tick['why_not']}"
        yield f"    {'  ' if tick['agrees'] else '! '}{place}: {saw}{where}, {computed}{_verdict_words(tick)}"


def _verdict_words(tick: dict[str, Any]) -> str:
    if tick["agrees"]:
        other = tick["in_the_house"]
        if tick["saw"] != "no" and tick["from"] == "camera" and other not in (None, "seen"):
            return f"; agrees; in the house it is computed {other}, the room has no scenery and the camera is nearer"
        return "; agrees"
    if tick["counts_as_seen"]:
        return ". Believe the eye: it counts as seen. Look there for what was not measured."
    return ". It still counts as seen: look again, every move of the puppet, before you believe it hidden."


def _difference(one: dict[str, Any]) -> str:
    from sightline.blocking.notation import inches

    off = one["difference"]
    if one["unit"] == "deg":
        return "the same, but known otherwise" if off == 0 else f"{abs(off):g} deg {'more' if off > 0 else 'less'}"
    if abs(off) < 0.00005:
        return "the same, but known otherwise"
    said = (
        f"{abs(off) * 1000:.3g} mm"
        if abs(off) < 0.01
        else f"{abs(off) * 100:.1f} cm"
        if abs(off) < 1
        else f"{abs(off):.2f} m"
    )
    return f"{said} ({inches(abs(off), 16)}) {'more' if off > 0 else 'less'}"


def _number(value: float, unit: str) -> str:
    return f"{value:g} deg" if unit == "deg" else f"{value * 100:g} cm"


def _named(names: Sequence[str], most: int = MOST_NAMED) -> str:
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


def _count(things: Sequence[Any], word: str) -> str:
    return f"{len(things)} {word}" + ("" if len(things) == 1 else "s")
