"""What of an act depends on the body in it: every size, place and share by its key, to set two bodies side by side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from sightline.blocking.notation import feet, inches
from sightline.figure.sheet import BodySheet
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.props.box import opening_names
from sightline.props.falselimb import FalseArm
from sightline.staging.body import Body
from sightline.staging.wearing import for_arm
from sightline.workshop import gauge
from sightline.workshop.bench import Bench
from sightline.workshop.grips import grips
from sightline.workshop.load import kilograms
from sightline.workshop.masses import masses
from sightline.workshop.openings import allowances, deepest

Unit = Literal["m", "deg", "kg", "share"]
Group = Literal["body", "prop", "rig", "opening", "false limb", "mount", "load", "reach"]
# Below these nobody sets, cuts or feels a difference. Common practice, no source.
SAME: dict[Unit, float] = {"m": 0.0005, "deg": 0.5, "kg": 0.005, "share": 0.0005}


@dataclass(frozen=True)
class Row:
    """One figure: `value` in `unit` (m, deg, kg; a share is 0 to 1). `small`: told in millimetres.

    `told` rows go with the body, nobody sets or cuts them.
    """

    group: Group
    what: str
    value: float
    unit: Unit = "m"
    small: bool = False
    told: bool = False

    def words(self) -> str:
        return value_words(self.value, self.unit, self.small)


def value_words(value: float, unit: Unit, small: bool) -> str:
    """Both measures: `1.07 m (3 ft 6 in)`, `158 mm (6 1/4 in)`, `2.10 kg (4.6 lb)`; angles and shares have one."""
    sign = "-" if value < 0 else ""
    if unit == "deg":
        return f"{value:.0f} deg"
    if unit == "share":
        return f"{value * 100:.1f} % of body mass"
    if unit == "kg":
        return kilograms(value)
    if small:
        return f"{value * 1000:.0f} mm ({sign}{inches(abs(value), 16)})"
    return f"{value * 100:.1f} cm ({feet(value, 8)})"


def body_rows(body: Body) -> dict[str, Row]:
    """The body's own sizes that the act hangs on, shoes on where they are heights."""
    sheet, skeleton = body.sheet, body.skeleton
    side = body.hidden or "left"
    rows = {
        "stature": Row("body", "stature, barefoot", sheet.stature_m),
        "eye height": Row("body", "eyes above the floor, shoes on", sheet.eye_height_m + skeleton.shoe_m),
        "shoulder height": Row(
            "body", "shoulder joint above the floor, shoes on", float(skeleton.arm(side).shoulder[2])
        ),
        "shoulder spread": Row("body", "shoulder joint from the midline", abs(float(skeleton.arm(side).shoulder[0]))),
        "arm": Row("body", "arm, shoulder to wrist", sheet.arm_m),
        "hand": Row("body", "hand, wrist to fingertip", sheet.hand_length_m),
        "mass": Row("body", "body mass", sheet.mass_kg, "kg"),
    }
    return {key: Row(r.group, r.what, r.value, r.unit, r.small, told=True) for key, r in rows.items()}


def act_rows(bench: Bench) -> dict[str, Row]:
    """All that is set, cut or carried, by its key. A bench without a performer has none of it."""
    body = bench.body
    if body is None:
        return {}
    return {
        **_prop(bench), **_rig(bench), **_openings(bench), **_limbs(bench, body), **_load(bench), **_arm(bench)
    }  # fmt: skip


def _prop(bench: Bench) -> dict[str, Row]:
    if bench.carried is None or bench.prop is None:
        return {}
    at, name = bench.carried.middle, bench.prop.name
    return {
        "prop height": Row("prop", f"{name}'s middle above the floor", float(at[2])),
        "prop ahead": Row("prop", f"{name}'s middle ahead of the mark", float(-at[1])),
    }


def _rig(bench: Bench) -> dict[str, Row]:
    meshes = {secret.name: secret.mesh for secret in bench.staged.act.secrets if secret.kind == "rig"}
    rows: dict[str, Row] = {}
    for part in bench.scene.rig:
        if part.hook is not None:
            high = float(meshes[part.hook.name].bounds.mean(axis=0)[2])
            rows[f"{part.hook.name} height"] = Row("rig", f"{part.hook.name} above the floor", high)
        if part.plate is not None:
            high = float(meshes[part.plate.name].bounds.mean(axis=0)[2])
            rows[f"{part.plate.name} height"] = Row("rig", f"{part.plate.name}'s middle above the floor", high)
        if part.strap is not None and part.strap.over is not None:
            long = ribbon_length_m(meshes[part.strap.name])
            rows[f"{part.strap.name} length"] = Row(
                "rig", f"{part.strap.name}, over the shoulder from waist to waist", long
            )
    return rows


def ribbon_length_m(strap: Mesh) -> float:
    """The middle line of a ribbon whose two edges are one after the other in its points."""
    half = len(strap.vertices) // 2
    middle: FloatArray = (strap.vertices[:half] + strap.vertices[half:]) / 2
    return float(np.linalg.norm(np.diff(middle, axis=0), axis=1).sum())


def least_opening_m(bench: Bench, shape: gauge.Shape, sheet: BodySheet | None = None) -> tuple[float, float]:
    """The smallest opening, long and short side, that passes hand and arm with the scene's allowances.

    `sheet`: of another body, whose arm goes as deep in.
    """
    sheet = sheet or bench.sheet
    assert sheet is not None
    hand, arm = gauge.hand_through(sheet), gauge.arm_through(sheet, *deepest(grips(bench)))
    return gauge.least_size(shape, hand, arm, allowances(bench))


def _openings(bench: Bench) -> dict[str, Row]:
    if bench.prop is None or bench.box is None:
        return {}
    rows: dict[str, Row] = {}
    for opening, name in zip(bench.prop.openings, opening_names(bench.prop.openings), strict=True):
        if not for_arm(opening):
            continue
        wide, high = opening.size_m
        sizes = (("across", wide),) if opening.shape == "round" else (("wide", wide), ("high", high))
        for said, value in sizes:
            rows[f"{name} {said}"] = Row("opening", f"{name}, {said}", value, small=True)
        for k, said in ((0, "to the performer's left"), (1, "up")):
            what = f"{name}'s middle from the middle of the {opening.wall} wall, {said}"
            if opening.wall in ("left", "right") and k == 0:
                what = f"{name}'s middle from the middle of the {opening.wall} wall, towards the performer"
            rows[f"{name} at {k}"] = Row("opening", what, opening.at[k], small=True)
        need = least_opening_m(bench, opening.shape)[0]
        rows[f"{name} least"] = Row(
            "opening", f"{name}, the least that passes hand and arm", need, small=True, told=True
        )
    return rows


def limb_sizes(arm: FalseArm) -> dict[str, tuple[str, float]]:
    """Sizes that a false arm is cut to, metres, by key."""
    sheet, girth = arm.sheet, arm.girth
    return {
        "upper arm": ("upper arm, shoulder to elbow", sheet.upper_arm_m * arm.scale),
        "forearm": ("forearm, elbow to wrist", sheet.forearm_m * arm.scale),
        "hand": ("hand, wrist to fingertip", sheet.hand_length_m),
        "upper arm girth": ("round the upper arm", sheet.biceps_girth_m * girth),
        "forearm girth": ("round the forearm", sheet.forearm_girth_m * girth),
        "wrist girth": ("round the wrist", sheet.wrist_girth_m * girth),
    }


def _limbs(bench: Bench, body: Body) -> dict[str, Row]:
    rows: dict[str, Row] = {}
    for arm in bench.false_arms:
        for key, (what, value) in limb_sizes(arm).items():
            rows[f"{arm.name} {key}"] = Row("false limb", f"{arm.name}: {what}", value, small=True)
        rows[f"{arm.name} bend"] = Row("false limb", f"{arm.name}: bend of its elbow", arm.bend_deg, "deg")
    built = {arm.name for arm in bench.false_arms}
    for limb in bench.scene.false_limbs:
        name = limb.name or f"false {limb.replaces}"
        if limb.hand_at is None or name not in built:
            continue
        for k, said in ((0, "across"), (1, "up")):
            what = f"{name}: its palm on the {limb.hand_at.wall} wall, {said} from the wall's middle"
            rows[f"{name} mount {k}"] = Row("mount", what, limb.hand_at.at[k], small=True)
    return rows


def _load(bench: Bench) -> dict[str, Row]:
    parts = masses(bench)
    if not parts or bench.sheet is None:
        return {}
    total = sum(part.mass_kg for part in parts)
    return {
        "load": Row("load", "all that is carried", total, "kg"),
        "load share": Row("load", "load", total / bench.sheet.mass_kg, "share"),
    }


def _arm(bench: Bench) -> dict[str, Row]:
    """How high the hidden upper arm is raised by its best elbow, worst of all moves."""
    best = [grip.best.raise_deg for grip in grips(bench) if grip.best is not None]
    if not best:
        return {}
    return {"arm raised": Row("reach", "hidden upper arm raised, worst of all moves", max(best), "deg", told=True)}
