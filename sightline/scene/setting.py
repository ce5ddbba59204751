"""The stage and what stands on it or hangs over it, as written."""

from __future__ import annotations

import math

from pydantic import Field, model_validator

from sightline.scene.fields import Distance, Facing, Flag, Length, Offset, Part, Point, Spot, Words, one_of, wrong
from sightline.scene.shapes import BoxSize, CylinderSize, MeshRef, RectangleSize


class Proscenium(Part):
    """The wall with the opening; its upstage face is the plaster line."""

    opening: Length
    height: Length
    thickness: Length = 0.4
    wall: Length | None = None
    header: Length = 3.0

    @model_validator(mode="after")
    def _wall_wider(self) -> Proscenium:
        if self.wall is not None and self.wall <= self.opening:
            raise wrong("The proscenium wall must be wider than its opening.")
        return self


class Stage(Part):
    """The performing floor (z = 0). `depth` is upstage of the plaster line, `apron` downstage on the centre line.

    A floor (a pitch) lies with its centre at the origin; width and depth, or a radius, only draw its outline.
    """

    kind: one_of("proscenium", "thrust", "round", "floor") = "floor"  # type: ignore[valid-type]
    height: Distance = 0.0
    width: Length | None = None
    depth: Length | None = None
    apron: Distance = 0.0
    apron_width: Length | None = None
    edge_radius: Length | None = None
    radius: Length | None = None
    proscenium: Proscenium | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Stage:
        if self.kind == "round" and self.radius is None:
            raise wrong("A round stage needs its radius.")
        if self.kind in ("proscenium", "thrust") and (self.width is None or self.depth is None):
            raise wrong(f"A {self.kind} stage needs its width and depth.")
        if self.kind in ("round", "floor") and (self.apron or self.edge_radius or self.proscenium):
            raise wrong(f"A {self.kind} stage has no apron, front edge radius or proscenium.")
        if self.kind in ("proscenium", "thrust") and self.radius is not None:
            raise wrong(f"A {self.kind} stage has no radius; for a curved front edge write 'edge radius'.")
        if self.edge_radius is not None:
            half = self.front_width_m / 2
            if self.edge_radius < half:
                raise wrong("The edge radius must be at least half the width of the apron.")
            if self.edge_radius - math.sqrt(self.edge_radius**2 - half**2) > self.apron:
                raise wrong("The front edge curves back past the plaster line; a larger apron or edge radius mends it.")
        if self.proscenium and self.width is not None and self.proscenium.opening > self.width:
            raise wrong("The proscenium opening is wider than the stage.")
        return self

    @property
    def front_width_m(self) -> float:
        """Width of the apron: its own, or the proscenium opening, or the stage's."""
        if self.apron_width is not None:
            return self.apron_width
        if self.proscenium is not None:
            return self.proscenium.opening
        return self.width or 0.0


class RailSize(Part):
    """A bar at `height` (its top) above `floor`, or with `solid: yes` a panel down to the floor."""

    start: Spot = Field(alias="from")
    to: Spot
    height: Length
    thickness: Length = 0.05
    floor: Offset = 0.0
    solid: Flag = False

    @model_validator(mode="after")
    def _long(self) -> RailSize:
        if self.start == self.to:
            raise wrong("A rail or wall must lead from one place to another.")
        return self


class WallSize(RailSize):
    """A wall from `floor` up to `height` above it."""

    thickness: Length = 0.1
    solid: Flag = True


SCENERY_KEYS = ("flat", "leg", "border", "column", "box", "mesh", "rail", "wall")


class SceneryPiece(Part):
    """One thing that hides what is behind it.

    `at` is the middle of its foot (of a border: of its bottom edge; of a mesh: its own origin); `facing` turns
    its front. `both sides: yes` sets it and its mirror image across the centre line. `simplify: 5 mm` lets a closed mesh
    with many triangles shrink by so much, never grow: what is doubtful then counts as seen. `mesh up: y` sets a mesh upright
    whose file counts y upwards, as GLB files do.
    """

    name: Words
    flat: RectangleSize | None = None
    leg: RectangleSize | None = None
    border: RectangleSize | None = None
    column: CylinderSize | None = None
    box: BoxSize | None = None
    mesh: MeshRef | None = None
    rail: RailSize | None = None
    wall: WallSize | None = None
    at: Point | None = None
    facing: Facing = 0.0
    both_sides: Flag = False
    mesh_up: one_of("z", "y") = "z"  # type: ignore[valid-type]
    simplify: Length | None = None

    @model_validator(mode="after")
    def _one(self) -> SceneryPiece:
        given = [key for key in SCENERY_KEYS if getattr(self, key) is not None]
        if len(given) != 1:
            got = "none is given" if not given else f"got {' and '.join(given)}"
            raise wrong(f"Exactly one of these belongs here: {', '.join(SCENERY_KEYS)}; {got}.")
        if self.rail is None and self.wall is None and self.at is None:
            raise wrong(f"Say where the {given[0]} stands: at: [across, upstage, up], the middle of its foot.")
        if (self.rail or self.wall) and self.at is not None:
            raise wrong(f"A {given[0]} is placed by its 'from' and 'to', not by 'at'.")
        if self.mesh_up != "z" and self.mesh is None:
            raise wrong("'mesh up' says which way a mesh's file counts upwards; this piece has no mesh.")
        if self.simplify is not None and self.mesh is None:
            raise wrong("Only a mesh is simplified; the other pieces are as simple as they can be.")
        return self
