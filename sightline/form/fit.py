"""Answers that do not go together, told while they are given: in the words of `props`. `fit.js` is the twin."""

from __future__ import annotations

from collections.abc import Mapping

from sightline.units import QuantityError, Unknown, parse

WALL_M = 0.004
# Outer size across and up of each wall, as indices of (width, depth, height).
_SPAN = {"front": (0, 2), "back": (0, 2), "left": (1, 2), "right": (1, 2), "top": (0, 1), "bottom": (0, 1)}


def misfits(said: Mapping[str, str], opening_wall: str = "back") -> dict[str, str]:
    """For settled answers: question id -> what is wrong. Answers that cannot be read are passed over."""
    out: dict[str, str] = {}
    size = [_metres(said.get(f"box.{side}", "")) for side in ("width", "depth", "height")]
    if any(side is None for side in size):
        return out
    sides = [side or 0.0 for side in size]
    wall = _metres(said.get("box.wall", "")) or WALL_M
    if 2 * wall >= min(sides):
        out["box.wall"] = "The walls are so thick that the box has no inside; make the wall thinner or the box larger."
        return out
    is_round = said.get("opening.shape") == "round"
    for k, direction in enumerate(("across", "up")):
        name = "opening.diameter" if is_round else ("opening.width", "opening.height")[k]
        place = ("opening.across", "opening.up")[k]
        hole, room = _metres(said.get(name, "")), sides[_SPAN[opening_wall][k]] - 2 * wall
        if hole is None or name in out:
            continue
        over = abs(_metres(said.get(place, "")) or 0.0) + hole / 2 - room / 2
        if hole > room:
            out[name] = (
                f"The opening is {_mm(hole)} mm {direction}, larger than the {opening_wall} wall's {_mm(room)} mm "
                "between its edges."
            )
        elif over > 1e-9:
            out[place] = (
                f"The opening cuts the {opening_wall} wall's edge by {_mm(over)} mm ({direction}); "
                "move it or make it smaller."
            )
    on = said.get("limb.wall", "")
    for k, place in enumerate(("limb.across", "limb.up")):
        beyond = abs(_metres(said.get(place, "")) or 0.0) - (sides[_SPAN[on][k]] / 2 if on in _SPAN else 1e9)
        if beyond > 1e-9:
            out[place] = f"This place is {_mm(beyond)} mm beyond the edge of the {on} wall: in mid-air."
    return out


def _metres(text: str) -> float | None:
    try:
        return parse(text, "length").value
    except (QuantityError, Unknown):
        return None


def _mm(value_m: float) -> int:
    # Not round(): the page's script rounds halves up.
    return int(value_m * 1000 + 0.5)
