"""Reach: does the hidden hand get to every grip, past the opening's edge and the walls, with an arm that can be held up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.blocking.notation import millimetres
from sightline.geometry.frame import FloatArray
from sightline.props.box import Wall, box_size, wall_of
from sightline.scene.prop import CarriedBox, Opening
from sightline.workshop import comfort
from sightline.workshop.bench import Bench
from sightline.workshop.clearance import Clearance
from sightline.workshop.grips import GripReach, Way, arm_way, chosen_limits, cloth_of, grips
from sightline.workshop.reachable import WHY_WORDS, Inside, inside_of
from sightline.workshop.section import Item, Section, State

NAME = "reach"
CAUTION = (
    "An edge on the inside of the upper arm or in the armpit presses nerves and vessels: pad and round it. Pins and "
    "needles, numbness or a cold hand: stop and come out at once. For pain or an old injury ask a licensed professional."
)
NOT_CHECKED = (
    "the hidden arm against the performer's own chest and clothes, and twist of forearm and wrist",
    "how the hand gets in: it is looked at where it works, not on the way",
)


@dataclass(frozen=True)
class ReachView:
    """What a picture needs, prop frame: `arm` (4, 3) is shoulder, elbow, wrist and grip at rest by the best elbow."""

    box: CarriedBox
    openings: tuple[Opening, ...]
    opening: Opening | None
    wall: Wall | None
    inside: Inside
    arm: FloatArray | None
    grip: FloatArray


def mm(value_m: float) -> str:
    """Both measures of a small length, without a sign."""
    return millimetres(abs(value_m))


def section(bench: Bench) -> Section:
    """The section of the report. Never raises for a scene that could be staged."""
    missing = missing_of(bench)
    if missing:
        return Section(NAME, [Item("reach", "not known", f"Reach is not known: {missing}.")])
    found = grips(bench)
    limits, table, source = chosen_limits(bench)
    cloth_m, cloth_said = cloth_of(bench)
    items = [_reached(found, source), *(_grip_item(grip) for grip in found)]
    items += [*_clearances(found, bench), *_comfort(found)]
    if bench.box is not None:
        items.append(_inside(bench))
    assumptions = [
        f"Joint limits '{table}': {source}. The elbow bends to {limits.elbow_flexion_deg:.0f} deg, the upper arm lifts to "
        f"{limits.shoulder_flexion_deg:.0f} deg ahead and {limits.shoulder_extension_deg:.0f} deg behind; how far the elbow "
        "swings in and out and the arm reaches across is common practice, no source.",
        f"Clothing adds {cloth_m * 1000:.0f} mm all round the hidden arm: {cloth_said}.",
    ]  # fmt: skip
    if table not in ("usual", "aaos"):
        assumptions.append("The check of who sees the hidden arm keeps the usual joint limits, which allow more poses.")
    return Section(NAME, items, [CAUTION], assumptions, list(NOT_CHECKED))


def missing_of(bench: Bench) -> str | None:
    """What the scene lacks for reach to be known, or None."""
    if bench.body is None:
        return "the scene has no performer"
    if bench.body.hidden is None:
        return "the performer hides no arm (hide: [left arm])"
    if bench.carried is None:
        return "the scene has no prop"
    return "the scene has no puppet to grip" if bench.scene.puppet is None else None


def view(bench: Bench) -> ReachView | None:
    """The reachable inside for a picture; None where the scene has no hidden arm, puppet or box."""
    way = arm_way(bench)
    if way is None or way.box is None or bench.scene.puppet is None:
        return None
    rest = grips(bench)[0]
    arm = None
    if rest.best is not None:
        line = np.array([way.shoulder, rest.best.elbow, rest.asked.wrist, rest.asked.grip])
        arm = way.prop.inverse().points(line)
    inside = inside_of(way, bench.scene.fit.grid, bench.scene.pose.hidden_elbow)
    wall = wall_of(box_size(way.box), way.opening.wall) if way.opening else None
    holes = tuple(bench.prop.openings) if bench.prop else ()
    return ReachView(way.box, holes, way.opening, wall, inside, arm, np.array(bench.scene.puppet.grip))


def _reached(found: list[GripReach], source: str) -> Item:
    short = [grip.move for grip in found if not grip.reached]
    if short:
        words = f"The hidden hand does not get to {len(short)} of {len(found)} grips: {', '.join(short)}."
    else:
        words = (
            f"Bones and joints let the hidden hand get to all {len(found)} grips: {', '.join(g.move for g in found)}."
        )
    press = [grip.move for grip in found if grip.best is not None and grip.best.least_m < 0]
    if press:
        words = words[:-1] + f"; but the arm presses an edge or a wall at {', '.join(press)}."
    good = len(found) - len(short) - len(press)
    return Item("every grip", "no" if short or press else "yes", words, good, "grips", source)


def _grip_item(grip: GripReach) -> Item:
    key = f"grip {grip.move}"
    if grip.short_m:
        how = (
            "short of it: the arm is not long enough"
            if grip.short_m > 0
            else "too near: the elbow does not bend so far"
        )
        return Item(key, "no", f"{grip.move}: the hand is {mm(grip.short_m)} {how}.", -abs(grip.short_m), "m")
    if grip.refused:
        return Item(key, "no", f"{grip.move}: no elbow does it; {'; '.join(grip.refused)}.")
    if grip.misses:
        return Item(key, "no", f"{grip.move}: with every elbow that the joints allow the arm goes past the opening.")
    best = grip.best
    assert best is not None
    words = f"{grip.move}: best with {_elbow(best)}, bent {best.bend_deg:.0f} deg"
    clear = "; ".join(
        f"{'clears' if c.distance_m >= 0 else 'presses'} the {what} by {mm(c.distance_m)}"
        for what, c in ((f"{best.edge.wall} wall's opening" if best.edge else "", best.edge),
                        (f"{best.wall.wall} wall" if best.wall else "", best.wall))
        if c is not None
    )  # fmt: skip
    tight = sum(way.least_m < 0 for way in grip.ways)
    more = f"; {tight} of {len(grip.ways)} elbows looked at press" if len(grip.ways) > 1 and tight else ""
    state: State = "told" if best.edge is None and best.wall is None else "yes" if best.least_m >= 0 else "no"
    return Item(key, state, f"{words}{'; ' + clear if clear else ''}{more}.", best.least_m if clear else None, "m")


def _elbow(way: Way) -> str:
    degrees = round(float(np.degrees(way.swivel_rad)))
    if degrees == 0:
        return "the elbow straight below"
    return f"the elbow {abs(degrees)} deg {'out' if degrees > 0 else 'in'} from straight below"


def _clearances(found: list[GripReach], bench: Bench) -> list[Item]:
    if bench.box is None:
        said = "the prop is an imported mesh, and its opening is not told apart from its walls"
        return [Item("edge clearance", "not known", f"Whether the arm clears the prop's edges is not known: {said}.")]
    items = []
    best = [(grip.move, grip.best) for grip in found if grip.best is not None]
    for key, what, found_at in (
        ("edge clearance", "the opening's edge", [(move, way.edge) for move, way in best]),
        ("wall clearance", "the other walls", [(move, way.wall) for move, way in best]),
    ):
        known = [(move, clear) for move, clear in found_at if clear is not None]
        if not known:
            items.append(Item(key, "not known", f"Whether the arm clears {what} is not known: no grip is reached."))
            continue
        move, least = min(known, key=lambda entry: entry[1].distance_m)
        items.append(_clearance(key, what, move, least))
    return items


def _clearance(key: str, what: str, move: str, least: Clearance) -> Item:
    if least.distance_m >= 0:
        words = f"The clothed arm keeps at least {mm(least.distance_m)} from {what} ({move}, {least.wall} wall)."
        return Item(key, "yes", words, least.distance_m, "m", "distance of meshes")
    words = (
        f"The clothed arm presses {mm(least.distance_m)} into {what} ({move}, {least.wall} wall), "
        "by the best elbow: move or enlarge the opening, or move the grip."
    )
    return Item(key, "no", words, least.distance_m, "m", "distance of meshes")


def _comfort(found: list[GripReach]) -> list[Item]:
    reached = [grip for grip in found if grip.best is not None]
    items = []
    for grip in reached:
        best = grip.best
        assert best is not None
        how = comfort.band(best.raise_deg)
        state: State = "told" if how == "good" else "warn" if how == "brief" else "no"
        worst = f"; {grip.highest_deg:.0f} deg by its highest elbow" if grip.highest_deg > best.raise_deg + 0.5 else ""
        words = f"{grip.move}: the upper arm is raised {best.raise_deg:.1f} deg, {comfort.WORDS[how]}{worst}."
        items.append(Item(f"comfort {grip.move}", state, words, best.raise_deg, "deg", comfort.SOURCE))
    if reached:
        worst_grip = max(reached, key=lambda grip: grip.best.raise_deg if grip.best else 0.0)
        raised = worst_grip.best.raise_deg if worst_grip.best else 0.0
        how = comfort.band(raised)
        state = "yes" if how == "good" else "warn" if how == "brief" else "no"
        words = f"At worst the upper arm is raised {raised:.1f} deg ({worst_grip.move}): {comfort.WORDS[how]}."
        items.append(Item("comfort", state, words, raised, "deg", comfort.SOURCE))
    return items


def _inside(bench: Bench) -> Item:
    way = arm_way(bench)
    assert way is not None
    pin = bench.scene.pose.hidden_elbow
    inside = inside_of(way, bench.scene.fit.grid, pin)
    rest = [f"{share * 100:.0f} % {WHY_WORDS[name]}" for name, share in inside.shares().items() if share >= 0.005]
    words = (
        f"The middle of the hidden palm gets to {inside.volume_m3 * 1000:.1f} of the {inside.whole_m3 * 1000:.1f} litres "
        f"inside, {inside.share * 100:.0f} %"
        + (f" ({', '.join(rest)})" if rest else "")
        + ("; the elbow is kept where the scene pins it." if pin is not None else ".")
    )
    source = f"grip points every {float(inside.step_m.max()) * 1000:.0f} mm, fingers straight on from the opening"
    return Item("reachable inside", "told" if inside.volume_m3 > 0 else "warn", words, inside.volume_m3, "m3", source)
