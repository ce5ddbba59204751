"""Small tours of plain shapes: a disc behind a larger disc, and a few eyes of which it is known who sees past it."""

from __future__ import annotations

from pathlib import Path

# Plate of 0.3 m, 0.3 m before a disc of 0.1 m: from 4 m or more away in front it hides all, from the side nothing.
ACT = """
version: 1
title: Two plates
blocking: {mark: [0 m, 1 m]}
covers: [{name: plate, disc: {radius: 0.3 m}, at: [0 m, -0.3 m, 1.2 m], carried: yes}]
secrets: [{name: target, disc: {radius: 0.1 m}, two sided: yes, at: [0 m, 0 m, 1.2 m], carried: yes}]
must see: [{name: owl, disc: {radius: 0.1 m}, at: [0 m, -0.5 m, 1.6 m], carried: yes}]
# This comment stays.
venue:
  # Its own audience, which a tour leaves at home.
  eyes:
    - {id: A, at: [0 m, -5 m, 1.2 m]}
detail: 20 mm
"""

BEATS = """
version: 1
title: Two plates
blocking:
  beats:
    - {at: 0 s, name: in front, mark: [0 m, 1 m], hold: 2 s}
    - {at: 4 s, name: aside, mark: [1 m, 1 m], facing: 80 deg, hold: 2 s}
covers: [{name: plate, disc: {radius: 0.3 m}, at: [0 m, -0.3 m, 1.2 m], carried: yes}]
secrets: [{name: target, disc: {radius: 0.1 m}, two sided: yes, at: [0 m, 0 m, 1.2 m], carried: yes}]
must see: [{name: owl, disc: {radius: 0.1 m}, at: [0 m, -0.5 m, 1.6 m], carried: yes}]
venue: {eyes: [{id: A, at: [0 m, -5 m, 1.2 m]}]}
"""

# Two in front, and three people at the side who see it edge on past the plate.
HALL = """
version: 1
name: Village Hall
stage: {kind: floor, width: 4 m, depth: 3 m}
eyes:
  - {id: A1, at: [-0.5 m, -4 m, 1.2 m]}
  - {id: A2, at: [0.5 m, -4 m, 1.2 m]}
  - {id: side, at: [4 m, -1 m, 1.2 m], weight: 3}
"""

FRONT = """
version: 1
name: In front only
eyes:
  - {id: A1, at: [-0.5 m, -4 m, 1.2 m]}
  - {id: A2, at: [0.5 m, -4 m, 1.2 m]}
"""

# Nothing to read in it.
BROKEN = "version: 1\nname: Broken\nseats: [{block: x}]\n"

TOUR = """
version: 1
title: Autumn
venues: [hall.yaml, {use: front.yaml, name: In front}]
scenes: [act.yaml]
variants:
  - {name: as it is}
  - {name: wide, change: {"covers[0].disc.radius": 1.2 m}}
"""


def put(folder: Path, tour: str = TOUR, **files: str) -> Path:
    """The tour's file in a folder with everything it names; `files` by stem come on top."""
    own = {"act": ACT, "beats": BEATS, "hall": HALL, "front": FRONT, "broken": BROKEN} | files
    for name, text in own.items():
        (folder / f"{name}.yaml").write_text(text.lstrip(), encoding="utf-8")
    path = folder / "tour.yaml"
    path.write_text(tour.lstrip(), encoding="utf-8")
    return path


def many(folder: Path, venues: int = 6, eyes: int = 60, draws: int = 0) -> Path:
    """A tour of so many venues that each take a while: rows of eyes in an arc, with margins."""
    names = []
    for n in range(venues):
        at = [(-6 + 12 * k / (eyes - 1), -4 - 0.1 * n) for k in range(eyes)]
        lines = [f"  - {{id: E{k}, at: [{x:.3f} m, {y:.2f} m, 1.3 m]}}" for k, (x, y) in enumerate(at)]
        names.append(f"v{n}.yaml")
        (folder / names[-1]).write_text("version: 1\nname: V\neyes:\n" + "\n".join(lines) + "\n", encoding="utf-8")
    text = (
        f"version: 1\ntitle: Season\nvenues: [{', '.join(names)}]\nscenes: [act.yaml, front-act.yaml]\nmargins: yes\n"
    )
    text += f"drift: {{draws: {draws}, seed: 3}}\n" if draws else ""
    return put(folder, text, **{"front-act": ACT.replace("0.3 m}, at", "0.5 m}, at")})
