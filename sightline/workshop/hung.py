"""How the prop of a scene hangs: which parts of the rig pull on it where, and what it leans against."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.props.box import spot_point
from sightline.workshop.armload import G_M_S2
from sightline.workshop.balance import Hanging, Support, hanging
from sightline.workshop.bench import Bench
from sightline.workshop.masses import Weighed

# Wall and plate nearer than this touch, or will with a scrap of felt between them. Common practice, no source.
TOUCH_M = 0.010


@dataclass(frozen=True)
class Hung:
    """The prop on its rig. `weight_n` and `middle_m` are of the prop with all that hangs on it.

    `by` is `hook`, `strap` or `nothing`; `ends` where each strap is fast on the prop; `rest_gap_m` how far the back wall
    stands off what it leans on.
    """

    by: str
    weight_n: float
    middle_m: FloatArray
    found: Hanging
    ends: dict[str, FloatArray] = field(default_factory=dict)
    ends_said: bool = True
    rests_on: str = "nothing"
    rest_gap_m: float = 0.0


def hung(bench: Bench, parts: list[Weighed]) -> Hung | None:
    """None where there is no prop or nobody to carry it. Raises FileError for a strap that is not there."""
    body, carried = bench.body, bench.carried
    on = [(part.mass_kg * part.prop_share, part.middle_m) for part in parts if part.prop_share > 0]
    if body is None or carried is None or not on:
        return None
    kg = sum(mass for mass, _ in on)
    middle = np.asarray(sum((mass * at for mass, at in on), start=np.zeros(3)) / kg)
    meshes = {secret.name: secret.mesh for secret in bench.staged.act.secrets if secret.kind == "rig"}
    hooks = [part.hook for part in bench.scene.rig if part.hook is not None]
    straps = [part.strap for part in bench.scene.rig if part.strap is not None]
    supports: list[Support] = []
    ends, said = _ends(bench, [strap.name for strap in straps])
    for hook in hooks:
        at = meshes[hook.name].bounds.mean(axis=0)
        # A hook over the plate's edge is borne up by it, and held back towards the performer.
        supports += [Support(f"{hook.name}, up", at, np.array([0.0, 0.0, 1.0]))]
        supports += [Support(f"{hook.name}, back", at, np.array([0.0, 1.0, 0.0]))]
    if not hooks:
        for strap in straps:
            end = ends.get(strap.name)
            if end is None:
                end = _nearest_on_top(bench, meshes[strap.name].vertices)
                ends[strap.name], said = end, False
            supports.append(Support(strap.name, end, _pull(end, meshes[strap.name].vertices)))
    rests_on, gap, rests = _rests(bench, meshes)
    hand = _hand(bench)
    view = hanging(kg * G_M_S2, middle, [*supports, *rests] if supports else [], "side", hand)
    by = "hook" if hooks else "strap" if straps else "nothing"
    return Hung(by, kg * G_M_S2, middle, view, ends, said, rests_on, gap)


def _ends(bench: Bench, names: list[str]) -> tuple[dict[str, FloatArray], bool]:
    carried = bench.carried
    assert carried is not None
    found: dict[str, FloatArray] = {}
    for i, end in enumerate(bench.scene.load.straps):
        if end.strap not in names:
            there = ", ".join(names) or "none"
            raise bench.written.problem(
                ("load", "straps", i, "strap"), f"The rig has no strap named '{end.strap}'; there are: {there}."
            )
        with bench.written.at("load", "straps", i):
            point, _ = spot_point(carried.size_m, end.at)
        found[end.strap] = carried.placement.points(point)
    return found, True


def _nearest_on_top(bench: Bench, strap: FloatArray) -> FloatArray:
    """The place on the back wall's top edge straight ahead of a strap: where most makers would fix it."""
    carried = bench.carried
    assert carried is not None
    half = carried.size_m / 2
    across = carried.placement.inverse().points(strap)[:, 0].mean()
    return carried.placement.points([float(np.clip(across, -half[0], half[0])), half[1], half[2]])


def _pull(end: FloatArray, strap: FloatArray) -> FloatArray:
    """Which way a taut strap pulls from its end on the prop, seen from the side: to where it lies on the body."""
    over = strap[strap[:, 2] > end[2] + 0.01]
    if not len(over):
        return np.array([0.0, 0.0, 1.0])
    away = over - end
    steepest = away[np.argmax(np.arctan2(away[:, 2], away[:, 1]))] if (away[:, 1] > 0).all() else None
    if steepest is None:
        steepest = away[np.argmax(away[:, 2])]
    return unit([0.0, steepest[1], steepest[2]])


def _rests(bench: Bench, meshes: dict[str, Mesh]) -> tuple[str, float, list[Support]]:
    """What the back wall leans against, how far off it stands, and the two ends of where it may press."""
    carried, body = bench.carried, bench.body
    assert carried is not None
    assert body is not None
    half = carried.size_m / 2
    low, high = (carried.placement.points([0.0, half[1], sign * half[2]]) for sign in (-1.0, 1.0))
    out = carried.placement.directions([0.0, 1.0, 0.0])
    plates = [part.plate.name for part in bench.scene.rig if part.plate is not None]
    if plates:
        name = plates[0]
        bounds = meshes[name].bounds
        bottom, top, front = float(bounds[0][2]), float(bounds[1][2]), float(bounds[0][1])
    else:
        name = "the body"
        torso = next(c.mesh for c in bench.staged.act.covers if c.name in ("torso", "body"))
        bottom, top = float(torso.bounds[0][2]), float(body.skeleton.arm("left").shoulder[2])
        near = (torso.vertices[:, 2] > low[2] - 0.02) & (torso.vertices[:, 2] < high[2] + 0.02)
        front = float(torso.vertices[near, 1].min()) if near.any() else float(torso.vertices[:, 1].min())
    bottom, top = max(bottom, float(low[2])), min(top, float(high[2]))
    if top <= bottom:
        return "nothing", 0.0, []
    rise = float(high[2] - low[2])

    def at(z: float) -> FloatArray:
        return np.asarray(low + (high - low) * (z - low[2]) / rise)

    push = unit([0.0, -out[1], -out[2]])
    gap = front - float(max(at(bottom)[1], at(top)[1]))
    return name, gap, [Support(f"{name}, low", at(bottom), push), Support(f"{name}, high", at(top), push)]


def _hand(bench: Bench) -> FloatArray | None:
    """The visible hand where it holds the prop; None where it hangs or there is none."""
    body = bench.body
    if body is None or bench.scene.pose.visible_hand is None:
        return None
    side = "right" if body.hidden == "left" else "left"
    if any(limb.replaces == f"{side} arm" for limb in bench.scene.false_limbs):
        return None
    return body.skeleton.arm(side).wrist  # type: ignore[arg-type]
