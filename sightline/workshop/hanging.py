"""What hook, straps and plate bear, in words."""

from __future__ import annotations

import math

from sightline.blocking.notation import feet
from sightline.workshop.armload import G_M_S2
from sightline.workshop.balance import shared_n
from sightline.workshop.bench import Bench
from sightline.workshop.hung import TOUCH_M, Hung, hung
from sightline.workshop.masses import Weighed
from sightline.workshop.section import Item

STATICS = "rigid-body equilibrium, seen from the side, without friction"


def hanging_items(bench: Bench, parts: list[Weighed]) -> list[Item]:
    """Forces at hook, straps and plate; `not known` where the scene does not say how the prop is borne."""
    found = hung(bench, parts)
    if found is None:
        return [Item("hanging", "not known", "What holds the prop is not known: the scene has no prop.")]
    kg = found.weight_n / G_M_S2
    weight = f"{found.weight_n:.0f} N ({kg:.1f} kg)"
    if found.by == "nothing":
        said = f"The prop with what hangs on it weighs {weight}, and no hook or strap bears it: all of it is on the visible hand."
        return [Item("hanging", "warn", said, found.weight_n, "N")]
    items = [_held(found, weight)]
    items += [
        Item(f"force.{name}", "told", f"{name}: {_range(low, found.found.most_n[name])}.", low, "N", STATICS)
        for name, low in found.found.least_n.items()
    ]
    if found.rests_on != "nothing":
        items += _gap(found)
    if found.by == "strap" and not found.ends_said:
        said = (
            "Where the strap is made fast on the prop is not said: the back wall's top edge is "
            "taken. Say: load: {straps: [{strap: strap, at: {wall: back, at: [0 cm, 10 cm]}}]}."
        )
        items.append(Item("strap ends", "not known", said))
    return items + _sideways(bench, found) + _shoulders(bench, found, parts)


def _held(found: Hung, weight: str) -> Item:
    hand = found.found.hand_n
    if hand is None:
        said = f"By {found.by} alone the prop ({weight}) does not hang in balance, and no hand is there to hold it."
        return Item("hanging", "no", said, None, None, STATICS)
    if found.found.by_itself:
        said = f"The prop ({weight}) hangs by itself on the {found.by}" + (
            f", leaning on {found.rests_on}." if found.rests_on != "nothing" else "."
        )
        # Only as good as what it leans on and where the straps are: what is not built or not said is not known.
        sure = found.rest_gap_m <= TOUCH_M and (found.by == "hook" or found.ends_said)
        if not sure:
            said = said.removesuffix(".") + ", if that and the strap's end are as taken below."
        return Item("hanging", "yes" if sure else "not known", said, 0.0, "N", STATICS)
    said = (
        f"The {found.by} alone does not hold the prop ({weight}) in balance: the visible hand must "
        f"add at least {hand:.0f} N ({hand / G_M_S2:.1f} kg) all the time."
    )
    return Item("hanging", "warn", said, hand, "N", STATICS)


def _range(low: float, high: float) -> str:
    if math.isinf(high):
        return f"{low:.0f} N or more, as tight as it is pulled"
    if f"{low:.0f}" == f"{high:.0f}" or high - low < 0.5:
        return f"{low:.0f} N ({low / G_M_S2:.1f} kg)"
    return f"{low:.0f} to {high:.0f} N, statics cannot say which"


def _gap(found: Hung) -> list[Item]:
    if found.rest_gap_m > TOUCH_M:
        said = (
            f"The back wall stands {found.rest_gap_m * 100:.1f} cm ({feet(found.rest_gap_m)}) off {found.rests_on}: nothing to lean on "
            "until a bracket or pad of that depth is built in; the forces take it to be there."
        )
        return [Item("rest gap", "warn", said, found.rest_gap_m, "m")]
    if found.rest_gap_m < -TOUCH_M:
        said = (
            f"The back wall is drawn {-found.rest_gap_m * 100:.1f} cm ({feet(-found.rest_gap_m)}) "
            f"into {found.rests_on}: move one of them."
        )
        return [Item("rest gap", "no", said, found.rest_gap_m, "m")]
    return []


def _sideways(bench: Bench, found: Hung) -> list[Item]:
    """Two straps share by the lever; one lets the prop roll about it."""
    if found.by != "strap":
        return []
    ends = sorted(((float(at[0]), name) for name, at in found.ends.items()), reverse=True)
    x = float(found.middle_m[0])
    if len(ends) >= 2:
        (left_x, left), (right_x, right) = ends[0], ends[-1]
        if left_x - right_x < 0.01:
            return [
                Item("sideways", "warn", "Both straps are fast at one place across the prop: it will roll sideways.")
            ]
        on_left, on_right = shared_n(found.weight_n, x, left_x, right_x)
        if min(on_left, on_right) < 0:
            said = f"The load's middle lies outside the two straps ('{left}' and '{right}'): the prop rolls over unless a hand holds it."
            return [Item("sideways", "no", said, min(on_left, on_right), "N")]
        said = f"Across, '{left}' bears {on_left:.0f} N and '{right}' {on_right:.0f} N."
        return [Item("sideways", "told", said, [on_left, on_right], "N", "lever between two straps")]
    off = x - ends[0][0]
    moment = found.weight_n * abs(off)
    said = (
        f"One strap, and the load's middle {abs(off) * 100:.0f} cm ({feet(abs(off))}) to the "
        f"performer's {'left' if off >= 0 else 'right'} of it: "
        f"{moment:.1f} N m roll the prop that way, held by the hand and by whatever it leans on; a second strap cures it."
    )
    return [Item("sideways", "warn" if abs(off) > 0.02 else "told", said, moment, "N m")]


def _shoulders(bench: Bench, found: Hung, parts: list[Weighed]) -> list[Item]:
    straps = [part.strap.name for part in bench.scene.rig if part.strap is not None]
    if not straps:
        said = (
            "A hook needs something that bears the plate up; the rig has no strap for it." if found.by == "hook" else ""
        )
        return [Item("shoulders", "not known", said)] if said else []
    if found.by == "hook":
        plates = sum(part.mass_kg for part in parts if part.part == "rig" and part.bearer == "performer") * G_M_S2
        pull = found.weight_n + plates
        said = f"The straps together bear plate and prop, {pull:.0f} N; reckon each shoulder with all of it when the load shifts"
    else:
        pull = (
            max(value for name, value in found.found.most_n.items() if name in straps)
            if found.found.most_n
            else math.nan
        )
        if not math.isfinite(pull):
            return [
                Item(
                    "shoulders",
                    "not known",
                    "What presses on the shoulder is not known: the prop is not held in balance.",
                )
            ]
        said = f"A strap pulls with up to {pull:.0f} N"
    said += (
        f"; one that slides freely over a shoulder presses it with up to twice its pull ({2 * pull:.0f} "
        "N): wide webbing, a pad, and a belt that takes part of it to the hips."
    )
    return [Item("shoulders", "told", said, 2 * pull, "N", "a rope over a smooth edge pulls alike on both sides")]
