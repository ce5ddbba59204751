"""From a scene to one moment: figure, props and house put together at the mark."""

from sightline.staging.stage import stage

__all__ = ["stage"]
