"""The smallest scene on which each command has something to do, and the files that some need beside it."""

from __future__ import annotations

from pathlib import Path

# A carried plate before a carried disc: two in front see nothing, one at the side sees it; and two beats.
PLAIN = """\
version: 1
title: Two plates
covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -0.4 m, 1.2 m], carried: yes}]
secrets: [{name: target, disc: {radius: 2 cm}, two sided: yes, at: [0 m, 0 m, 1.2 m], carried: yes}]
must see: [{name: owl, disc: {radius: 10 cm}, at: [0 m, -0.5 m, 1.7 m], carried: yes}]
blocking: {mark: [0 m, 1 m], facing: 0 deg}
eyes:
  - {id: A1, at: [-0.5 m, -4 m, 1.2 m], kind: seated}
  - {id: A2, at: [0.5 m, -4 m, 1.2 m], kind: seated}
  - {id: side, at: [3 m, -3 m, 1.2 m], kind: seated}
"""
TOUR = "version: 1\ntitle: Season\nvenues: [hall.yaml, front.yaml]\nscenes: [plain.yaml]\n"
HALL = """\
version: 1
name: Village Hall
stage: {kind: floor, width: 4 m, depth: 3 m}
eyes:
  - {id: A1, at: [-0.5 m, -4 m, 1.2 m]}
  - {id: side, at: [4 m, -1 m, 1.2 m], weight: 3}
"""
FRONT = "version: 1\nname: In front\neyes: [{id: A1, at: [-0.5 m, -4 m, 1.2 m]}, {id: A2, at: [0.5 m, -4 m, 1.2 m]}]\n"


def put(folder: Path) -> Path:
    """Write the plain scene and its tour into a folder; gives the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    texts = {"plain.yaml": PLAIN, "tour.yaml": TOUR, "hall.yaml": HALL, "front.yaml": FRONT}
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


# Three people before the scene that `new` starts from: each command that needs a body has one.
AUDIENCE = """\
eyes:
  - {id: A1, at: [-1 m, -3 m, 1.2 m], kind: seated}
  - {id: A2, at: [1 m, -3 m, 1.2 m], kind: seated}
  - {id: side, at: [3 m, 0 m, 1.2 m], kind: seated}
"""


def dressed() -> str:
    """The scene that `new` starts from, with this small audience and its hidden elbow pinned."""
    from sightline.form.start import defaults, new_scene

    text = new_scene(defaults())
    head, _, rest = text.partition("venue:\n  use: ")
    rest = rest.partition("\n")[2]
    assert rest
    return head.replace("pose:\n", "pose:\n  hidden elbow: -30 deg\n") + rest + AUDIENCE
