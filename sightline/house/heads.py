"""The heads of the audience, which may hide a must-see from those behind."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import sphere
from sightline.house.eyes import Eye

# ANSUR II, mean of men's and women's means: head breadth 151 mm, length 195 mm, vertex above the eye 111 mm.
BREADTH_M, LENGTH_M, ABOVE_EYE_M = 0.151, 0.195, 0.111
# Chin below the eye: menton to sellion, from memory.
BELOW_EYE_M = 0.120
_WITHOUT = frozenset({"camera", "point", "phone"})


def heads_of(eyes: Sequence[Eye]) -> list[Mesh]:
    """One mesh of all heads, an ellipsoid behind each pair of eyes; cameras, phones and bare points have none."""
    people = [eye for eye in eyes if eye.kind not in _WITHOUT]
    if not people:
        return []
    ball = sphere(1.0, 1)
    height = (ABOVE_EYE_M + BELOW_EYE_M) / 2
    size = np.array([(BREADTH_M + LENGTH_M) / 4, (BREADTH_M + LENGTH_M) / 4, height])
    at = np.array([eye.position_m for eye in people])
    back = -np.array([eye.facing for eye in people]) * [1.0, 1.0, 0.0]
    centre = at + back * LENGTH_M / 2 + [0, 0, ABOVE_EYE_M - height]
    vertices = (centre[:, None, :] + ball.vertices * size).reshape(-1, 3)
    faces = (ball.faces[None] + (np.arange(len(people)) * len(ball.vertices))[:, None, None]).reshape(-1, 3)
    return [Mesh.of(vertices, faces)]
