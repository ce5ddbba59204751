"""How an act travels: packed parts with masses, what comes apart, and whether they go into a case, a car, a door."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sightline.errors import FileError, Problem
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.props.puppet import puppet_mesh
from sightline.scene.travel import Travel
from sightline.workshop.bench import Bench
from sightline.workshop.load import kilograms
from sightline.workshop.masses import masses
from sightline.workshop.packing import Packed, Size, goes_into, pack, through_door

# A case's own wall and fittings on each side, where only its inside is said. Common practice, no source.
CASE_WALL_M = 0.010
# Cloth round what is packed, in all, of parts that are guessed. Common practice, no source.
WRAP_M = 0.010
# Nobody should lift more than this alone at waist height: HSE manual handling guide figures (men 25 kg, women 16 kg at
# the waist, close to the body), from memory; the lower is taken.
LIFT_KG = 16.0


@dataclass(frozen=True)
class TravelItem:
    """One thing as packed. `size_m` largest side first, None where nobody has written the size of a soft thing.

    `given`: the scene wrote it; else it is guessed from the scene's own parts. `inside` another item's name.
    """

    name: str
    size_m: Size | None
    mass_kg: float | None
    given: bool
    inside: str | None = None
    comes_off: str | None = None


@dataclass(frozen=True)
class Fit:
    """Whether all of it goes somewhere. `answer` is fits, does not fit, no way found, or not known."""

    where: str
    inside_m: tuple[float, ...]
    answer: str
    words: str
    packed: Packed | None = None


@dataclass(frozen=True)
class Trip:
    """Everything the travel sheet says. `unsized` are the soft things without a packed size."""

    items: tuple[TravelItem, ...]
    fits: tuple[Fit, ...]
    unsized: tuple[str, ...]
    said: Travel
    notes: tuple[str, ...]

    @property
    def mass_kg(self) -> float:
        return sum(item.mass_kg or 0.0 for item in self.items) + (self.said.case_mass or 0.0)


def trip_of(bench: Bench) -> Trip:
    """How the act of a scene travels. Raises FileError for parts of one name, or inside one that is not there."""
    said = bench.scene.travel
    items = tuple(_given(bench) if said.parts else _guessed(bench))
    unsized = tuple(item.name for item in items if item.size_m is None and item.inside is None)
    notes = []
    if not said.parts:
        notes.append(
            "The scene writes no packed parts: sizes are those of its own parts with a cloth round them, one piece each. "
            "Measure and write them: travel: {parts: [{name: crate, size: 46 x 32 x 30 cm, mass: 2.1 kg}]}."
        )
    return Trip(items, tuple(_fits(said, items, unsized)), unsized, said, tuple(notes))


def _given(bench: Bench) -> Iterator[TravelItem]:
    parts, problems = bench.scene.travel.parts, list[Problem]()
    names = [part.name for part in parts]
    weighed = {part.name: part.mass_kg for part in masses(bench)} if bench.body is not None else {}
    for i, part in enumerate(parts):
        path = ("travel", "parts", i)
        if names.index(part.name) != i:
            problems += bench.written.problem((*path, "name"), f"Two parts are named '{part.name}'.").problems
        if part.inside is None:
            continue
        into = next((p for p in parts if p.name == part.inside and p is not part), None)
        if into is None:
            known = ", ".join(n for n in names if n != part.name) or "none"
            said = f"There is no other part '{part.inside}' to travel in; there are: {known}."
            problems += bench.written.problem((*path, "inside"), said).problems
        elif into.inside is not None:
            said = f"'{part.inside}' itself travels in '{into.inside}'; write only the outermost."
            problems += bench.written.problem((*path, "inside"), said).problems
    if problems:
        raise FileError(problems)
    for part in parts:
        mass = part.mass if part.mass is not None else weighed.get(part.name)
        yield TravelItem(part.name, _sorted(part.size), mass, True, part.inside, part.comes_off)


def _sorted(size: Size) -> Size:
    a, b, c = sorted(size, reverse=True)
    return a, b, c


def _guessed(bench: Bench) -> Iterator[TravelItem]:
    """The scene's own parts: stiff ones by the box round them as built, soft ones without a size."""
    if bench.body is None:
        return
    scene = bench.scene
    meshes = {cover.name: cover.mesh for cover in bench.staged.act.covers}
    for part in masses(bench):
        if part.part == "prop" and bench.carried is not None:
            wide, deep, high = (float(v) + WRAP_M for v in bench.carried.size_m)
            yield TravelItem(part.name, _sorted((wide, deep, high)), part.mass_kg, False)
        elif part.part == "false limb":
            yield TravelItem(
                part.name, box_round(meshes[part.name], WRAP_M), part.mass_kg, False,
                comes_off="two screws at the hand, the breakaway at the shoulder",
            )  # fmt: skip
        elif part.part == "puppet" and scene.puppet is not None:
            mesh = puppet_mesh(scene.puppet.form, scene.puppet.height)
            if scene.puppet.mesh is not None:
                mesh = bench.written.mesh(scene.puppet.mesh)
            size = box_round(mesh, WRAP_M)
            roomy = bench.box is not None and bench.box.top == "open"
            into = bench.prop.name if roomy and bench.prop and _goes_in_box(size, bench) else None
            yield TravelItem(part.name, size, part.mass_kg, False, into, "off the hand")
        else:
            yield TravelItem(part.name, None, part.mass_kg, False, None, "off the performer, folded or rolled")


def _goes_in_box(size: Size, bench: Bench) -> bool:
    box = bench.box
    assert box is not None
    return goes_into(size, (box.width - 2 * box.wall, box.depth - 2 * box.wall, box.height - box.wall))


def box_round(mesh: Mesh, more_m: float = 0.0) -> Size:
    """The sides, largest first, of a close box round a stiff thing, turned along its own long way; `more_m` on each.

    Not the least box there is: along the principal axes of its points, then the narrowest turn about the longest, by
    degrees.
    """
    points = mesh.vertices - mesh.vertices.mean(axis=0)
    _, _, axes = np.linalg.svd(points, full_matrices=False)
    flat = points @ axes.T
    best: tuple[float, FloatArray] | None = None
    for turn in np.radians(np.arange(0.0, 90.0)):
        c, s = float(np.cos(turn)), float(np.sin(turn))
        across = flat[:, 1:] @ np.array([[c, -s], [s, c]])
        spans = np.ptp(across, axis=0)
        if best is None or float(spans.prod()) < best[0] - 1e-12:
            best = float(spans.prod()), spans
    assert best is not None
    long = float(np.ptp(flat[:, 0]))
    return _sorted((long + more_m, float(best[1][0]) + more_m, float(best[1][1]) + more_m))


def _fits(said: Travel, items: tuple[TravelItem, ...], unsized: tuple[str, ...]) -> Iterator[Fit]:
    nested = _nested(items)
    if nested is not None:
        yield nested
    loose = [(item.name, item.size_m) for item in items if item.inside is None and item.size_m is not None]
    outside = None
    if said.case is not None:
        found = pack(loose, said.case)
        yield _fit("case", said.case, found, unsized)
        a, b, c = (side + 2 * CASE_WALL_M for side in said.case)
        outside = (a, b, c)
    if said.car is not None:
        goes = [("case", outside)] if outside else loose
        yield _fit(
            "car", said.car, pack(goes, said.car), () if outside else unsized, "The case" if outside else "All of it"
        )
    if said.door is not None:
        yield _door(said.door, [("case", outside)] if outside else loose, () if outside else unsized)


def _nested(items: tuple[TravelItem, ...]) -> Fit | None:
    """What travels in another part, against that part's outside less nothing: its walls are not known here."""
    for whole in items:
        inner = [(item.name, item.size_m) for item in items if item.inside == whole.name and item.size_m is not None]
        if inner and whole.size_m is not None:
            found = pack(inner, whole.size_m)
            if found.answer != "fits":
                return _fit(whole.name, whole.size_m, found, ())
    return None


def _fit(
    where: str, inside: tuple[float, ...], found: Packed, unsized: tuple[str, ...], what: str = "All of it"
) -> Fit:
    from sightline.blocking.notation import inches

    size = " x ".join(f"{side * 100:.0f}" for side in inside) + " cm"
    size += f" ({' x '.join(inches(side, 1) for side in inside)})"
    name = {"case": "the case", "car": "the car"}.get(where, f"'{where}'")
    if found.answer == "fits" and unsized:
        words = (
            f"What is stiff goes into {name}, {size}; whether the soft things do is not known: {', '.join(unsized)}."
        )
        return Fit(where, inside, "not known", words, found)
    if found.answer == "fits":
        return Fit(where, inside, "fits", f"{what} goes into {name}, {size}.", found)
    if found.answer == "does not fit":
        return Fit(where, inside, "does not fit", f"{what} does not go into {name}, {size}: {_down(found.why)}", found)
    return Fit(
        where,
        inside,
        "no way found",
        f"For {_down(what)} no way into {name}, {size}, was found: {_down(found.why)}",
        found,
    )


def _down(text: str) -> str:
    return text[:1].lower() + text[1:]


def _door(door: tuple[float, float], goes: list[tuple[str, Size]], unsized: tuple[str, ...]) -> Fit:
    from sightline.blocking.notation import distance

    size = f"{distance(door[0])} wide and {distance(door[1])} high"
    stuck = [name for name, side in goes if through_door(side, door) is None]
    if stuck:
        words = f"Not through the door, {size}: {', '.join(stuck)}, whichever way round."
        return Fit("door", door, "does not fit", words)
    turned = [name for name, side in goes if _turns(side, door)]
    words = f"Everything goes through the door, {size}" + (
        f"; turned in the frame: {', '.join(turned)}" if turned else ""
    )
    words += "; hands and corners want a few centimetres more. How it is worn and walked through is in sightline fit."
    return Fit("door", door, "fits", words if goes else "Nothing stiff has to go through the door.")


def _turns(size: Size, door: tuple[float, float]) -> bool:
    face = through_door(size, door)
    return face is not None and face[0] > max(door)


def battery_words(said: str | None) -> list[str]:
    """What the sheet says of batteries; what carriers allow changes, so nothing of it is claimed here."""
    if said is not None and said.casefold().strip(" .") in ("none", "no"):
        return ["There is no battery."]
    first = (
        f"Battery: {said.rstrip('.')}."
        if said
        else "Whether there is a battery is not written (travel: {battery: none}, or its kind, volts and watt-hours)."
    )
    return [
        first,
        "Ask the airline or carrier in writing before you book what of it may travel, where (hold or cabin), how many "
        "spares, and at what charge; their rules differ and change, and this sheet does not know them.",
        "For the way: switched off and locked off, terminals covered, spares each in a bag of its own, the maker's label "
        "with the watt-hours legible.",
    ]


def mass_words(trip: Trip) -> list[str]:
    unknown = [item.name for item in trip.items if item.mass_kg is None]
    lines = [
        f"All together {kilograms(trip.mass_kg)}"
        + (", the case included." if trip.said.case_mass else ", without a case.")
    ]
    if unknown:
        lines.append(f"Not weighed, and not in this sum: {', '.join(unknown)}.")
    if trip.mass_kg > LIFT_KG:
        lines.append(
            f"More than {LIFT_KG:.0f} kg: two people lift it (HSE guide figure for women at the waist, from memory; less "
            "when reaching, stooping or on stairs)."
        )
    return lines
