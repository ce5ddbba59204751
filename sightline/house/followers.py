"""People who walk behind an act along its route."""

from __future__ import annotations

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.house.places import Places
from sightline.house.standing import crowd_places
from sightline.scene.crowd import Followers


def spots_m(written: Followers) -> FloatArray:
    """Where they walk (count, 2): rows behind the act, each across the route where it is. Misfit past either end."""
    route = np.array(written.route)
    lengths = np.linalg.norm(np.diff(route, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    if written.at > along[-1] + 1e-9:
        raise Misfit(("at",), f"The route is {along[-1]:.2f} m long; the act cannot be {written.at:.2f} m along it.")
    rows = -(-written.count // written.abreast)
    far = written.at - written.gap - np.arange(rows) * written.spacing
    if far[-1] < -1e-9:
        raise Misfit(
            ("count",),
            f"{written.count} people {written.abreast} abreast reach {-far[-1]:.2f} m back past the start of the route; "
            "let the act be farther along, or fewer follow.",
        )
    out = []
    for row, back in enumerate(far):
        segment = int(np.clip(np.searchsorted(along, back, side="right") - 1, 0, len(lengths) - 1))
        step = (route[segment + 1] - route[segment]) / (lengths[segment] or 1.0)
        middle = route[segment] + step * (back - along[segment])
        count = min(written.abreast, written.count - row * written.abreast)
        across = (np.arange(count) - (count - 1) / 2) * written.spacing
        out.append(middle + np.outer(across, [step[1], -step[0]]))
    return np.concatenate(out)


def eyes_of(written: Followers) -> Places:
    """The followers, numbered from 1, the row next to the act first."""
    spots = spots_m(written)
    ids = [f"{written.followers} {n}" for n in range(1, len(spots) + 1)]
    return crowd_places(written, ids, spots, written.followers, written.level, written.floor, written.weight)
