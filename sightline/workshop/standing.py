"""How near the loaded performer is to tipping, in words."""

from __future__ import annotations

import numpy as np

from sightline.blocking.notation import feet
from sightline.workshop.armload import ArmAt
from sightline.workshop.balance import body_points, middle_of_all, tipping
from sightline.workshop.bench import Bench
from sightline.workshop.masses import Weighed
from sightline.workshop.section import Item, State

# Less room than this and a nudge makes one step. Common practice, no source.
LITTLE_ROOM_M = 0.05
BEND_M = 1.0
SOURCE = "quasi-static; segment masses of Dempster in Winter, trunk, head and legs from memory"


def arms_of(bench: Bench) -> dict[str, ArmAt]:
    """Both real arms where they are: the hidden one in its rest pose."""
    body = bench.body
    assert body is not None
    out = {}
    for side in ("left", "right"):
        arm = body.skeleton.arm(side)
        out[side] = ArmAt(arm.shoulder, arm.elbow, arm.wrist, arm.hand, body.sheet.hand_length_m)
    if body.hidden is not None and bench.hidden:
        rest = bench.hidden[0]
        out[body.hidden] = ArmAt(rest.shoulder, rest.elbow, rest.wrist, rest.fingers, body.sheet.hand_length_m)
    return out


def standing_items(bench: Bench, parts: list[Weighed]) -> list[Item]:
    """The room of the common centre of mass over the feet, as lean, as push and as speed round a bend."""
    body = bench.body
    assert body is not None
    own = body_points(body.sheet, body.skeleton, arms_of(bench))
    bare = middle_of_all(own)
    loaded = middle_of_all([*own, *((part.mass_kg, part.middle_m) for part in parts)])
    found = tipping(loaded, body.sheet, body.skeleton)
    way = found.nearest
    room = found.room_m[way]
    if room < 0:
        said = (
            f"As posed the common middle of body and load is beyond the feet by {-room * 100:.0f} "
            f"cm ({feet(-room)}): nobody stands like that."
        )
        return [Item("tipping", "no", said, room, "m", SOURCE)]
    state: State = "warn" if room < LITTLE_ROOM_M else "told"
    shift = loaded - bare
    rooms = ", ".join(f"{name} {value * 100:.0f} cm ({feet(value)})" for name, value in found.room_m.items())
    said = (
        f"The load carries the common middle {np.hypot(shift[0], shift[1]) * 100:.0f} cm off the body's own. Over the feet it then has "
        f"room: {rooms}; leaning stiffly from the ankles it tips at {found.lean_deg('ahead'):.0f} "
        f"deg ahead, {found.lean_deg('back'):.0f} deg back."
    )
    items = [Item("tipping", state, said, room, "m", SOURCE)]
    sideways = min(found.push_g("left"), found.push_g("right"))
    speed = found.turn_speed_m_s(BEND_M)
    said = (
        f"Standing so and not stepping, a sideways jerk of {sideways:.2f} g tips the performer, a stop or start of "
        f"{min(found.push_g('ahead'), found.push_g('back')):.2f} g; a bend of {BEND_M:g} m ({feet(BEND_M)}) "
        f"taken at {speed:.1f} m/s would. "
        "Feet wider apart give more; a quick turn with a box ahead swings it past the feet, so turn in steps."
    )
    return [*items, Item("turning", "told", said, sideways, "g", SOURCE)]
