"""Everything that may be off on the night, as single variations of a scene: what `check --robust` tries."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from sightline.blocking.makingerrors import build_errors, cloth_drawn_back
from sightline.blocking.nudges import UNIT, Nudge, measured_range, nudged
from sightline.blocking.variation import ALLOWANCES, Variation, either_way
from sightline.errors import FileError
from sightline.figure.tables import ANSUR, ANSUR_ON_STATURE, Sex
from sightline.scene.blocking import Stray
from sightline.scene.document import KeyPath, path_words
from sightline.scene.reading import Written, retold, soft_values
from sightline.scene.scene import Scene
from sightline.staging.stage import Staged
from sightline.units import say_length

BEARINGS = 8
# Weight over what goes with stature: about 0.15 of the mean to one standard deviation (ANSUR II: 0.166 of all men,
# 0.162 of all women; the share that goes with stature from memory).
MASS_SHARE = 0.15
# Where only "unknown" is said, the usual value is tried so much more and less. Common practice, no source.
UNKNOWN_SHARE = 0.10
SAID = {
    "shoulder height": "shoulder height",
    "shoulder elbow": "upper arm (shoulder to elbow)",
    "elbow wrist": "forearm (elbow to wrist)",
}
TAPE = "Measure it with a tape and write it in the scene without a range"


def variations(written: Written[Scene], staged: Staged) -> list[Variation]:
    """Every variation of a scene within its allowances, but for those of several things at once.

    What may be off by more than is usual is also tried as far as is usual: farther off may hide again.
    """
    found = [
        *(_off(usual, staged) if (usual := _as_usual(written)) else ()), *_off(written, staged),
        *_ranges(written), *_back_light(written, staged),
    ]  # fmt: skip
    kept = [v for v in found if v.bare or any(v.stray) or any(n.by or n.to is not None for n in v.nudges)]
    return list({(v.allowance, v.words): v for v in kept}.values())


def _off(written: Written[Scene], staged: Staged) -> Iterator[Variation]:
    yield from _strays(written, staged)
    yield from _body(written, staged)
    yield from _late(written)
    yield from cloth_drawn_back(written, staged)
    yield from build_errors(written, staged)


def _as_usual(written: Written[Scene]) -> Written[Scene] | None:
    """The scene with no allowance larger than the usual one; None where none is."""
    scene, usual = written.model, Stray()
    stray = scene.blocking.stray
    less = stray.model_copy(
        update={"distance": min(stray.distance, usual.distance), "turn": min(stray.turn, usual.turn)}
    )
    allowances = scene.allowances.no_more_than_usual
    if less == stray and allowances == scene.allowances:
        return None
    blocking = scene.blocking.model_copy(update={"stray": less})
    return replace(written, model=scene.model_copy(update={"allowances": allowances, "blocking": blocking}))


def allowed_words(written: Written[Scene]) -> dict[str, str]:
    """Each allowance by name, in words with its size."""
    allowed, stray = written.model.allowances, written.model.blocking.stray
    sizes = {
        "stray": f"{say_length(stray.distance)}, {math.degrees(stray.turn):.0f} deg",
        "body": f"stature {say_length(allowed.stature)}; what nobody measured {allowed.body:g} standard deviations",
        "late": f"the prop {say_length(allowed.lower)} lower, tipped forward {math.degrees(allowed.tilt):.0f} deg",
        "cloth": say_length(allowed.cloth),
        "build": say_length(allowed.build),
    }
    return {name: f"{says} ({sizes[name]})" if name in sizes else says for name, says in ALLOWANCES.items()}


def untried(written: Written[Scene], staged: Staged) -> list[str]:
    """What of the allowances does not apply or cannot be tried here, in sentences."""
    scene, out = written.model, []
    allowed = scene.allowances
    nothing = [key for key in type(allowed).model_fields if not getattr(allowed, key)]
    if nothing:
        out.append(f"Allowed for by nothing, as the scene says (allowances): {', '.join(nothing)}.")
    if not staged.has_performer:
        out.append("Nobody performs here: nothing strays and no body size is uncertain.")
    elif not staged.goes_along:
        out.append("Something secret or to be seen stays where it is when the performer moves: straying was not tried.")
    if scene.prop is None:
        out.append("Nothing is carried that could sink or tip late in the set.")
    if scene.performer is not None and staged.act.body is not None and staged.act.body.sheet.child:
        out.append("No spread of children's sizes is at hand: that of adults was taken, as a share of the size.")
    imported = [piece.mesh.name for piece in scene.costume if piece.mesh is not None]
    imported += [cover.name for cover in scene.covers if cover.mesh is not None]
    if imported:
        out.append(
            f"Imported from files, so that their edges were not drawn back nor cut small: {', '.join(imported)}."
        )
    if _thin(written) and not staged.house.lamps:
        out.append("No lamp is drawn: whether light comes through thin cloth was not tried.")
    return out


def _strays(written: Written[Scene], staged: Staged) -> Iterator[Variation]:
    stray = written.model.blocking.stray
    if not (staged.has_performer and staged.goes_along):
        return
    measure = "Tape the mark, run the act five times, and measure each time how far off mark and facing it ended"
    turns = (0.0, stray.turn, -stray.turn) if stray.turn else (0.0,)
    for k in range(BEARINGS + 1 if stray.distance else 1):
        bearing = math.tau * k / BEARINGS
        reach = stray.distance if k < BEARINGS and stray.distance else 0.0
        dx, dy = reach * math.sin(bearing), -reach * math.cos(bearing)
        for turn in turns:
            yield Variation("stray", "stray", _stray_words(dx, dy, turn), measure, stray=(dx, dy, turn))


def _stray_words(dx: float, dy: float, turn: float) -> str:
    parts = []
    if abs(dx) > 1e-6:
        parts.append(f"{say_length(abs(dx))} to stage {'left' if dx > 0 else 'right'}")
    if abs(dy) > 1e-6:
        parts.append(f"{say_length(abs(dy))} {'upstage' if dy > 0 else 'downstage'}")
    if turn:
        parts.append(f"turned {abs(math.degrees(turn)):.0f} deg to the performer's {'left' if turn > 0 else 'right'}")
    return "off the mark: " + ", ".join(parts)


def _body(written: Written[Scene], staged: Staged) -> Iterator[Variation]:
    """Stature as the tape may be off, and sizes that nobody measured by their spread among people of that stature."""
    performer, body, allowed = written.model.performer, staged.act.body, written.model.allowances
    if performer is None or body is None or performer.mesh is not None:
        return
    sheet = body.sheet
    if performer.stature is not None and "height" not in performer.measured:
        said = f"stature {say_length(allowed.stature)} {{way}}"
        nudge = Nudge(("performer", "stature"), allowed.stature)
        yield from either_way(
            "body", "stature", said, "Measure the performer's stature, barefoot against a wall", nudge
        )
    sexes: list[Sex] = [sheet.sex] if sheet.sex else ["female", "male"]
    rest = {
        "shoulder height": max(ANSUR_ON_STATURE[s]["acromialheight"].residual_sd_m for s in sexes),
        "shoulder elbow": max(ANSUR_ON_STATURE[s]["shoulderelbowlength"].residual_sd_m for s in sexes),
        # Of forearm and hand together: nearer the whole than the forearm's own, and so on the larger side.
        "elbow wrist": max(ANSUR_ON_STATURE[s]["forearmhandlength"].residual_sd_m for s in sexes),
    }
    now = {
        "shoulder height": sheet.shoulder_height_m,
        "shoulder elbow": sheet.upper_arm_m,
        "elbow wrist": sheet.forearm_m,
    }
    small = min(1.0, sheet.stature_m / ANSUR["female"]["stature"].mean) if sheet.child else 1.0
    taken = {key.replace("_", " ") for key in performer.measured}
    for key, sd in rest.items():
        if key not in taken:
            nudge = Nudge(("performer", "measured", key), allowed.body * sd * small, base=now[key])
            said = f"{SAID[key]} {say_length(nudge.by)} {{way}} than estimated"
            measure = f"Measure the performer's {SAID[key]}; sightline body prints how"
            yield from either_way("body", key, said, measure, nudge)
    if performer.mass is None:
        nudge = Nudge(("performer", "mass"), allowed.body * MASS_SHARE * sheet.mass_kg, kind="mass", base=sheet.mass_kg)
        said = f"the body {nudge.by:.0f} kg {{way}} than estimated, with its girths"
        yield from either_way("body", "mass", said, "Weigh the performer, or measure chest, waist and biceps", nudge)


def _late(written: Written[Scene]) -> Iterator[Variation]:
    prop, allowed = written.model.prop, written.model.allowances
    if prop is None:
        return
    measure = "Film the last minutes of a full run from the side and measure how far the prop has sunk and tipped"
    at: KeyPath = ("prop", "at")
    if prop.at.front_edge is not None:
        depth = prop.box.depth if prop.box else 0.0
        drop = depth * math.sin(allowed.tilt) / 2
        lower: tuple[Nudge, ...] = tuple(Nudge((*at, key), -allowed.lower) for key in ("front edge", "back edge"))
        tip: tuple[Nudge, ...] = (Nudge((*at, "front edge"), -drop), Nudge((*at, "back edge"), drop))
    else:
        lower = (Nudge((*at, "up"), -allowed.lower),)
        tip = (Nudge((*at, "tilt"), allowed.tilt, kind="angle", base=0.0),)
    sunk, tipped = f"the prop {say_length(allowed.lower)} lower", f"tipped forward {math.degrees(allowed.tilt):.0f} deg"
    if allowed.lower:
        yield Variation("late", "late", sunk, measure, lower)
    if allowed.tilt:
        yield Variation("late", "late", f"the prop {tipped}", measure, tip)
    if allowed.lower and allowed.tilt:
        yield Variation("late", "late", f"{sunk} and {tipped}", measure, lower + tip)


def _ranges(written: Written[Scene]) -> Iterator[Variation]:
    """What the scene itself says as a range, an `about` or `unknown`."""
    for path, text in soft_values(written.document.tree):
        where = path_words(path)
        found = measured_range(text)
        if found is not None:
            kind, low, high = found
            for value, end in ((low, "low"), (high, "high")):
                nudge = Nudge(path, to=value, kind=kind)
                yield Variation("ranges", where, f"{where} at the {end} end of '{text}'", f"{TAPE}: {where}", (nudge,))
            continue
        usual = _usual(written.model, path)
        for kind in UNIT if usual is not None else ():
            nudge = Nudge(path, UNKNOWN_SHARE * abs(usual or 0.0), kind=kind, base=usual or 0.0)
            if _reads(written, nudge):
                said = f"{where}, which is unknown, {UNKNOWN_SHARE:.0%} {{way}} than usual"
                yield from either_way("ranges", where, said, f"{TAPE}: {where}", nudge)
                break


def _usual(model: Any, path: KeyPath) -> float | None:
    """The value that stands in the checked scene for an `unknown` of the file."""
    at = model
    for step in path:
        if isinstance(step, str) and hasattr(type(at), "model_fields"):
            names = {info.alias or name: name for name, info in type(at).model_fields.items()}
            at = getattr(at, names.get(step, step), None)
        else:
            try:
                at = at[step]
            except (LookupError, TypeError):
                return None
    return at if isinstance(at, float) else None


def _reads(written: Written[Scene], nudge: Nudge) -> bool:
    """Whether the scene can be read with this: only a quantity of the right kind can."""
    try:
        retold(written, nudged(written.document.tree, [nudge]))
    except FileError:
        return False
    return True


def _thin(written: Written[Scene]) -> list[str]:
    """Names of what is worn or hangs that nobody has marked as opaque."""
    worn = [
        cloth
        for piece in written.model.costume
        for cloth in (piece.sleeve, piece.shirt, piece.drape, piece.cuff, piece.mesh)
    ]
    return [cloth.name for cloth in worn if cloth is not None and not cloth.opaque]


def _back_light(written: Written[Scene], staged: Staged) -> Iterator[Variation]:
    thin = _thin(written)
    if thin and staged.house.lamps:
        said = f"thin cloth with a lamp behind it hides nothing: {', '.join(thin)}"
        measure = "Hold each cloth up to a lamp; if no hand shows through it, mark it in the scene: opaque: yes"
        yield Variation("back light", "back light", said, measure, bare=frozenset(thin))
