"""Scenes written in many ways, for the tests of the plan and the page."""

from __future__ import annotations

from sightline.scene.starter import TEXT

BLOCK = """\
# a note on top
version: 1
title: "Grüße an die Eule 🦉"   # kept
performer:
  sex: male
  stature: 5'10"
  hide:
    - left arm
  measured:
    neck: 38 cm    # the neck
    # a note between
    chest: 1.02 m
prop:
  openings:
    - diameter: 15 cm
      wall: back
      for: arm
    - {wall: front, shape: rectangle, width: 20 cm, height: 10 cm, for: puppet}
  box:
    width: 46 cm
    depth: 34 cm
    height: 30 cm
  at:
    up: about 112 cm
    ahead: 34 cm
false limbs:
- replaces: left arm
  hand at:
    wall: left
puppet:
  grip: [0 cm, 0 cm, 2 cm]
venue:
  use: thrust-220
eyes:
  - id: extra eye
    at: [0 m, -5 m, 1.2 m]
    kind: phone
    pixels: 4000
# a note at the end"""

FLOW = """\
{version: 1, performer: {stature: 172 cm, measured: {neck: 38 cm, chest: 102 cm, wrist: 17 cm}, sex: female},
 prop: {name: crate, box: {width: 46 cm, depth: 34 cm, height: 30 cm, wall: 6 mm, }, at: {ahead: 34 cm, up: 112 cm},
        openings: [{wall: back, shape: slot, width: 16 cm, height: 12 cm}]},
 venue: {use: street-circle}, covers: []}
"""

PLAIN = """\
version: 1
secrets: [{name: target, disc: {radius: 10 cm}, at: [0 m, 0 m, 1 m]}]
eyes: {csv: seats.csv}
blocking: {aim at: E1}
notes_are: &x none
""".replace("notes_are: &x none\n", "")

SHARED = """\
version: 1
title: >
  folded
  title
performer: {stature: &tall 172 cm, shoes: *tall}
prop:
  mesh: crate.glb
  at: &hold {ahead: 34 cm, front edge: 1 m, back edge: 1.02 m}
venue:
  eyes: [{id: E1, at: [0 m, -5 m, 1 m]}]
"""

EMPTY_LISTS = """\
version: 1
performer: {stature: 172 cm, hide: []}
prop: {box: {width: 46 cm, depth: 34 cm, height: 30 cm}, at: {ahead: 34 cm, up: 112 cm}, openings: []}
false limbs: []
puppet: {}
"""

SCENES = {
    "starter": TEXT, "block": BLOCK, "windows": BLOCK.replace("\n", "\r\n"), "flow": FLOW, "plain": PLAIN,
    "shared": SHARED, "empty lists": EMPTY_LISTS.replace("puppet: {}\n", ""),
}  # fmt: skip
