"""The scene that a new file starts from: a whole, working scene with a comment beside each thing to change.

It is the one template of `sightline new` and of the form: both put the maker's answers in the places of these values.
"""

from __future__ import annotations

TEXT = """\
# A scene for sightline. Change what is yours; everything after a # is a note to you and may be deleted.
# Lengths take mm, cm, m, in or ft (172 cm, 5 ft 8 in). "about 48 cm" and "46-50 cm" are honest answers.
# Look at it with:  sightline check THIS-FILE.yaml
version: 1
title: The Night Courier

# Left and right are always the performer's own.
performer:
  stature: 172 cm          # barefoot, floor to the top of the head
  mass: unknown            # only for loads and estimates: 70 kg, 154 lb
  hide: [left arm]         # the real arm that goes through the back of the box

# How the performer stands. The arm that is not hidden holds the box where "visible hand" says.
pose:
  visible hand: {wall: bottom}

# A box on a harness must come off at once, in one movement: a wearer who cannot get out is hurt. Try it before the act.
# The box, outside sizes: width runs left to right, depth from the performer to the audience.
prop:
  name: parcel crate
  box:
    width: 46 cm
    depth: 34 cm
    height: 30 cm
    wall: 4 mm             # thickness of the sheet it is made of
    top: open              # open or closed
    mass: unknown
  # Where the middle of the box is: ahead of the performer's mark, to the performer's left, above the floor.
  at:
    ahead: 26 cm
    left: 0 cm
    up: 112 cm
    tilt: 0 deg            # positive drops the front edge
  # The hole that the real arm goes through. "at" is its middle: across (to the performer's left) and up
  # from the middle of the wall.
  openings:
    - wall: back
      shape: round         # round has a diameter; slot and rectangle have a width and a height
      diameter: 15 cm
      at: [0 cm, 0 cm]
      for: arm

# The arm that everybody sees. "hand at" is the wall the false hand rests on, and where on it: across from the
# wall's middle, then up. Across runs to the performer's left, and on the side walls towards the performer.
false limbs:
  - replaces: left arm
    hand at: {wall: left, at: [0 cm, -6 cm]}
    elbow: unknown         # how far it is bent: 0 deg is straight, 90 deg is square
    contrast: close        # how its seams stand out: matched, close, visible, strong or stark
    seams:
      - {name: inner seam, side: inner}

# Clothes hide skin and seams. Take away what is not worn.
costume:
  - shirt: {}
  - sleeve: {name: false sleeve, on: false arm, to: 0.95}
  - sleeve: {name: other sleeve, on: visible arm, to: 0.95}

# What the hidden hand works. "grip" is the middle of the fist, from the middle of the box: to the performer's
# left, back towards the performer, up.
puppet:
  name: owl
  form: bird
  height: 34 cm
  grip: [0 cm, -5 cm, 7 cm]
  mass: unknown

# A ready venue by name, or a venue file of your own beside this file (my-hall.yaml).
venue:
  use: proscenium-420

# Where the performer stands: to stage left of the centre line, then upstage of the plaster line (negative is
# towards the audience), or from the middle of a pitch. Facing: 0 deg is full front, positive turns to the
# performer's own left; "1/4 left" and "profile right" are understood too.
blocking:
  mark: [0 m, 1 m]
  facing: 0 deg
"""
