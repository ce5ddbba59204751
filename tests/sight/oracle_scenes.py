"""Two plain scenes for the oracles: one with a mirror, one with seams, both with eyes of several kinds."""

from __future__ import annotations

import math
from pathlib import Path

from sightline.geometry.shapes import sphere
from tests.sight.meshes import only, plate_with_hole, write_mesh

MIRROR = """
version: 1
detail: 1.5 cm
venue:
  mirrors:
    - {name: glass, rectangle: {width: 1.4 m, height: 1.8 m}, at: [1.9 m, 0.6 m, 1.2 m], facing: 68 deg}
    - {name: round glass, disc: {radius: 45 cm}, at: [-1.3 m, 1.6 m, 1.5 m], facing: [0.4, -1.0, -0.15]}
covers:
  - {name: screen, rectangle: {width: 1.1 m, height: 1.3 m}, at: [-0.1 m, -0.6 m, 1.1 m], facing: 9 deg}
  - {name: holed plate, mesh: plate.obj, at: [0.9 m, -0.5 m, 1.2 m], facing: [1.0, -0.8, 0.1]}
  - {name: crate, box: {width: 46 cm, depth: 34 cm, height: 30 cm}, at: [0.1 m, 0.55 m, 0.75 m], facing: -21 deg}
  - {name: post, cylinder: {radius: 7 cm, height: 2.4 m}, at: [-0.6 m, -0.2 m, 1.2 m]}
  - {name: bowl, mesh: bowl.obj, at: [0.2 m, 0.2 m, 1.55 m], facing: 33 deg}
secrets:
  - {name: arm, cylinder: {radius: 5 cm, height: 60 cm}, at: [0.02 m, 0.2 m, 1.15 m], facing: [0.2, -1.0, 0.7]}
  - {name: hatch, rectangle: {width: 30 cm, height: 20 cm}, two sided: yes, at: [0.3 m, 0.3 m, 1.1 m], facing: 50 deg}
  - {name: buckle, disc: {radius: 4 mm}, kind: rig, at: [0.1 m, 0.37 m, 0.8 m], facing: -21 deg, contrast: 0.3}
eyes:
"""
SEAMS = """
version: 1
detail: 1 cm
covers:
  - {name: false arm, cylinder: {radius: 5 cm, height: 60 cm}, at: [0 m, 0 m, 1.2 m], facing: [0.3, -1.0, 0.6]}
  - {name: flag, rectangle: {width: 40 cm, height: 30 cm}, at: [0.5 m, 0.1 m, 1.3 m], facing: 20 deg}
  - {name: slat 1, rectangle: {width: 4 cm, height: 1.6 m}, at: [-0.30 m, -0.7 m, 1.2 m]}
  - {name: slat 2, rectangle: {width: 6 cm, height: 1.6 m}, at: [-0.12 m, -0.7 m, 1.2 m], facing: 15 deg}
  - {name: slat 3, rectangle: {width: 5 cm, height: 1.6 m}, at: [0.05 m, -0.7 m, 1.2 m], facing: -10 deg}
  - {name: slat 4, rectangle: {width: 5 cm, height: 1.6 m}, at: [0.24 m, -0.7 m, 1.2 m]}
  - {name: holed plate, mesh: plate.obj, at: [0.55 m, -0.5 m, 1.3 m], facing: [0.2, -1.0, 0.1]}
secrets:
  - name: ring
    kind: seam
    on: false arm
    contrast: 0.05
    path: RING
  - {name: cord, kind: seam, path: [[-0.2 m, -0.2 m, 0.9 m], [0.1 m, -0.3 m, 1.4 m], [0.4 m, 0.2 m, 1.7 m]], width: 0.2 mm, contrast: 0.02}
  - {name: hem, kind: seam, on: flag, path: [[0.35 m, 0.045 m, 1.2 m], [0.65 m, 0.155 m, 1.4 m]]}
  - {name: edge, kind: seam, on: false arm, contrast: 0.02, path: [[0.04 m, -0.15 m, 1.03 m], [-0.02 m, 0.07 m, 1.43 m]], width: 0.05 mm}
eyes:
"""
KINDS = ("point", "seated", "standing", "child", "wheelchair", "phone", "camera")


def plain_scene(name: str, folder: Path) -> Path:
    """Write one of the two scenes, with the meshes that it names; the path of the file."""
    write_mesh(folder / "bowl.obj", only(sphere(0.2), sphere(0.2).corners.mean(axis=1)[:, 1] > 0))
    write_mesh(folder / "plate.obj", plate_with_hole(0.6, 0.15))
    text = {"mirror": MIRROR, "seams": SEAMS.replace("RING", _ring())}[name]
    path = folder / f"{name}.yaml"
    path.write_text(text + _eyes(), encoding="utf-8")
    return path


def _eyes() -> str:
    """Seventy eyes in two rows all round and one in front, of every kind; cameras known and unknown."""
    lines = []
    for k in range(70):
        turn, far, up = 2.399963 * k, 3.2 + 0.11 * k, 0.7 + 0.021 * k
        x, y = far * math.sin(turn), (-abs(far * math.cos(turn)) if k % 3 else far * math.cos(turn))
        kind = KINDS[k % len(KINDS)]
        camera = ", field of view: 60 deg, pixels: 1920" if kind == "camera" else ""
        lines.append(f"  - {{id: E{k}, kind: {kind}, at: [{x:.6f} m, {y:.6f} m, {up:.6f} m]{camera}}}\n")
    return "".join(lines)


def _ring() -> str:
    """A ring round the false arm, in the plane z = 1.25 m, a little off its surface."""
    turn = [2 * math.pi * k / 24 for k in range(25)]
    return "[" + ", ".join(f"[{0.052 * math.cos(a):.6f} m, {0.052 * math.sin(a):.6f} m, 1.25 m]" for a in turn) + "]"
