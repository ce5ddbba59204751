"""The section on load: what is carried, what it does to arm, shoulders and balance, and for how long."""

from __future__ import annotations

from sightline.blocking.notation import feet
from sightline.workshop.armload import THREE, TOTAL, level_forearm_nm, straight_arm_nm
from sightline.workshop.balance import middle_of_all
from sightline.workshop.bench import Bench
from sightline.workshop.endurance import LEAST_MEASURED, ROHMERT_FOREVER, curves_s, strength_held_nm, strength_nm
from sightline.workshop.hanging import hanging_items
from sightline.workshop.masses import Weighed, masses
from sightline.workshop.raised import Raised, raised
from sightline.workshop.section import Item, Section, State
from sightline.workshop.standing import standing_items

# Worn load over body mass: good up to the first, too much beyond the second (craft notes: weak sources, from memory).
GOOD_SHARE, MOST_SHARE = 0.10, 0.15
# Soldiers keep their agility up to here (ADP 3-90; FM 3-21.8 para 7-20): fit adults, trained to it.
SOLDIER_SHARE = 0.30
# A puppet on a raised hand: aim, and most. From memory.
PUPPET_AIM_KG, PUPPET_MOST_KG = 0.5, 1.0
# Static upper arm: EN 1005-4, second-hand.
RAISE_GOOD_DEG, RAISE_BRIEF_DEG = 20.0, 60.0
# Of the shortest time that a curve gives, so much for one hold. Ours, no source.
HOLD_SHARE = 0.5
LB_KG = 0.45359237
NAME = "load"
CRAFT = "common practice, weak sources"
CAUTIONS = (
    "These are sums, not medical advice. Anyone with neck, back, shoulder or heart trouble, who is pregnant, or who is "
    "still growing: ask a doctor or physiotherapist before rehearsing with the load.",
    "Whatever the sums say, put it down at the first pain, numbness or shaking; the person in it decides, and nobody argues.",
    "Hang twice the weight on hook, plate, straps and stitching for ten minutes before a person wears them (common "
    "practice, no source).",
)


def section(bench: Bench) -> Section:
    """Masses, balance and endurance. Raises FileError for masses and straps that belong to nothing."""
    parts = masses(bench)
    sheet = bench.sheet
    items: list[Item] = []
    assumed: list[str] = []
    if not parts:
        items.append(
            Item("parts", "not known", "Load is not known: the scene has no prop, puppet, limb, rig or costume.")
        )
    else:
        items += _mass_items(parts)
    if sheet is None:
        items.append(Item("share", "not known", "The load on a body is not known: the scene has no performer."))
        return Section(NAME, items, list(CAUTIONS) if parts else [])
    if parts:
        items += _share_items(bench, parts)
        items += hanging_items(bench, parts)
    items += _arm_items(bench, raised(bench, parts))
    items += standing_items(bench, parts)
    if sheet.sources.get("mass_kg") != "measured":
        assumed.append(
            f"The performer's mass of {sheet.mass_kg:.0f} kg is estimated; weigh and write performer: {{mass: ...}}."
        )
    assumed += [
        f"The mass of '{part.name}' is {part.how.removeprefix('assumed: ')}." for part in parts if not part.given
    ]
    if sheet.child:
        items.append(
            Item("child", "warn", "The performer is a child: strength, endurance and load shares here are of adults and "
                 "do not hold; a child carries no rig without a parent's and a professional's word.")
        )  # fmt: skip
    left_out = [
        "glue, paint, wire and batteries; the arm resting on the opening's edge; friction of straps and plate",
        "loads while walking, on stairs or when somebody pulls; fatigue that adds up over a day",
    ]
    return Section(NAME, items, list(CAUTIONS), assumed, left_out)


def _mass_items(parts: list[Weighed]) -> list[Item]:
    total = sum(part.mass_kg for part in parts)
    items = [
        Item(f"mass.{part.name}", "told" if part.given else "warn", f"{part.name} ({part.part}): {kilograms(part.mass_kg)}"
             + (", given." if part.given else ", estimated; weigh it."), part.mass_kg, "kg", part.how)
        for part in parts
    ]  # fmt: skip
    guessed = sum(part.mass_kg for part in parts if not part.given)
    state: State = "told" if guessed <= 0.1 * total else "warn"
    said = f"All together: {kilograms(total)}, of which {guessed / total * 100:.0f} % is estimated."
    items.append(Item("total", state, said, total, "kg"))
    for part in parts:
        if part.part == "puppet":
            good = part.mass_kg <= PUPPET_AIM_KG
            state = "warn" if part.mass_kg > PUPPET_AIM_KG else "yes" if part.given else "not known"
            said = (
                f"{part.name} weighs {part.mass_kg:.2f} kg on the raised hand; aim for {PUPPET_AIM_KG:g} "
                f"kg, at most {PUPPET_MOST_KG:g} kg."
            )
            items.append(Item("puppet", "no" if part.mass_kg > PUPPET_MOST_KG else state, said, part.mass_kg, "kg",
                              "from memory" if good else "from memory; even a few ounces matter"))  # fmt: skip
    return items


def _share_items(bench: Bench, parts: list[Weighed]) -> list[Item]:
    sheet = bench.sheet
    assert sheet is not None
    total = sum(part.mass_kg for part in parts)
    share = total / sheet.mass_kg
    state: State = "yes" if share <= GOOD_SHARE else "warn" if share <= MOST_SHARE else "no"
    said = (
        f"The load is {share * 100:.1f} % of the performer's {sheet.mass_kg:.0f} kg; keep it to "
        f"{GOOD_SHARE * 100:.0f} %, and not over {MOST_SHARE * 100:.0f} %."
    )
    items = [Item("share", state, said, share, "of body mass", CRAFT)]
    if share > 1.0:
        said = f"The load of {total:.0f} kg is more than the performer: a mass is surely wrong; look for grams taken for kilograms."
        items.append(Item("absurd", "warn", said, total, "kg"))
    elif share > SOLDIER_SHARE:
        said = f"More than {SOLDIER_SHARE * 100:.0f} % of body mass takes away the agility even of fit, trained adults."
        items.append(Item("agility", "warn", said, share, "of body mass", "ADP 3-90; FM 3-21.8 para 7-20"))
    at = middle_of_all([(part.mass_kg, part.middle_m) for part in parts])
    x, y, z = (float(v) for v in at)
    side = "to the performer's left" if x >= 0 else "to the performer's right"
    way = "ahead of" if y <= 0 else "behind"
    said = (
        f"The load's middle is {abs(y) * 100:.0f} cm ({feet(abs(y))}) {way} the mark, {abs(x) * 100:.0f} cm "
        f"({feet(abs(x))}) {side} and {z:.2f} m ({feet(z)}) up."
    )
    return [*items, Item("middle", "told", said, [x, y, z], "m")]


def _arm_items(bench: Bench, poses: list[Raised]) -> list[Item]:
    sheet = bench.sheet
    assert sheet is not None
    straight = straight_arm_nm(sheet)
    apart = straight[TOTAL] / straight[THREE] - 1
    rows = "; ".join(f"{value:.2f} N m ({name})" for name, value in straight.items())
    items = [
        Item("straight arm", "told", f"The bare arm straight out and level weighs on its shoulder with {rows}: the published "
             f"rows of one source lie {apart * 100:.0f} % apart.", straight[TOTAL], "N m",
             "Dempster in Winter, Table 4.1; de Leva 1996"),
        Item("level forearm", "told", f"The bare forearm level weighs on its elbow with {level_forearm_nm(sheet):.2f} N m, and each "
             f"kilogram at the wrist adds {level_forearm_nm(sheet, 1.0) - level_forearm_nm(sheet):.2f} N m.",
             level_forearm_nm(sheet), "N m", "Dempster in Winter, Table 4.1"),
    ]  # fmt: skip
    if not poses:
        return [
            *items,
            Item("moment", "not known", "The load on a raised arm is not known: the scene has no hidden arm."),
        ]
    rest = max((p for p in poses if p.move == "rest"), key=lambda p: p.most_nm)
    worst = max(poses, key=lambda p: p.most_nm)
    said = (
        f"At rest the hidden arm with what it holds weighs on its shoulder with {rest.least_nm:.1f} to {rest.most_nm:.1f} N m "
        f"by the model; at worst with {worst.most_nm:.1f} N m ({worst.name})."
    )
    items.append(Item("moment", "told", said, rest.most_nm, "N m", "Dempster in Winter; de Leva 1996"))
    items.append(
        Item("moment worst", "told", f"The heaviest pose on the shoulder is '{worst.name}'.", worst.most_nm, "N m")
    )
    raise_deg = max(p.raised_deg for p in poses if p.move == "rest")
    state: State = "yes" if raise_deg <= RAISE_GOOD_DEG else "warn" if raise_deg <= RAISE_BRIEF_DEG else "no"
    words = {
        "yes": "good to hold",
        "warn": "only when it is supported, or for a short while",
        "no": "not to be held still",
    }
    said = f"At rest the upper arm is raised {raise_deg:.0f} deg from hanging: {words[state]}."
    items.append(Item("raise", state, said, raise_deg, "deg", "EN 1005-4 bands, second-hand"))
    return items + _endurance_items(bench, rest)


def _endurance_items(bench: Bench, rest: Raised) -> list[Item]:
    sheet = bench.sheet
    assert sheet is not None
    answer = bench.scene.load.arm_strength
    if answer is not None:
        low = high = strength_held_nm(sheet, answer.holds, answer.at)
        source = "the scene's own test of the arm"
    else:
        low, high, source = strength_nm(sheet)
    share, light = rest.most_nm / low, rest.least_nm / high
    torque = f"{high:.0f} N m" if f"{low:.0f}" == f"{high:.0f}" else f"{low:.0f} to {high:.0f} N m"
    said = f"That is {light * 100:.0f} to {share * 100:.0f} % of what this shoulder can do for a moment ({torque})."
    if answer is None:
        said += " Test it: load: {arm strength: {holds: 4 kg, at: 50 cm}}."
    state: State = "told" if answer else "not known"
    items = [Item("strength share", "no" if share > 1 else state, said, share, "of strength", source)]
    if share > 1:
        items.append(Item("endurance", "no", "The arm cannot hold this up at all, by the weaker strength.", 0.0, "s"))
    else:
        heavy, ease = curves_s(share), curves_s(max(light, LEAST_MEASURED))
        lists = "; ".join(f"{minutes(heavy[name])} to {minutes(ease[name])} ({name})" for name in heavy)
        forever = (
            f" Rohmert took less than {ROHMERT_FOREVER * 100:.0f} % to be held for ever; for the "
            "shoulder that is refuted (Garg et al.)."
        )
        said = f"Held quite still until it drops, the curves disagree: {lists}." + (
            forever if light < ROHMERT_FOREVER else ""
        )
        shortest = min(heavy.values())
        items.append(
            Item("endurance", "told", said, shortest, "s", "Rohmert 1960; Frey Law & Avin 2010; Ma et al. 2011")
        )
        hold = HOLD_SHARE * shortest
        said = (
            f"Plan no single still hold of the raised arm longer than {minutes(hold)}: half of the "
            "shortest curve; lower or rest it between."
        )
        items.append(Item("hold", "told", said, hold, "s", "our margin, no source"))
    said = "Run and rest: 20 min on and 20 min off, or 30 and 30; the walk to the pitch counts as on. Shorter where the raised arm says so."
    items.append(Item("run and rest", "told", said, None, None, "common practice, no source"))
    return items


def kilograms(kg: float) -> str:
    """`2.10 kg (4.6 lb)`; `22 g (0.8 oz)` where that says more."""
    if kg < 0.1:
        return f"{kg * 1000:.0f} g ({kg / LB_KG * 16:.1f} oz)"
    return f"{kg:.2f} kg ({kg / LB_KG:.1f} lb)"


def minutes(time_s: float) -> str:
    """`45 s`, `3 min 20 s`, `2 h 10 min`, to what such curves are good for."""
    if time_s < 90:
        return f"{time_s:.0f} s"
    if time_s < 1200:
        return f"{int(time_s // 60)} min {int(time_s % 60 // 10 * 10)} s"
    if time_s < 7200:
        return f"{time_s / 60:.0f} min"
    return "more than 2 h"
