"""How the fit is judged, as written: whose joints, and what is added to bare flesh."""

from __future__ import annotations

from typing import Literal

from sightline.scene.fields import Distance, Length, Part


class Fitting(Part):
    """What `sightline fit` takes for granted, where it should be something else.

    `ages` and `limits` choose the published joint limits. `glove`, `clothing` and `movement` are added to the breadth of
    hand and arm where they go through an opening: in all, not per side. `clothing` defaults to the sleeve on the
    hidden arm. `grid` is the spacing of the grip points that are tried in the prop.
    """

    ages: Literal["adult", "over 65"] | None = None
    limits: Literal["usual", "aaos", "ama", "boone-azen", "macedo-magee", "walker", "p5"] | None = None
    glove: Distance = 0.0
    clothing: Distance | None = None
    movement: Distance = 0.020
    grid: Length = 0.020
