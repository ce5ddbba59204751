"""The short readable finding that `check` prints."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any


def finding_words(report: dict[str, Any], venue: str, between: str = "") -> str:
    """The report in plain words, for a person at a terminal; `between` stands before what it takes for granted."""
    return "\n".join(_lines(report, venue)) + "\n" + between + "\n".join(_granted(report)) + "\n"


def _lines(report: dict[str, Any], venue: str) -> Iterator[str]:
    summary, eyes = report["summary"], report["eyes"]
    where = f", {venue}" if venue else ""
    yield f"{report['title']}: {summary['eyes']} eyes{where}"
    yield ""
    if summary["eyes_seen"] == 0:
        faint = f" ({summary['eyes_faint']} faintly, below what they can notice)" if summary["eyes_faint"] else ""
        yield f"  Nobody can see a secret{faint}{', as computed' if report.get('seen_as_built') else ''}."
    else:
        yield f"  {summary['eyes_seen']} of {summary['eyes']} can see a secret; the worst is {summary['worst_eye']}."
    if report.get("seen_as_built"):
        from sightline.cli.retelling import told_words

        yield f"  ! {told_words(report['seen_as_built'])}"
    if report.get("shadow_seen_from"):
        yield f"  {len(report['shadow_seen_from'])} of {summary['eyes']} can see the shadow of a secret."
    yield from _sampling(report.get("sampling"))
    yield from (f"  ! {said}" for said in report.get("warnings", []))
    for name, secret in report["secrets"].items():
        yield ""
        yield from _secret(name, secret, eyes)
    if report["must_see"]:
        yield ""
        yield "  Must be seen: " + "; ".join(
            f"{name} clear from {found['eyes_with_clear_view']} of {summary['eyes']}"
            for name, found in report["must_see"].items()
        )
    yield from _shadows(report["shadows"])


def _granted(report: dict[str, Any]) -> Iterator[str]:
    yield ""
    yield f"  Taken for granted ({len(report['assumptions'])}):"
    yield from (f"    - {said}" for said in report["assumptions"])
    yield "  Not checked:"
    yield from (f"    - {said}" for said in report["not_checked"])


def _sampling(found: dict[str, Any] | None) -> Iterator[str]:
    """How the share of people who can see a secret varies with who happens to stand there."""
    if found is None:
        return
    share = {key: value * 100 for key, value in found["share_seen"].items()}
    yield (
        f"  Over {found['draws']} draws of the crowd {share['mean']:.1f} % can see a secret (standard error "
        f"{share['standard_error']:.1f}); another crowd may differ by {share['of_one_draw']:.1f} either way (one standard deviation)."
    )


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
    if secret["worst"] and seen + faint > len(secret["worst"]):
        yield f"      and {seen + faint - len(secret['worst'])} more"
    if secret["patches_inside_solids"] and not secret["patches"]:
        yield "      ! all of it lies inside something solid, where nobody can ever see it: is that where it is meant to be?"
    if hidden:
        down = max(e["missable_arcmin"] for e in entries.values() if e["verdict"] == "hidden")
        yield "      hidden means " + (
            f"down to {size_words(down)}: no wider spot and no wider slit shows it"
            if down
            else "that no side of it that counts is turned to them"
        )
        yield from _spare(entries)
        covers = [(cover, share) for cover, share in secret["covered_by"].items() if share >= 0.01][:4]
        if covers:
            said = ", ".join(f"{'turned away' if c == 'itself' else c} {share * 100:.0f} %" for c, share in covers)
            yield f"      covered by: {said}"


def _spare(entries: dict[str, dict[str, Any]]) -> Iterator[str]:
    """How much there is to spare for those it is hidden from."""
    known = [
        (e["margin_deg"], eye) for eye, e in entries.items() if e["verdict"] == "hidden" and e["margin_deg"] is not None
    ]
    if not known:
        return
    known.sort(key=lambda item: item[0])
    least, eye = known[0]
    if least >= 180:
        yield "      to spare: nothing uncovers it from anywhere"
    else:
        half = known[len(known) // 2][0]
        yield f"      to spare: least {least:.1f} deg ({eye}), half of them {half:.{0 if half >= 1 else 1}f} deg or more"


def _shadows(shadows: list[dict[str, Any]]) -> Iterator[str]:
    """The shadows of secrets that somebody sees, and how many more fall where nobody does."""
    if not shadows:
        return
    yield ""
    for shadow in shadows:
        if shadow["eyes_seen"]:
            yield (
                f"  lamp '{shadow['lamp']}' throws the shadow of {shadow['secret']} on the {shadow['surface']}, "
                f"{place_words(shadow['at_m'])}: {shadow['eyes_seen']} see it, {shadow['eye']} most"
            )
    unseen = sum(1 for shadow in shadows if not shadow["eyes_seen"])
    if unseen:
        noun = "shadow" if unseen == 1 else "shadows"
        falls = "falls" if unseen == 1 else "fall"
        also = " also" if unseen < len(shadows) else ""
        yield f"  {unseen} {noun} of a secret{also} {falls} where nobody sees it"


def place_words(at_m: list[float]) -> str:
    """A place on the stage: across, up or down the stage from the plaster line, and height."""
    x, y, z = at_m
    across = (
        "on the centre line"
        if abs(x) < 0.005
        else f"{abs(x):.2f} m {'house right (stage left)' if x > 0 else 'house left (stage right)'} of the centre line"
    )
    return f"{across}, {abs(y):.2f} m {'upstage' if y >= 0 else 'downstage'}, {z:.2f} m up"


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
