"""The creature in the box, as a closed mesh with the grip at its origin, front towards -y."""

from __future__ import annotations

import numpy as np

from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import sphere


def puppet_mesh(form: str, height_m: float) -> Mesh:
    """A bird or a ball of the given height, metres; it stands on the grip."""
    if form == "ball":
        ball = sphere(height_m / 2)
        return Mesh(ball.vertices + [0, 0, height_m / 2], ball.faces)
    return _bird(height_m)


def _bird(height_m: float) -> Mesh:
    """Body, head, beak, brows and wings in one smooth solid; sizes are shares of the height."""
    from manifold3d import Manifold, OpType

    def egg(
        size: tuple[float, float, float], at: tuple[float, float, float], nod_deg: float = 0.0, roll_deg: float = 0.0
    ) -> Manifold:
        half = np.array(size) / 2
        return Manifold.sphere(1.0, 28).scale(half.tolist()).rotate([nod_deg, roll_deg, 0]).translate(list(at))

    parts = [
        egg((0.62, 0.52, 0.74), (0, 0, 0.35), -6),
        egg((0.56, 0.48, 0.46), (0, -0.05, 0.74)),
        # Beak, the two brow tufts, folded wings.
        egg((0.09, 0.20, 0.15), (0, -0.30, 0.70), -35),
        egg((0.11, 0.12, 0.26), (0.15, -0.06, 0.96), 14, 18),
        egg((0.11, 0.12, 0.26), (-0.15, -0.06, 0.96), 14, -18),
        egg((0.16, 0.44, 0.60), (0.28, 0.05, 0.36), -12),
        egg((0.16, 0.44, 0.60), (-0.28, 0.05, 0.36), -12),
        # Eyes, proud of the face.
        egg((0.15, 0.08, 0.15), (0.12, -0.265, 0.79)),
        egg((0.15, 0.08, 0.15), (-0.12, -0.265, 0.79)),
    ]
    solid = Manifold.batch_boolean(parts, OpType.Add)
    low, high = solid.bounding_box()[2], solid.bounding_box()[5]
    scale = height_m / (high - low)
    return Mesh.from_manifold(solid.translate([0, 0, -low]).scale([scale] * 3).simplify(2e-4))
