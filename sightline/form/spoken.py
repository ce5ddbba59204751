"""Several answers said in one breath: `46 x 34 x 30 cm`, `round 15 cm`, `left wall, 3 cm, 2 cm`."""

from __future__ import annotations

import re

from sightline.units import QuantityError

_UNIT_AT_END = re.compile(r"\d\s*(''|['′’\"″”]|[A-Za-z]+)\s*$")
_TIMES = re.compile(r"\s*[x×*]\s*|\s+by\s+", re.IGNORECASE)
SHAPES = ("round", "slot", "rectangle")
WALLS = ("front", "back", "left", "right", "top", "bottom")


def sizes(text: str, count: int, what: str) -> list[str]:
    """`count` sizes with x between them; a unit written only at the end is meant for all."""
    parts = _TIMES.split(text.strip())
    if len(parts) != count or not all(parts):
        raise QuantityError(f"write {what}")
    return _with_unit(parts)


def box(text: str) -> dict[str, str]:
    """`46 x 34 x 30 cm`: width, depth and height."""
    names = ("box.width", "box.depth", "box.height")
    return dict(zip(names, sizes(text, 3, "width x depth x height, such as 46 x 34 x 30 cm"), strict=True))


def opening(text: str) -> dict[str, str]:
    """`round 15 cm`, `slot 16 x 12 cm` or `rectangle 16 x 12 cm`."""
    word, _, rest = text.strip().partition(" ")
    shape = word.casefold() if word.casefold() in SHAPES else ""
    if not shape and re.match(r"[\d.]", word):
        shape, rest = "round", text
    if not shape or not rest.strip():
        raise QuantityError(
            "write the shape and its size, such as round 15 cm, slot 16 x 12 cm or rectangle 16 x 12 cm"
        )
    if shape == "round":
        return {"opening.shape": shape, "opening.diameter": rest.strip()}
    width, height = sizes(rest, 2, f"the {shape}'s width x height, such as {shape} 16 x 12 cm")
    return {"opening.shape": shape, "opening.width": width, "opening.height": height}


def hand(text: str) -> dict[str, str]:
    """`left wall`, or `left wall, 3 cm, 2 cm`: across and up from the wall's middle."""
    parts = [part.strip() for part in text.split(",")]
    wall = re.sub(r"\s*(wall|side)$", "", parts[0].casefold())
    if wall not in WALLS:
        raise QuantityError(
            f"write the wall, one of {', '.join(WALLS)}; then, if you like, how far across and up: left, 3 cm, 2 cm"
        )
    if len(parts) == 1:
        return {"limb.wall": wall}
    if len(parts) != 3:
        raise QuantityError("after the wall write two lengths, across and up, such as left, 3 cm, 2 cm")
    across, up = _with_unit(parts[1:])
    return {"limb.wall": wall, "limb.across": across, "limb.up": up}


def places(text: str, names: tuple[str, ...], what: str) -> dict[str, str]:
    """Lengths with commas between them, one for each name."""
    parts = [part.strip() for part in text.strip().strip("[]").split(",")]
    if len(parts) != len(names) or not all(parts):
        raise QuantityError(f"write {what}")
    return dict(zip(names, _with_unit(parts), strict=True))


def _with_unit(parts: list[str]) -> list[str]:
    found = _UNIT_AT_END.search(parts[-1])
    if not found:
        return parts
    return [part if re.search(r"[A-Za-z'′’\"″”]", part) else f"{part} {found[1]}" for part in parts]
