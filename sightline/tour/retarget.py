"""A scene's mark and facing solved for another venue: only they move, and never against the rules that bind `advise`.

First what `advise` finds round the scene's own mark, by crosses and turns; where somebody still sees a secret, the whole
acting area is ranked by direction fields, the best marks are looked at by rays, and `advise` finishes from the best.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.blocking.advise import SAMPLE_EYES, advise
from sightline.blocking.levers import Change, cross_to, turn_to, turnable
from sightline.blocking.notation import acting_area, blocking_words
from sightline.blocking.placing import weights
from sightline.blocking.refusals import Refusals
from sightline.blocking.trial import Outcome, Refused, Trier, keeps
from sightline.house.build import House
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.report import rounded
from sightline.tour.store import Result
from sightline.units import printed_angle, printed_length

KINDS = frozenset({"turn", "cross"})
# The acting area is asked in so many steps each way, no finer than this, at so many facings all round.
STEPS, FINEST_M, FACINGS = 8, 0.25, 24
# So many of the best marks by fields are looked at by rays.
BEST_MARKS = 12


@dataclass(frozen=True)
class Solved:
    """A scene with a mark and facing, and what that comes to on all eyes."""

    written: Written[Scene]
    after: Outcome

    @property
    def rank(self) -> tuple[float, float]:
        return self.after.weighted, self.after.badness


def retarget(written: Written[Scene]) -> Result:
    """The scene's text with the mark and facing that hide most from most here. Raises SightlineError."""
    if written.model.blocking.beats:
        sentence = "A scene with beats is not retargeted: its ways belong to its stage. Retarget one beat as a scene."
        raise written.problem(("blocking", "beats"), sentence)
    every = Trier(written)
    base = every.trial(())
    house = every.whole_house
    refusals = Refusals(written, house)
    forbidden = refusals.keep_out.refusal(np.array([written.model.blocking.mark]), written.model.blocking.from_edges)
    best: Solved | None = None
    if isinstance(base, Outcome) and forbidden is None:
        best = _finished(written)
    if best is None or best.after.eyes_seen:
        started = _elsewhere(written, every, base, refusals, house)
        if started is not None:
            finished = _finished(started)
            if _allowed(base, finished.after, refusals, _prime(written)) and (
                best is None or finished.rank < best.rank
            ):
                best = finished
    if best is None:
        why = forbidden or (base.why if isinstance(base, Refused) else "")
        raise written.problem(("blocking", "mark"), f"No mark of this venue's acting area will do. {why}".strip())
    return _told(written, house, base, best, forbidden, refusals)


def _finished(written: Written[Scene]) -> Solved:
    """The best that crosses and turns near the mark make of it; the scene itself where they make nothing better."""
    found = advise(written, KINDS, 2)
    best = Solved(written, found.before)
    for suggestion in found.suggestions:
        solved = Solved(_reread(written, suggestion.after.text), suggestion.after)
        if solved.rank < best.rank:
            best = solved
    return best


def _reread(written: Written[Scene], text: str) -> Written[Scene]:
    return scene_from_text(text, written.document.file, written.folder, written.root)


def _elsewhere(
    written: Written[Scene], every: Trier, base: Outcome | Refused, refusals: Refusals, house: House
) -> Written[Scene] | None:
    """The scene on the best mark of the acting area, by rays on a sample of the eyes; None where there is none."""
    placing = every.placing(())
    if not placing.staged.goes_along:
        return None
    spots = [
        spot
        for spot in _spots(house)
        if refusals.keep_out.refusal(np.array([spot]), written.model.blocking.from_edges) is None
    ]
    if not spots:
        return None
    turns = [2 * math.pi * k / FACINGS for k in range(FACINGS)] if turnable(written) else [0.0]
    facing = placing.staged.facing_rad
    grid = [(spot, turn) for spot in spots for turn in turns]
    shown = placing.rank(
        np.array([spot for spot, _ in grid]), np.array([facing + turn for _, turn in grid])
    ) @ weights(house.eyes)  # fmt: skip
    mark = np.array(written.model.blocking.mark)
    away = [float(np.hypot(*(np.array(spot) - mark))) for spot, _ in grid]
    order = sorted(
        range(len(grid)), key=lambda i: (float(shown[i]), away[i], abs(math.remainder(grid[i][1], 2 * math.pi)))
    )
    best: dict[tuple[float, float], int] = {}
    for i in order:
        best.setdefault(grid[i][0], i)
        if len(best) == BEST_MARKS:
            break
    ids = _sample(house, refusals)
    trier = Trier(written, ids, rough=True)
    tried: list[tuple[tuple[float, float, float], tuple[Change, ...]]] = []
    for spot, i in best.items():
        turn = math.remainder(grid[i][1], 2 * math.pi)
        changes = _to(written, spot, facing, turn)
        outcome = trier.trial(changes)
        if isinstance(outcome, Outcome):
            whole = every.trial(changes)
            if isinstance(whole, Outcome) and _allowed(base, whole, refusals, _prime(written)):
                tried.append(((whole.weighted, whole.badness, whole.cost), changes))
                if not whole.eyes_seen:
                    break
    if not tried:
        return None
    _, changes = min(tried, key=lambda item: item[0])
    return every.changed([edit for change in changes for edit in change.edits])


def _to(written: Written[Scene], spot: tuple[float, float], facing: float, turn: float) -> tuple[Change, ...]:
    mark = written.model.blocking.mark
    changes = []
    if spot != mark:
        changes.append(cross_to(written, mark, (spot[0] - mark[0], spot[1] - mark[1])))
    if abs(turn) > 1e-9:
        changes.append(turn_to(written, facing, turn))
    return tuple(changes)


def _spots(house: House) -> list[tuple[float, float]]:
    """Marks all over the acting area, none on its very edge."""
    x_min, x_max, y_min, y_max = acting_area(house)
    across = _steps(x_min, x_max)
    return [(x, y) for y in _steps(y_min, y_max) for x in across]


def _steps(low: float, high: float) -> list[float]:
    count = max(1, min(STEPS, int((high - low) / FINEST_M)))
    gap = (high - low) / count
    return [round(low + (k + 0.5) * gap, 4) for k in range(count)]


def _sample(house: House, refusals: Refusals) -> frozenset[str]:
    ids = [eye.id for eye in house.eyes]
    every = max(1, -(-len(ids) // SAMPLE_EYES))
    return frozenset(ids[::every]) | refusals.protected


def _prime(written: Written[Scene]) -> list[str]:
    scene = written.model
    return [scene.puppet.name] if scene.puppet else [thing.name for thing in scene.must_see]


def _allowed(base: Outcome | Refused, after: Outcome, refusals: Refusals, prime: Sequence[str]) -> bool:
    """Whether nobody loses what they may not lose. Where nothing can be seen from the scene's own mark, nothing is lost."""
    if not isinstance(base, Outcome):
        return True
    return refusals.of_outcome(base, after) is None and keeps(base, after, prime)


def _told(
    written: Written[Scene], house: House, base: Outcome | Refused, best: Solved, forbidden: str | None, refusals: Refusals
) -> Result:  # fmt: skip
    blocking, after = written.model.blocking, best.after
    before_rad = base.facing_rad if isinstance(base, Outcome) else _facing(written)
    mark = f"[{printed_length(after.mark_m[0])}, {printed_length(after.mark_m[1])}]"
    moved = best.written.document.text != written.document.text
    edits = []
    if moved and after.mark_m != blocking.mark:
        edits.append({"path": "blocking.mark", "value": mark})
    if moved and abs(after.facing_rad - before_rad) > 1e-9:
        edits.append({"path": "blocking.facing", "value": printed_angle(math.degrees(after.facing_rad))})
    why = forbidden or (base.why if isinstance(base, Refused) else None)
    return {
        "rows": [], "text": best.written.document.text, "edits": edits, "own_mark_refused": why,
        "before": None if isinstance(base, Refused) else {"seen": base.eyes_seen, "people_seen": rounded(base.weighted)},
        "after": {"seen": after.eyes_seen, "people_seen": rounded(after.weighted)},
        "words": blocking_words(blocking.mark, after.mark_m, before_rad, after.facing_rad, acting_area(house)),
        "not_checked": refusals.not_checked(),
    }  # fmt: skip


def _facing(written: Written[Scene]) -> float:
    said = written.model.blocking.facing
    return float(np.arctan2(said[0], -said[1])) if isinstance(said, tuple) else said or 0.0
