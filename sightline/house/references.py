"""The points of a stage that every seat should see."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.scene.venue import Venue


def reference_points(venue: Venue) -> FloatArray:
    """The venue's own (p, 3), or else where it looks at, and as high half way to either side (common practice, no source)."""
    if venue.reference_points:
        return np.array(venue.reference_points, dtype=float)
    look = np.array(venue.looks_at)
    half = half_width_m(venue) / 2
    aside = np.array([half, 0.0, 0.0])
    return np.array([look, look - aside, look + aside]) if half > 0 else look[None]


def half_width_m(venue: Venue) -> float:
    """Half the width that is played on: the opening, the apron, the circle; nothing for a floor without bounds."""
    stage = venue.stage
    if stage.radius is not None:
        return stage.radius
    return (stage.front_width_m if stage.kind in ("proscenium", "thrust") else stage.width or 0.0) / 2
