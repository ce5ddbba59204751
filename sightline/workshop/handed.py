"""Whether a false limb is the hand it must be: left or right, by thumb, palm, fingers and the hinge of the elbow.

A left hand's thumb, palm and fingers, in this order, are a right-handed frame: the triple product of thumb side, palm
normal and fingers is positive, and negative for a right hand. No turning of the limb changes that; mirroring does. The
elbow says it once more: however a forearm turns, the thumb stays on the side to which the elbow closes (pronation and
supination are less than a quarter turn), so palm and fingers with the hinge have a sign of their own.
"""

from __future__ import annotations

import numpy as np

from sightline.figure.arm import Side, flexion
from sightline.figure.limits import AAOS_DEG
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.workshop.bench import Bench
from sightline.workshop.limbs import BenchLimb, LimbPose, limbs_of, no_landmarks, without_limbs
from sightline.workshop.section import Item, Section, State

# Below this share of a full triple product the hand's side is not taken as told; a thumb 12 deg out of the plane of
# palm and fingers gives it. Common practice, no source.
CLEAR_SHARE = 0.2
# An outline must reach this much farther on one side of the hand for that to be the thumb. Common practice, no source.
THUMB_M = 0.008
# Below this bend, degrees, the hinge of an elbow cannot be told from its joints. Common practice, no source.
STRAIGHT_DEG = 12.0
_OTHER: dict[Side, Side] = {"left": "right", "right": "left"}


def triple(thumb: FloatArray, palm: FloatArray, fingers: FloatArray) -> float:
    """Thumb side x palm normal . fingers, (3,) each, as a share from -1 (a right hand) to 1 (a left hand); 0: neither."""
    across = thumb - (thumb @ fingers) * fingers / float(fingers @ fingers)
    size = float(np.linalg.norm(across) * np.linalg.norm(palm) * np.linalg.norm(fingers))
    return float(np.linalg.det(np.array([across, palm, fingers]))) / size if size > 1e-12 else 0.0


def hand_side(share: float) -> Side | None:
    """Which hand a triple product tells; None where it is too small to."""
    if abs(share) < CLEAR_SHARE:
        return None
    return "left" if share > 0 else "right"


def thumb_reach(mesh: Mesh, pose: LimbPose, hand_length_m: float) -> float:
    """How much farther, metres, a hand's outline reaches to a left hand's thumb side than to the other.

    Positive in a left hand, negative in a right one, whatever the file calls it. Read between a tenth and six tenths of
    the hand's length, where the thumb stands off.
    """
    from_wrist = mesh.vertices - pose.wrist
    along = from_wrist @ pose.fingers / hand_length_m
    here = (along > 0.1) & (along < 0.6) & (np.linalg.norm(from_wrist, axis=1) < hand_length_m)
    if not here.any():
        return 0.0
    across = from_wrist[here] @ np.cross(pose.palm, pose.fingers)
    return float(across.max() + across.min())


def closing_side(pose: LimbPose) -> FloatArray:
    """The way (3,) in which the forearm swings when the elbow closes, square to the forearm; zeros in a straight arm."""
    upper, fore = unit(pose.elbow - pose.shoulder), unit(pose.wrist - pose.elbow)
    back = (upper @ fore) * fore - upper
    size = float(np.linalg.norm(back))
    return back / size if size > 1e-9 else np.zeros(3)


def hinge_share(pose: LimbPose) -> float:
    """Share from -1 to 1 of a left hand's thumb side along the closing side: positive in a left arm, negative in a right.

    Its arc cosine is how far a left forearm is turned from thumb-up; within +-cos 80 deg no forearm turns so far.
    """
    return float(np.cross(pose.palm, pose.fingers) @ closing_side(pose))


def hinge_side(pose: LimbPose) -> Side | None:
    """Which arm elbow, palm and fingers are of; None for a straight arm or a forearm turned beyond any."""
    bend = float(np.degrees(flexion(pose.shoulder, pose.elbow, pose.wrist)))
    limit = float(np.cos(np.radians(max(AAOS_DEG["pronation"], AAOS_DEG["supination"]))))
    share = hinge_share(pose)
    if bend < STRAIGHT_DEG or abs(share) < limit:
        return None
    return "left" if share > 0 else "right"


def found_side(limb: BenchLimb, hand_length_m: float) -> tuple[Side | None, float]:
    """The side of a limb's hand as its skin and landmarks have it, and the figure: m of thumb, or the triple product."""
    assert limb.pose is not None
    pose = limb.pose
    reach = thumb_reach(limb.mesh, pose, hand_length_m)
    outline: Side | None = None if abs(reach) < THUMB_M else "left" if reach > 0 else "right"
    if pose.thumb_tip is None:
        return outline, reach
    share = triple(pose.thumb_tip - pose.wrist, pose.palm, pose.fingers)
    by_marks = hand_side(share)
    # A tip clicked on the little finger tells the other hand; the skin itself contradicts it.
    return (None if outline is not None and by_marks not in (None, outline) else by_marks), share


def section(bench: Bench) -> Section:
    """The wrong-hand check. Raises FileError at a landmark that cannot be meant."""
    limbs = limbs_of(bench)
    if not limbs:
        return without_limbs(bench, "right hand", "Whether the hand is the right one")
    length = bench.sheet.hand_length_m if bench.sheet else 0.18
    items: list[Item] = []
    for limb in limbs:
        if limb.pose is None:
            items.append(no_landmarks(limb, "hand", "whether it is a left or a right limb"))
        else:
            items += [_hand(limb, length), _hinge(limb), *_marks(limb)]
        if limb.inside_out:
            words = (
                f"The mesh of '{limb.name}' is inside out, as mirroring or a negative scale leaves one: look whether it "
                "was mirrored on its way here."
            )
            items.append(Item(f"{limb.name}: inside out", "warn", words))
    return Section("right hand", items)


def _hand(limb: BenchLimb, hand_length_m: float) -> Item:
    assert limb.pose is not None
    side, figure = found_side(limb, hand_length_m)
    how = "its skin" if limb.pose.thumb_tip is None else "thumb, palm and fingers of its mesh"
    unit_of = "m" if limb.pose.thumb_tip is None else None
    key = f"{limb.name}: hand"
    said = limb.written.handed
    if side is None:
        words = (
            f"'{limb.name}': whether it is a left or a right hand is not known: thumb, palm and fingers do not tell, or "
            "its landmarks and its skin tell two different hands. Take the landmarks anew."
        )
        return Item(key, "not known", words, figure, unit_of)
    if side == limb.side and said in (None, side):
        return Item(
            key, "yes", f"'{limb.name}' is a {side} limb, as it must be: so say {how}.", figure, unit_of,
            "sign of thumb x palm . fingers",
        )  # fmt: skip
    why = f"it replaces the {limb.side} arm and is a {side} limb by {how}"
    if said is not None and said != side:
        why += f", though it is called {said}-handed"
    mend = f" Build the {limb.side} one: mirror the pattern and the hand." if side != limb.side else ""
    return Item(
        key, "no", f"'{limb.name}' is the wrong hand: {why}.{mend}", figure, unit_of, "sign of thumb x palm . fingers"
    )


def _hinge(limb: BenchLimb) -> Item:
    assert limb.pose is not None
    key, share = f"{limb.name}: elbow hinge", hinge_share(limb.pose)
    side = hinge_side(limb.pose)
    turned = float(np.degrees(np.arccos(np.clip(share if limb.side == "left" else -share, -1.0, 1.0))))
    source = "pronation and supination 80 deg each: AAOS in Norkin & White"
    state: State = "yes" if side == limb.side else "no"
    if float(np.degrees(flexion(limb.pose.shoulder, limb.pose.elbow, limb.pose.wrist))) < STRAIGHT_DEG:
        words = f"'{limb.name}': the arm is nearly straight, so its elbow does not tell left from right; the hand does."
        return Item(key, "told", words, turned, "deg")
    if side is None:
        state = "warn"
        words = (
            f"'{limb.name}': palm and elbow go together only with the forearm turned {turned:.0f} deg from thumb-up, "
            "more than 80 deg: turn the hand."
        )
    elif side == limb.side:
        words = (
            f"'{limb.name}': the elbow closes towards the thumb as a {limb.side} arm's does; the forearm is turned "
            f"{turned:.0f} deg of 80 from thumb-up."
        )
    else:
        words = (
            f"'{limb.name}': with the palm this way the elbow is hinged as a {side} arm's: {turned:.0f} deg from thumb-up, "
            f"where a {limb.side} forearm turns 80."
        )
    return Item(key, state, words, turned, "deg", source)


def _marks(limb: BenchLimb) -> list[Item]:
    """What to write on the limb, and the proof with one's own hand. Directions are of the limb that it must be."""
    assert limb.pose is not None
    pose = limb.pose
    thumb = np.cross(pose.palm, pose.fingers) * (1.0 if limb.side == "left" else -1.0)
    marks = (
        f"On the inside of '{limb.name}' (ink comes through a thin covering) write {limb.side.upper()}; THUMB on the edge "
        f"that points {way_words(thumb)}, PALM on the face turned {way_words(pose.palm)}, TIPS where the fingers point, "
        f"{way_words(pose.fingers)}. Ways are the performer's own."
    )
    proof = (
        f"Proof before cutting: stand as the performer and lay your own {limb.side} hand on the hand of '{limb.name}', "
        f"fingers along its fingers, palm where PALM is written: your thumb must lie on THUMB. If it "
        f"lies on the little finger, the limb is a {_OTHER[limb.side]} one."
    )
    return [
        Item(f"{limb.name}: marks", "told", marks, [round(float(v), 3) for v in thumb], "thumb: left, back, up"),
        Item(f"{limb.name}: proof", "told", proof),
    ]


def way_words(direction: FloatArray) -> str:
    """A direction in the performer's frame in one or two words: `up and ahead`."""
    names = (("left", "right"), ("back", "ahead"), ("up", "down"))
    d = unit(direction)
    strong = [k for k in np.argsort(-np.abs(d)) if abs(d[k]) > 0.4][:2]
    return " and ".join(names[k][0 if d[k] > 0 else 1] for k in strong)
