"""Whether a false arm is believable: its bones, girths, shoulder, elbow, hand and outline beside the real arm mirrored.

The real arm is the performer's other one mirrored: the body sheet knows one size for both. Its skin is built on the
false arm's own joints, so that what differs is thickness, shape and hand; that the joints are elsewhere than the real
ones would be is told by the bones' lengths and the shoulder.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sightline.blocking.notation import millimetres
from sightline.figure import arm as arms
from sightline.figure.armskin import BICEPS_AT, FOREARM_AT, arm_mesh
from sightline.figure.limits import AAOS_DEG, DEFAULT_LIMITS, ArmLimits
from sightline.figure.sheet import BodySheet
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.staging.body import Body
from sightline.workshop.bench import Bench
from sightline.workshop.girth import bone_girth_m, hand_breadth_m, hand_length_m
from sightline.workshop.handed import STRAIGHT_DEG
from sightline.workshop.limbs import BenchLimb, LimbPose, limbs_of, no_landmarks, without_limbs
from sightline.workshop.section import Item, Section, State
from sightline.workshop.silhouette import outlooks

# What passes beside the real arm; up to twice as much is a warning, more is a no. Common practice, no source.
BONE_SHARE = 0.05
GIRTH_SHARE = 0.10
HAND_SHARE = 0.08
SHOULDER_M = 0.010
SLOPE_DEG = 2.0
# Outlines that share less than this of their joint area are seen to differ. Common practice, no source.
OVERLAP = 0.85
# How much a forearm's wrist girth is taken short of the joint itself, where the hand's root begins: share of the bone.
WRIST_CUT_AT = 0.95
PRACTICE = "tolerance: common practice, no source"


def section(bench: Bench) -> Section:
    """False arms beside the performer's real one. Raises FileError at a landmark that cannot be meant."""
    limbs = limbs_of(bench)
    if not limbs or bench.body is None:
        return without_limbs(bench, "anatomy", "Whether a false limb looks like the real one")
    items: list[Item] = []
    for limb in limbs:
        if limb.pose is None:
            items.append(no_landmarks(limb, "anatomy", "whether it looks like the real arm"))
            continue
        real = real_arm(bench.body.sheet, limb.side, limb.pose)
        items += bones(limb, limb.pose, bench.body.sheet)
        items += _girths(limb, limb.pose, real)
        items += _hand(limb, limb.pose, real)
        items += _shoulder(limb, limb.pose, bench.body)
        items += elbow_items(limb, limb.pose)
        items.append(_wrist(limb, limb.pose))
        items.append(outline_item(limb, real))
    return Section(
        "anatomy", items, assumptions=_assumed(bench.body),
        not_checked=["whether a false limb's skin, hair, nails and cloth look like the real one's"],
    )  # fmt: skip


def real_arm(sheet: BodySheet, side: arms.Side, pose: LimbPose) -> Mesh:
    """The skin of the performer's real arm, mirrored to `side`, on a limb's joints."""
    return arm_mesh(sheet, side, pose.shoulder, pose.elbow, pose.wrist, pose.fingers, pose.palm)


def graded(off: float, tolerance: float) -> State:
    """Within the tolerance; up to twice as much; more."""
    if off <= tolerance + 1e-9:
        return "yes"
    return "warn" if off <= 2 * tolerance + 1e-9 else "no"


def compared(limb: BenchLimb, part: str, false_m: float, real_m: float, tolerance: float, more: str, less: str) -> Item:
    """One size beside the real one's, as a share of it; value: the difference in metres."""
    off = false_m - real_m
    share = off / real_m
    words = f"'{limb.name}': {part} {millimetres(false_m)}, the real one's {millimetres(real_m)}: "
    same = abs(off) < 0.0005
    words += "the same" if same else f"{abs(off) * 1000:.0f} mm, {abs(share) * 100:.1f} % {more if off > 0 else less}"
    words += f" ({tolerance * 100:.0f} % passes)."
    return Item(f"{limb.name}: {part}", graded(abs(share), tolerance), words, off, "m", PRACTICE)


def bones(limb: BenchLimb, pose: LimbPose, sheet: BodySheet) -> list[Item]:
    upper, fore = np.linalg.norm(pose.elbow - pose.shoulder), np.linalg.norm(pose.wrist - pose.elbow)
    return [
        compared(limb, "upper arm", float(upper), sheet.upper_arm_m, BONE_SHARE, "longer", "shorter"),
        compared(limb, "forearm", float(fore), sheet.forearm_m, BONE_SHARE, "longer", "shorter"),
    ]


def _girths(limb: BenchLimb, pose: LimbPose, real: Mesh) -> Iterator[Item]:
    skin, real = limb.mesh.merged(1e-7), real.merged(1e-7)
    for part, start, end, share in (
        ("biceps girth", pose.shoulder, pose.elbow, BICEPS_AT),
        ("forearm girth", pose.elbow, pose.wrist, FOREARM_AT),
        ("wrist girth", pose.elbow, pose.wrist, WRIST_CUT_AT),
    ):
        false_m, real_m = bone_girth_m(skin, start, end, share), bone_girth_m(real, start, end, share)
        if false_m is None or real_m is None:
            words = f"'{limb.name}': the {part} is not known: its mesh has no skin round the bone there."
            yield Item(f"{limb.name}: {part}", "not known", words)
        else:
            yield compared(limb, part, false_m, real_m, GIRTH_SHARE, "thicker", "thinner")


def _hand(limb: BenchLimb, pose: LimbPose, real: Mesh) -> Iterator[Item]:
    skin, real = limb.mesh.merged(1e-7), real.merged(1e-7)
    length, real_length = hand_length_m(skin, pose), hand_length_m(real, pose)
    if length <= 0:
        yield Item(f"{limb.name}: hand length", "no", f"'{limb.name}' has no hand beyond its wrist.", 0.0, "m")
        return
    yield compared(limb, "hand length", length, real_length, HAND_SHARE, "longer", "shorter")
    broad, real_broad = hand_breadth_m(skin, pose, length), hand_breadth_m(real, pose, real_length)
    if broad is not None and real_broad is not None:
        yield compared(limb, "hand breadth", broad, real_broad, HAND_SHARE, "broader", "narrower")


def shoulder_off(pose: LimbPose, side: arms.Side, body: Body) -> tuple[FloatArray, float]:
    """The false shoulder from the real one mirrored, (3,) m, and the slope of the line between both shoulders, deg.

    The slope is that of the false line less the real one's, seen from the front; positive where the false side is high.
    """
    other = body.shoulder("right" if side == "left" else "left")
    mirrored = other * np.array([-1.0, 1.0, 1.0])
    slopes = [
        np.degrees(np.arctan2(point[2] - other[2], abs(point[0] - other[0]))) for point in (pose.shoulder, mirrored)
    ]
    return pose.shoulder - mirrored, float(slopes[0] - slopes[1])


def _shoulder(limb: BenchLimb, pose: LimbPose, body: Body) -> Iterator[Item]:
    off, slope = shoulder_off(pose, limb.side, body)
    far = float(np.linalg.norm(off))
    words = f"'{limb.name}': its shoulder stands {millimetres(far)} from where the real one would be"
    parts = [
        f"{abs(v) * 1000:.0f} mm {names[0] if v > 0 else names[1]}"
        for v, names in zip(off[[2, 0, 1]], (("higher", "lower"), ("left", "right"), ("back", "ahead")), strict=True)
        if abs(v) >= 0.0005
    ]
    words += (f": {', '.join(parts)}" if parts else "") + f" ({SHOULDER_M * 1000:.0f} mm pass)."
    yield Item(f"{limb.name}: shoulder point", graded(far, SHOULDER_M), words, far, "m", PRACTICE)
    way = f"{abs(slope):.1f} deg {'higher' if slope > 0 else 'lower'} to the false side than the real one"
    if abs(slope) < 0.05:
        way = "as the real one does"
    words = f"'{limb.name}': the line of the shoulders runs {way} ({SLOPE_DEG:g} deg pass)."
    yield Item(f"{limb.name}: shoulder slope", graded(abs(slope), SLOPE_DEG), words, slope, "deg", PRACTICE)


def elbow_items(limb: BenchLimb, pose: LimbPose) -> Iterator[Item]:
    bend = float(np.degrees(arms.flexion(pose.shoulder, pose.elbow, pose.wrist)))
    most = AAOS_DEG["elbow flexion"]
    words = f"'{limb.name}': the elbow is bent {bend:.0f} deg of the {most:.0f} a human elbow bends (0 is straight)."
    yield Item(
        f"{limb.name}: elbow bend", "yes" if bend <= most + 1e-6 else "no", words, bend, "deg",
        "AAOS in Norkin & White, Table A.1",
    )  # fmt: skip
    key = f"{limb.name}: elbow way"
    if bend < STRAIGHT_DEG:
        words = f"'{limb.name}': the arm is nearly straight, so no way of bending shows."
        yield Item(key, "told", words)
        return
    swivel = float(np.degrees(swivel_rad(pose, limb.side)))
    low, high = -DEFAULT_LIMITS.swivel_in_deg, DEFAULT_LIMITS.swivel_out_deg
    human = low - 1e-6 <= swivel <= high + 1e-6
    words = (
        f"'{limb.name}': the elbow {'bends the human way' if human else 'bends as no arm does'}: it stands "
        f"{abs(swivel):.0f} deg {'out' if swivel >= 0 else 'in'} from straight below the line of shoulder and wrist; "
        f"an arm goes from {-low:.0f} in to {high:.0f} out."
    )
    yield Item(key, "yes" if human else "no", words, swivel, "deg", "range: common practice, no source")
    others = arms.problems(pose.shoulder, pose.elbow, pose.wrist, limb.side)
    for said in others:
        if "elbow bend" not in said:
            yield Item(f"{limb.name}: shoulder joint", "no", f"'{limb.name}': {said}.")


def swivel_rad(pose: LimbPose, side: arms.Side) -> float:
    """Where the elbow stands on its circle about the line shoulder to wrist: 0 below, positive outward, to +-pi."""
    upper, fore = np.linalg.norm(pose.elbow - pose.shoulder), np.linalg.norm(pose.wrist - pose.elbow)
    free = ArmLimits(elbow_flexion_deg=180.0)
    below, beside = arms.solve(
        pose.shoulder, pose.wrist, float(upper), float(fore), [0.0, np.pi / 2], side, limits=free
    )  # fmt: skip
    line = unit(pose.wrist - pose.shoulder)
    middle = pose.shoulder + ((pose.elbow - pose.shoulder) @ line) * line
    away = pose.elbow - middle
    return float(np.arctan2(away @ (beside - middle), away @ (below - middle)))


def wrist_deg(pose: LimbPose, side: arms.Side) -> tuple[float, float]:
    """How the hand is bent at the wrist, degrees: towards the palm (+) or back, and to the thumb (+) or little finger."""
    fore = unit(pose.wrist - pose.elbow)
    thumb = np.cross(pose.palm, pose.fingers) * arms.outward(side)
    along = float(fore @ pose.fingers)
    return (
        float(np.degrees(np.arctan2(-fore @ pose.palm, along))),
        float(np.degrees(np.arctan2(-fore @ thumb, along))),
    )


def _wrist(limb: BenchLimb, pose: LimbPose) -> Item:
    flexed, to_thumb = wrist_deg(pose, limb.side)
    limits = (
        (flexed, "towards the palm", AAOS_DEG["wrist flexion"]), (-flexed, "back", AAOS_DEG["wrist extension"]),
        (to_thumb, "to the thumb", AAOS_DEG["radial deviation"]),
        (-to_thumb, "to the little finger", AAOS_DEG["ulnar deviation"]),
    )  # fmt: skip
    said = [f"{got:.0f} deg {way} of {most:.0f}" for got, way, most in limits if got >= 0.5]
    beyond = any(got > most + 1e-6 for got, _, most in limits)
    words = f"'{limb.name}': the wrist is {'bent ' + ' and '.join(said) if said else 'straight'}."
    if beyond:
        words += " No wrist goes so far: set the hand more in line with the forearm."
    return Item(
        f"{limb.name}: wrist", "warn" if beyond else "yes", words, [round(flexed, 1), round(to_thumb, 1)],
        "deg: to the palm, to the thumb", "AAOS in Norkin & White, Table A.1",
    )  # fmt: skip


def outline_item(limb: BenchLimb, real: Mesh) -> Item:
    """The worst of all outlines beside the real arm's."""
    views = outlooks(limb.mesh, real)
    worst = min(views, key=lambda view: view.overlap)
    state: State = "yes" if worst.overlap >= OVERLAP else "warn" if worst.overlap >= 2 * OVERLAP - 1 else "no"
    words = (
        f"'{limb.name}': of {len(views)} outlines the one {worst.words} differs most from the real arm's: "
        f"{worst.overlap * 100:.0f} % in common ({OVERLAP * 100:.0f} % pass); {worst.extra_m2 * 1e4:.0f} cm2 too much, "
        f"{worst.missing_m2 * 1e4:.0f} cm2 too little."
    )
    return Item(f"{limb.name}: outline", state, words, worst.overlap, "share", PRACTICE)


def estimated_arm(sheet: BodySheet | None) -> list[str]:
    """That the arm a false one is built beside was not taped, and which sizes of it; nothing where all were."""
    if sheet is None:
        return []
    named = {
        "upper_arm_m": "upper arm", "forearm_m": "forearm", "biceps_girth_m": "biceps girth",
        "forearm_girth_m": "forearm girth", "wrist_girth_m": "wrist girth", "hand_length_m": "hand length",
        "hand_breadth_m": "hand breadth",
    }  # fmt: skip
    guessed = [name for key, name in named.items() if sheet.sources.get(key) != "measured"]
    return [f"The real arm beside the false one is estimated, not taped: {', '.join(guessed)}."] if guessed else []


def _assumed(body: Body) -> list[str]:
    said = estimated_arm(body.sheet)
    said.append(
        "Girths and hands are read off the skins as drawn, both alike: bent fingers make a hand shorter than the body sheet's."
    )
    if body.scan is not None:
        said.append("Beside a scan the real arm's outline is built from its joints, not cut from the scan.")
    return said
