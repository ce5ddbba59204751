"""Plain geometry in a scene file: covers, secrets and must-sees without a performer."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import Contrast, Facing, Flag, Length, Part, Point, Positive, Words, as_list, wrong

SHAPE_KEYS = ("disc", "rectangle", "box", "cylinder", "sphere", "mesh")


class DiscSize(Part):
    radius: Length


class RectangleSize(Part):
    width: Length
    height: Length


class BoxSize(Part):
    width: Length
    depth: Length
    height: Length


class CylinderSize(Part):
    radius: Length
    height: Length


class SphereSize(Part):
    radius: Length


class MeshFile(Part):
    """An imported mesh: OBJ, STL, PLY or GLB; metres unless a scale is given."""

    file: Words
    scale: Positive = 1.0


def _mesh_file(value: Any) -> Any:
    return {"file": value} if isinstance(value, str) else value


MeshRef = Annotated[MeshFile, BeforeValidator(_mesh_file)]


class Shape(Part):
    """Exactly one shape, placed: `at` is its centre (of a mesh: its own origin), `facing` turns its front.

    A `carried` one goes with the performer: it is placed from the mark and turned with the facing.
    """

    disc: DiscSize | None = None
    rectangle: RectangleSize | None = None
    box: BoxSize | None = None
    cylinder: CylinderSize | None = None
    sphere: SphereSize | None = None
    mesh: MeshRef | None = None
    at: Point = (0.0, 0.0, 0.0)
    facing: Facing = 0.0
    carried: Flag = False

    @property
    def shape_key(self) -> str | None:
        return next((key for key in SHAPE_KEYS if getattr(self, key) is not None), None)

    def check_one_shape(self, *others: str) -> None:
        """Exactly one shape key, or one of `others`, must be given; raises as pydantic expects."""
        given = [key for key in (*SHAPE_KEYS, *others) if getattr(self, key) is not None]
        if len(given) != 1:
            keys = ", ".join((*SHAPE_KEYS, *others))
            got = "none is given" if not given else f"got {' and '.join(given)}"
            raise wrong(f"Exactly one shape belongs here ({keys}); {got}.")


class CoverShape(Shape):
    """A surface that blocks a view, from both sides."""

    name: Words

    @model_validator(mode="after")
    def _one(self) -> CoverShape:
        self.check_one_shape()
        return self


# A seam is looked at every 5 mm: longer ones fill the memory, and nobody sews them.
MOST_SEAM_M = 500.0


class SecretShape(Shape):
    """A surface, or for seams a line (`path`), that must not be seen."""

    name: Words
    kind: Literal["limb", "seam", "rig", "inside"] = "limb"
    two_sided: Flag = False
    contrast: Contrast = 1.0
    path: Annotated[list[Point], BeforeValidator(as_list), Field(min_length=2, max_length=100_000)] | None = None
    on: Words | None = None
    width: Length = 0.001

    @model_validator(mode="after")
    def _one(self) -> SecretShape:
        self.check_one_shape("path")
        if (self.kind == "seam") != (self.path is not None):
            raise wrong(
                "A seam is given by its path, and a path is a seam: write kind: seam with path: [[x, y, z], ...]."
            )
        if self.path is not None and (length := sum(map(math.dist, self.path, self.path[1:]))) > MOST_SEAM_M:
            raise wrong(f"This seam is {length:,.0f} m long; the most here is {MOST_SEAM_M:g} m.")
        if self.on is not None and self.path is None:
            raise wrong("'on' says on which cover a seam's path lies; this secret has no path.")
        return self


class MustSeeShape(Shape):
    """A surface the audience should see."""

    name: Words

    @model_validator(mode="after")
    def _one(self) -> MustSeeShape:
        self.check_one_shape()
        return self
