"""The ready venues as the questions offer them."""

from __future__ import annotations

from functools import cache


@cache
def venue_marks() -> dict[str, tuple[str, str, str]]:
    """For each ready venue its own name, and a mark to begin with: where the house looks, across and upstage."""
    from sightline.house.ready import ready_names, ready_path
    from sightline.scene.reading import read_venue

    out = {}
    for name in ready_names():
        venue = read_venue(ready_path(name)).model
        out[name] = (venue.name, f"{venue.looks_at[0]:g} m", f"{venue.looks_at[1]:g} m")
    return out
