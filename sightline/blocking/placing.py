"""One act asked on many marks: what is seen from where when the performer stands there and faces so."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.moment import Moment
from sightline.sight.check import Finding, Thresholds, check
from sightline.sight.fieldcache import FieldCache
from sightline.sight.fields import SIDE, Fields
from sightline.sight.scenery import Scenery
from sightline.staging.stage import Mark, Staged, placement

Eyes = tuple[Eye, ...] | None


@dataclass
class Placing:
    """A staged scene ready to be asked on any mark, in three ways.

    `exact`: rays only, what is printed or exported as hidden. `quick`: direction fields settle what is hidden for
    certain, exact rays the rest; the same verdicts for far less. `rank`: fields alone, about right, to sort by.
    """

    staged: Staged
    thresholds: Thresholds = field(default_factory=Thresholds)
    cache: FieldCache | None = None
    side: int = SIDE

    @cached_property
    def own(self) -> Moment:
        """The act alone in its own frame."""
        return self.staged.own()

    @cached_property
    def scenery(self) -> Scenery:
        """What was built for the act once, and serves on every mark."""
        return Scenery(self.own)

    @cached_property
    def fields(self) -> Fields:
        return Fields(self.scenery, self.side, self.cache)

    def moment(self, mark_m: Mark, facing_rad: float, eyes: Eyes = None) -> Moment:
        """The moment on a mark, in the act's own frame; `eyes` (frame of the stage) in place of the house's."""
        return self.staged.seen_from(self.own, mark_m, facing_rad, eyes)

    def quick(self, mark_m: Mark, facing_rad: float, eyes: Eyes = None, must_sees: bool = False) -> Finding:
        """The verdicts on a mark. Positions in its moment are in the act's own frame. Raises Misfit for buried eyes."""
        moment = self.moment(mark_m, facing_rad, eyes)
        return check(moment, self.thresholds, fields=self.fields, must_sees=must_sees, brief=True)

    def exact(self, mark_m: Mark, facing_rad: float, eyes: Eyes = None, must_sees: bool = False) -> Finding:
        """The same by rays alone."""
        moment = self.moment(mark_m, facing_rad, eyes)
        return check(moment, self.thresholds, must_sees=must_sees, known=self.scenery, brief=True)

    def rank(self, marks_m: FloatArray, facings_rad: FloatArray, eyes: Eyes = None) -> NDArray[np.float64]:
        """About how large (n, e), in sr, the largest secret looks from each eye, on marks (n, 2) with facings (n,).

        Scenery, heads, sway and what each is able to notice are left away: to sort by, never to report.
        """
        there = self.staged.house.eyes if eyes is None else eyes
        at = np.array([eye.position_m for eye in there], dtype=float).reshape(-1, 3)
        out = np.zeros((len(marks_m), len(at)))
        own, fields = self.own, self.fields
        made = [fields.of(secret, 0, False) for secret in own.still.secrets]
        made += [fields.of(secret, i, True) for i, pose in enumerate(own.poses) for secret in pose.secrets]
        for n, (mark, facing) in enumerate(zip(marks_m, facings_rad, strict=True)):
            eyes_there = placement((float(mark[0]), float(mark[1])), float(facing)).inverse().points(at)
            for made_field in made:
                np.maximum(out[n], made_field.glow_sr(eyes_there), out=out[n])
        return out


def weights(eyes: tuple[Eye, ...] | list[Eye]) -> FloatArray:
    """How many people each eye (e,) stands for."""
    return np.array([eye.weight for eye in eyes], dtype=float)


def turned_by(facing_rad: float, turn_rad: float) -> float:
    """A facing after a turn, within half a turn of full front."""
    return math.remainder(facing_rad + turn_rad, 2 * math.pi)
