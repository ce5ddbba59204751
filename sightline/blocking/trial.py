"""A changed scene tried out: the edited text is read, staged and looked at, so nothing is believed that is not written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sightline.blocking.levers import Change
from sightline.blocking.placing import Placing, weights
from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.house.build import House
from sightline.moment import Pose
from sightline.scene.editing import Edit, edited
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds
from sightline.staging.audience import audience
from sightline.staging.places import kept
from sightline.staging.stage import Staged, facing_of, put_together

# Leaks up to this size weigh more the larger they are, when changes are compared that leave as many eyes seeing.
FULL_ARCMIN = 120.0
# A must-see that is the point of the act, the puppet above all, must stay clear for this share of those who had it.
KEPT_SHARE = 0.9
ROUGH_DETAIL_M = 0.030


@dataclass(frozen=True)
class Outcome:
    """What changes come to, over the eyes looked at: `seen` (e,) the worst verdict of each, `clear` (e,) per must-see."""

    changes: tuple[Change, ...]
    ids: tuple[str, ...]
    weight: FloatArray
    seen: NDArray[np.int8]
    badness: float
    clear: dict[str, NDArray[np.bool_]]
    by_secret: dict[str, int]
    text: str
    mark_m: tuple[float, float]
    facing_rad: float
    poses: int

    @property
    def cost(self) -> float:
        return sum(change.cost for change in self.changes)

    @property
    def eyes_seen(self) -> int:
        return int((self.seen == 2).sum())

    @property
    def weighted(self) -> float:
        return float(self.weight[self.seen == 2].sum())


@dataclass(frozen=True)
class Refused:
    """Changes that are not to be made, and why in one sentence."""

    changes: tuple[Change, ...]
    why: str


class Trier:
    """Tries changes of one scene on some or all of its eyes, each set of changes once."""

    def __init__(self, written: Written[Scene], only: frozenset[str] | None = None, rough: bool = False):
        """`only`: ids of the eyes that are asked. `rough`: for searching, with heads still, fewer elbow positions and
        larger patches."""
        sway = not rough
        self.rough = rough
        self.written, self.only = written, only
        noticing = written.model.noticing
        self.thresholds = Thresholds(noticing.spot_arcmin, noticing.line_arcsec, noticing.sway and sway)
        self._tried: dict[tuple[Edit, ...], Outcome | Refused] = {}
        self._staged: dict[tuple[Edit, ...], Placing] = {}
        self.looks = 0
        self.first: Finding | None = None

    @cached_property
    def house(self) -> House:
        return self._some(self.whole_house)

    @cached_property
    def whole_house(self) -> House:
        return kept(self.written, audience(self.written))

    def _some(self, house: House) -> House:
        if self.only is None:
            return house
        return replace(house, eyes=[eye for eye in house.eyes if eye.id in self.only])

    def trial(self, changes: Sequence[Change]) -> Outcome | Refused:
        """What the changes come to; Refused where the scene cannot be so (out of reach, no such place)."""
        edits = tuple(edit for change in changes for edit in change.edits)
        if edits not in self._tried:
            try:
                self._tried[edits] = self._try(tuple(changes), edits)
            except SightlineError as error:
                self._tried[edits] = Refused(tuple(changes), error.sentence)
        return self._tried[edits]

    def finding(self, changes: Sequence[Change], must_sees: bool = True) -> tuple[Finding, Written[Scene], Placing]:
        """The exact check of a changed scene; raises SightlineError or Misfit where it cannot be."""
        edits = tuple(edit for change in changes for edit in change.edits)
        written = self.changed(edits)
        placing = self._placing(edits, written)
        blocking = written.model.blocking
        # Of the changed text, not of the staging: that may serve marks and facings other than those it was made with.
        facing = facing_of(
            written, ("blocking",), blocking.facing, blocking.aim_at, blocking.mark, self.whole_house.eyes
        )
        self.looks += 1
        return placing.exact(blocking.mark, facing, must_sees=must_sees), written, placing

    def changed(self, edits: Sequence[Edit]) -> Written[Scene]:
        """The scene with its text edited, read anew."""
        text = edited(self.written.document.text, edits)
        return scene_from_text(text, self.written.document.file, self.written.folder, self.written.root)

    def placing(self, changes: Sequence[Change]) -> Placing:
        """The changed scene ready to be placed."""
        edits = tuple(edit for change in changes for edit in change.edits)
        return self._placing(edits, self.changed(edits))

    def _placing(self, edits: tuple[Edit, ...], written: Written[Scene]) -> Placing:
        """The changed scene staged; one that only stands elsewhere is not staged anew."""
        venue = written.model.venue
        # Who is kept back, and which sector is closed, goes by the mark.
        moved = ("facing",) if venue and (venue.keep_back or venue.closed_sectors) else ("mark", "facing")
        act = tuple(edit for edit in edits if not (edit.path[0] == "blocking" and edit.path[1] in moved))
        if act in self._staged and self._staged[act].staged.goes_along:
            return self._staged[act]
        changed_house = any(edit.path[0] in ("venue", "eyes") or edit.path == ("blocking", "mark") for edit in act)
        house = self._some(kept(written, audience(written))) if changed_house else self.house
        staged = put_together(written, house)
        placing = Placing(_roughened(staged) if self.rough else staged, self.thresholds)
        # One act is asked about again and again only while it is placed; more than a few would fill the memory.
        if len(self._staged) > 6:
            self._staged.pop(next(iter(self._staged)))
        self._staged[act] = placing
        return placing

    def _try(self, changes: tuple[Change, ...], edits: tuple[Edit, ...]) -> Outcome:
        finding, written, placing = self.finding(changes)
        if not changes:
            self.first = finding
        house = placing.staged.house
        weight = weights(house.eyes)
        badness = np.zeros(len(house.eyes))
        for found in finding.secrets.values():
            size = np.minimum(1.0, found.size_arcmin / FULL_ARCMIN)
            badness += np.where(found.verdict == 2, 0.3 + 0.7 * size, 0.1 * (found.verdict == 1))
        return Outcome(
            changes, tuple(eye.id for eye in house.eyes), weight, finding.worst_verdict(),
            float((weight * badness).sum()), {name: found.clear for name, found in finding.must_see.items()},
            {name: int((found.verdict == 2).sum()) for name, found in finding.secrets.items()},
            written.document.text, written.model.blocking.mark, finding.moment.plan.facing_rad,
            len(placing.staged.act.poses),
        )  # fmt: skip


def _roughened(staged: Staged) -> Staged:
    """The same act in fewer poses: of every move the elbow at both ends and in the middle; cut up more coarsely."""
    by_move: dict[str, list[Pose]] = {}
    for pose in staged.act.poses:
        by_move.setdefault(pose.name.split(", elbow")[0], []).append(pose)
    poses = [group[i] for group in by_move.values() for i in sorted({0, len(group) // 2, len(group) - 1})]
    return replace(staged, act=replace(staged.act, poses=poses), detail_m=max(staged.detail_m, ROUGH_DETAIL_M))


def lost(before: Outcome, after: Outcome, name: str) -> int:
    """How many who had a clear view of a must-see, and are still there, no longer have it."""
    if name not in before.clear or name not in after.clear:
        return 0
    still = {eye: bool(clear) for eye, clear in zip(after.ids, after.clear[name], strict=True)}
    return sum(not still.get(eye, True) for eye, clear in zip(before.ids, before.clear[name], strict=True) if clear)


def keeps(before: Outcome, after: Outcome, names: Sequence[str]) -> bool:
    """Whether at least KEPT_SHARE of those who had a clear view of each of the must-sees still have it."""
    for name in names:
        had = int(before.clear[name].sum()) if name in before.clear else 0
        if lost(before, after, name) > (1 - KEPT_SHARE) * had + 1e-9:
            return False
    return True


def sample_of(finding: Finding, ids: Sequence[str], most: int) -> frozenset[str]:
    """Ids of at most about `most` eyes that stand for all: those worst off per secret, and every so many of the rest."""
    if len(ids) <= most:
        return frozenset(ids)
    chosen: dict[int, None] = {}
    for found in finding.secrets.values():
        order = np.argsort(-found.sighting.seen.rank, kind="stable")
        chosen |= dict.fromkeys(int(i) for i in order[:2] if found.verdict[i] > 0)
    rest = np.linspace(0, len(ids) - 1, max(2, most - len(chosen))).round().astype(int)
    chosen |= dict.fromkeys(int(i) for i in rest)
    return frozenset(ids[i] for i in chosen)
