"""One staging of the act as the page holds it: fields for the quick answer, and what the 3D pane draws."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from sightline.blocking.placing import Placing
from sightline.geometry.mesh import Cover, Mesh
from sightline.moment import Moment
from sightline.packet.bundle import packed, short
from sightline.packet.quickfield import QuickField, field_of
from sightline.packet.reduced import Piece, piece
from sightline.pictures.palette import Palette, palette_of
from sightline.scene.scene import Scene

# A piece of a secret may look so wide from the nearest eye: about a seat's breadth at twenty metres.
PIECE_RAD = 0.02
LEAST_PIECE_M, MOST_PIECE_M = 0.03, 0.12
# Eyes no steeper than this are always served, and so much more than the steepest of the house.
LEAST_STEEP_DEG, SPARE_DEG = 45.0, 20.0
SERVES_M = 0.10


@dataclass
class PageAct:
    """`fields` are empty where something stays behind when the performer moves: no other mark can be asked then."""

    placing: Placing
    fields: list[QuickField]
    scene: Scene

    @cached_property
    def own(self) -> Moment:
        return self.placing.own

    @cached_property
    def palette(self) -> Palette:
        body = self.placing.staged.act.body
        return palette_of(self.scene, self.own, body.skeleton if body else None)

    @cached_property
    def pieces(self) -> list[Piece]:
        """What is drawn, in the act's own frame, in its first pose."""
        moment, palette = self.own, self.palette
        poses = [moment.still, *moment.poses[:1]]
        out = [piece(c, palette) for pose in poses for c in pose.covers if len(c.mesh.faces)]
        for pose in poses:
            # A must-see that covers nothing is part of something drawn already.
            out += [piece(Cover(m.name, m.mesh), palette, 2) for m in pose.must_see if m.covers and len(m.mesh.faces)]
            out += [piece(Cover(s.name, s.mesh), palette, 1) for s in pose.secrets if len(s.mesh.faces)]
            out += [
                Piece(s.name, Mesh(s.path, np.zeros((0, 3), dtype=np.int32)), palette.base(s.name), 1)
                for s in pose.secrets
                if s.path is not None
            ]
        return out

    def as_data(self) -> dict[str, Any]:
        """Without the pieces, which several stagings share."""
        focus = self.own.focus_m
        far = [np.linalg.norm(f.centres_m - focus, axis=1).max(initial=0.0) + f.reach_m for f in self.fields]
        return {
            "focus": short(focus, 4),
            "reach": round(float(max(far, default=0.0)), 4),
            "near": [short(values, 4) for values in self._near],
            "fields": [_field(field) for field in self.fields],
        }

    @property
    def _near(self) -> tuple[Any, Any]:
        """The act's box: inside it, and SERVES_M round it, no field serves."""
        corners = [c.mesh.bounds for pose in (self.own.still, *self.own.poses[:1]) for c in pose.surfaces()]
        if not corners:
            return np.zeros(3), np.zeros(3)
        return np.min([low for low, _ in corners], axis=0) - SERVES_M, np.max(
            [high for _, high in corners], axis=0
        ) + SERVES_M


def page_act(placing: Placing, scene: Scene, moves: bool) -> PageAct:
    """The staging with its fields cast; without `moves` with none."""
    if not moves:
        return PageAct(placing, [], scene)
    nearest, steepest = _eyes_reach(placing)
    size = float(np.clip(PIECE_RAD * nearest, LEAST_PIECE_M, MOST_PIECE_M))
    names = placing.own.secret_names()
    return PageAct(placing, [field_of(name, placing.scenery, size, steepest, placing.cache) for name in names], scene)


def _eyes_reach(placing: Placing) -> tuple[float, float]:
    """How near the nearest eye is to the act (m), and how steep (rad) the steepest direction asked must be."""
    staged = placing.staged
    at = placing.moment(staged.mark_m, staged.facing_rad).eye_points() - placing.own.focus_m
    distance = np.linalg.norm(at, axis=1)
    steep = math.degrees(float(np.abs(np.arcsin(at[:, 2] / np.maximum(distance, 1e-6))).max(initial=0.0)))
    return float(distance.min(initial=100.0)), math.radians(min(90.0, max(LEAST_STEEP_DEG, steep + SPARE_DEG)))


def _field(field: QuickField) -> dict[str, Any]:
    secret = field.secret
    return {
        "name": secret.name,
        "side": field.side,
        "pieces": len(field.centres_m),
        "centres": packed(field.centres_m.astype(np.float32)),
        "edge": packed(field.edge),
        "size": packed(field.size) if field.size.size else None,
        "most": short(field.most, 8),
        "moves": secret.moves,
        "line": secret.path is not None,
        "width": secret.width_m,
        "contrast": secret.contrast,
    }
