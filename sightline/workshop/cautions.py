"""The section of cautions for the wearer: what rubs, presses, heats or irritates. It sets no medical limits."""

from __future__ import annotations

import numpy as np

from sightline.blocking.notation import feet
from sightline.props.box import outline, wall_of
from sightline.workshop.bench import Bench
from sightline.workshop.bodyspots import armpit, collarbone, distance_m
from sightline.workshop.masses import masses
from sightline.workshop.materials import NICKEL
from sightline.workshop.section import Item, Section

# A strap this near presses there. Common practice, no source.
STRAP_NEAR_M = 0.04
# Flesh nearer than this to the rim rubs on it. Common practice, no source.
RIM_NEAR_M = 0.01
EDGE_RADIUS_M, PADDING_M = 0.003, 0.010
NAME = "wearer cautions"
ASKED = ("latex", "nickel", "adhesive", "dye")
CAUTIONS = (
    "Pins and needles, numbness, a cold or white hand, or a headache: stop now, arm out, rig off. It is not to be played through. "
    "If it does not pass in a few minutes, see a doctor.",
    "Heat: costume and box keep it in. Plan air to the face and through the box, a fan or an open back off stage, shade on the way, and "
    "someone who looks at the performer's colour and speech. Dizzy, sick or no longer sweating: "
    "out of everything, cool them, call for medical help.",
    "Water without hands: a tube or a straw held by the handler, before thirst and at every rest; both hands are busy and cannot fetch it.",
    "Lamps and batteries in the box: low-voltage LEDs only, nothing that is too hot to hold, a fuse, a switch the hidden hand can find, "
    "batteries in a closed case away from skin and cloth, none that is swollen or damaged; never charged while worn.",
    "Between wearers: wash or change what touches skin, wipe the opening's rim, straps and puppet's inside, and let foam dry through; "
    "no shared gloves, and nobody with a skin or eye infection wears it.",
    "Solvent glue and paint: only with ventilation that takes the fumes away, and aired until nothing smells before a person puts it on.",
    "No figure here is a medical limit. For health, skin, pregnancy and long runs ask a doctor, physiotherapist or occupational "
    "health professional.",
)


def section(bench: Bench) -> Section:
    """What is drawn that may hurt, then what holds for every act."""
    items = [*_straps(bench), *_rim(bench), *_allergies(bench)]
    if bench.body is None:
        items.append(Item("wearer", "not known", "What the wearer must mind is not known: the scene has no performer."))
        return Section(NAME, items)
    return Section(NAME, items, list(CAUTIONS), [], ["skin, circulation and heat of the wearer"])


def _straps(bench: Bench) -> list[Item]:
    body = bench.body
    if body is None:
        return []
    out = []
    meshes = {secret.name: secret.mesh for secret in bench.staged.act.secrets if secret.kind == "rig"}
    for strap in (part.strap for part in bench.scene.rig if part.strap is not None):
        mesh = meshes[strap.name]
        for side in ("left", "right"):
            inner, tip = collarbone(body, side)
            steps = inner + np.linspace(0.15, 1.0, 18)[:, None] * (tip - inner)
            if distance_m(mesh, steps) < STRAP_NEAR_M:
                said = (
                    f"'{strap.name}' crosses the {side} collarbone: pad it there, {strap.width * 1000:.0f} "
                    f"mm ({feet(strap.width, 8)}) wide or more, and lead it over the muscle."
                )
                out.append(
                    Item(
                        f"{strap.name} {side} collarbone", "warn", said, strap.width, "m", "common practice, no source"
                    )
                )
            near = distance_m(mesh, armpit(body, side)[None])
            if near < STRAP_NEAR_M:
                said = (
                    f"'{strap.name}' runs {near * 100:.0f} cm ({feet(near)}) from the {side} armpit, "
                    "where nerves and vessels lie near the skin: lead it elsewhere."
                )
                out.append(Item(f"{strap.name} {side} armpit", "warn", said, near, "m", "common practice, no source"))
    return out


def _rim(bench: Bench) -> list[Item]:
    """The opening's edge against the arm in every pose."""
    found, carried, box = bench.arm_opening, bench.carried, bench.box
    if found is None or carried is None or box is None or not bench.hidden:
        return []
    opening = found[1]
    wall = wall_of(carried.size_m, opening.wall)
    rim = np.asarray(outline(opening).to_polygons()[0], dtype=float)
    flat = wall.point(*opening.at, -box.wall / 2) + rim[:, :1] * wall.across + rim[:, 1:] * wall.up
    at = carried.placement.points(flat)
    nearest = {pose.name: distance_m(pose.arm, at) for pose in bench.hidden}
    pose = min(bench.hidden, key=lambda p: nearest[p.name])
    near = nearest[pose.name]
    across = carried.placement.directions(wall.outward)
    plane = carried.placement.points(wall.point(*opening.at))
    upper = any((p.elbow - plane) @ across < 0 for p in bench.hidden)
    where = "inner upper arm" if upper else "forearm"
    edge = (
        f"round the opening's edge to a radius of at least {EDGE_RADIUS_M * 1000:.0f} mm ({feet(EDGE_RADIUS_M, 16)}) and pad it with "
        f"{PADDING_M * 1000:.0f} mm ({feet(PADDING_M, 8)}) of closed foam, covered; the wall "
        f"of {box.wall * 1000:.0f} mm is a knife without it"
    )
    said = f"The opening's edge comes within {near * 1000:.0f} mm ({feet(near, 8)}) of the arm ({pose.name}), at the {where}: {edge}."
    if upper:
        said += " Nerves lie near the skin inside the upper arm and the elbow: let no weight rest there."
    return [
        Item(
            "opening edge",
            "warn" if near < RIM_NEAR_M or upper else "told",
            said,
            near,
            "m",
            "common practice, no source",
        )
    ]


def _allergies(bench: Bench) -> list[Item]:
    performer = bench.scene.performer
    if performer is None:
        return []
    holds: dict[str, list[str]] = {}
    for part in masses(bench):
        for substance in part.material.may_hold if part.material else ():
            holds.setdefault(substance, []).append(part.name)
    if performer.allergies is None:
        there = "; ".join(f"{name}: {', '.join(parts)}" for name, parts in holds.items()) or "none known"
        said = (
            f"Whether the performer bears {', '.join(ASKED)} on the skin is not known: ask, and "
            f"write performer: {{allergies: []}} or what they are. In the parts may be {there}."
        )
        return [Item("allergies", "not known", said)]
    if not performer.allergies:
        return [Item("allergies", "told", "The performer says they have no allergies; ask again at each fitting.")]
    out = []
    for said_name in performer.allergies:
        name = said_name.strip().casefold()
        meant = [substance for substance in holds if substance in name or name in substance]
        parts = list(dict.fromkeys(part for substance in meant for part in holds[substance]))
        if parts:
            said = f"Allergic to {said_name}: it may be in {', '.join(parts)}. Ask the maker of the material, line it, or take another."
            out.append(Item(f"allergy {name}", "warn", said, parts, None, "materials table, from memory"))
        else:
            also = " Buckles, zips and press studs often hold it." if name == NICKEL else ""
            said = f"Allergic to {said_name}: nothing weighed here is known to hold it, which is no proof; read every label.{also}"
            out.append(Item(f"allergy {name}", "not known", said, None, None, "materials table, from memory"))
    return out
