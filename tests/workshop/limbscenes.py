"""Scenes of a false arm for the tests: built from sizes, or imported from meshes made here."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sightline.figure.arm import Side
from sightline.figure.armskin import arm_mesh
from sightline.figure.sheet import body_sheet
from sightline.geometry.mesh import Mesh
from sightline.scene.reading import scene_from_text
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.section import Item, Section

EYES = "eyes: [{id: E1, at: [0 m, -5 m, 1.5 m]}]\n"
HEAD = """version: 1
performer: {{stature: 172 cm, sex: female, hide: [{side} arm]}}
prop:
  box: {{width: 46 cm, depth: 32 cm, height: 30 cm, wall: 6 mm{top}}}
  at: {{ahead: 37 cm, up: 112 cm}}
  openings:
    - {{wall: back, diameter: 15 cm, at: [0 cm, 0 cm]}}
{openings}puppet: {{grip: [0 cm, -2 cm, 0 cm]}}
"""
MIRROR = np.array([-1.0, 1.0, 1.0])


def act(limb: str, *, side: Side = "left", openings: str = "", top: str = "", more: str = "") -> str:
    """A scene of one false arm; `limb` is what follows `replaces` in its mapping."""
    head = HEAD.format(side=side, openings=openings, top=top)
    return f"{head}false limbs:\n  - {{replaces: {side} arm, {limb}}}\n{more}{EYES}"


def on_bench(text: str, folder: Path = Path(".")) -> Bench:
    return bench_of(scene_from_text(text, folder=folder))


def items(section: Section) -> dict[str, Item]:
    """Items by what is after the limb's name."""
    return {item.key.split(": ", 1)[-1]: item for item in section.items}


def built(side: Side) -> Bench:
    return on_bench(act(f"hand at: {{wall: {side}, at: [0 cm, 0 cm]}}", side=side))


def left_arm(**more: float) -> tuple[Mesh, dict[str, np.ndarray]]:
    """A left arm's skin as the scene above would hold it, with its landmarks, in the performer's frame."""
    bench = built("left")
    arm = bench.false_arms[0]
    mesh = arm_mesh(
        body_sheet(stature_m=1.72, sex="female"), "left", arm.shoulder, arm.elbow, arm.hold.wrist, arm.hold.fingers,
        arm.hold.palm, **more,  # type: ignore[arg-type]
    )  # fmt: skip
    return mesh, landmarks_of(mesh, arm.shoulder, arm.elbow, arm.hold.wrist, arm.hold.fingers, arm.hold.palm)


def landmarks_of(
    mesh: Mesh, shoulder: np.ndarray, elbow: np.ndarray, wrist: np.ndarray, fingers: np.ndarray, palm: np.ndarray
) -> dict[str, np.ndarray]:
    """Landmarks as a maker would pick them: from the skin itself, not from how it was made.

    The thumb tip is the point of the hand farthest from the line of the fingers.
    """
    hand = mesh.vertices[(mesh.vertices - wrist) @ fingers > 0.02]
    hand = hand[np.linalg.norm(hand - wrist, axis=1) < 0.2]
    along = (hand - wrist) @ fingers
    beside = np.linalg.norm(hand - wrist - along[:, None] * fingers, axis=1)
    thumb = hand[np.argmax(np.where(along < 0.13, beside, 0.0))]
    tip = hand[np.argmax(along)]
    centre = wrist + 0.062 * fingers
    near = np.linalg.norm(hand - centre - ((hand - centre) @ palm)[:, None] * palm, axis=1) < 0.02
    on_palm = hand[near][np.argmax((hand[near] - centre) @ palm)]
    return {
        "shoulder": shoulder,
        "elbow": elbow,
        "wrist": wrist,
        "thumb tip": thumb,
        "palm": on_palm,
        "middle tip": tip,
    }


def marks_text(marks: dict[str, np.ndarray]) -> str:
    return ", ".join(f"{name}: [{', '.join(f'{v:.5f} m' for v in at)}]" for name, at in marks.items())


def write_obj(path: Path, mesh: Mesh) -> None:
    lines = [f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in mesh.vertices]
    lines += [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in mesh.faces]
    path.write_text("\n".join(lines), encoding="ascii")


def imported(
    folder: Path, mesh: Mesh, marks: dict[str, np.ndarray] | None, side: Side = "left", more: str = "", scale: str = ""
) -> Bench:
    """A scene whose false arm is `mesh`, written to a file and read again."""
    write_obj(folder / "limb.obj", mesh)
    said = f"mesh: {{file: limb.obj{scale}}}{more}" + (f", landmarks: {{{marks_text(marks)}}}" if marks else "")
    return on_bench(act(said, side=side), folder)
