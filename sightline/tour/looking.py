"""One scene in one venue looked at: the rows of the table that it gives, and what a small plan of it needs.

Static rows are what `check` finds on the scene's own mark, by rays alone. With all beats a row is the worst from its beat
until the next, as `rehearse` finds it. Strayed rows look at the moment of a beat, the mark missed by one draw.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.blocking.beats import Step
from sightline.blocking.placing import weights
from sightline.blocking.posed import Posed
from sightline.blocking.rehearsal import rehearse
from sightline.blocking.stager import Stager, stager_of
from sightline.blocking.timeline import scheme_of
from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.pictures.beatplan import beat_layer
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds, VerdictArray
from sightline.sight.fieldcache import FieldCache
from sightline.sight.margins import margins
from sightline.sight.report import rounded
from sightline.tour.point import Look
from sightline.tour.store import Result

STATIC = "static"


@dataclass
class Act:
    """A scene in its venue, put together once for all its points."""

    written: Written[Scene]
    look: Look

    def __post_init__(self) -> None:
        noticing = self.written.model.noticing
        self.thresholds = Thresholds(noticing.spot_arcmin, noticing.line_arcsec, noticing.sway)
        self.cache = FieldCache()
        self._stager: Stager | None = None

    def meant(self) -> Result:
        """All rows of the act as it is meant. Raises SightlineError."""
        if self.look.beats == STATIC:
            return self._static()
        return self._beats()

    def strayed(self, stray: tuple[float, float, float]) -> Result:
        """All rows of the act with every mark missed by one draw. Raises SightlineError."""
        rows = []
        for name, at_s, finding in self._strayed(stray):
            rows.append(
                _row(name, at_s, finding.moment.eyes, finding.worst_verdict(), finding.size_of_leak())
                | {"looked": "fields, rays in doubt" if self.look.quick else "rays"}
            )
        return {"rows": rows}

    # As meant

    def _static(self) -> Result:
        from sightline.staging.stage import put_together

        staged = put_together(self.written)
        posed = Posed(staged, self.thresholds, self.cache)
        # Without beats in the way: what `check` looks at.
        finding = self._placed_misfits(lambda: posed.checked(staged.mark_m, staged.facing_rad, must_sees=True))
        eyes = finding.moment.eyes
        row = _row(STATIC, None, eyes, finding.worst_verdict(), finding.size_of_leak())
        row["must_see_clear"] = _clear(finding)
        if self.look.margins:
            row["least_margin_deg"] = _least(finding, posed, staged.mark_m, staged.facing_rad)
        mark = staged.mark_m if staged.has_performer else None
        return _picture([row], finding.worst_verdict(), finding.size_of_leak(), eyes, mark, staged.facing_rad)

    def _beats(self) -> Result:
        found = rehearse(self.written, self.look.fps, self.thresholds, self.cache)
        rows, worst, largest = [], np.zeros(len(found.eyes), dtype=np.int8), np.zeros(len(found.eyes))
        for b, step in enumerate(found.steps):
            layer = beat_layer(found, b)
            row = _row(step.name, step.at_s, found.eyes, layer.verdict, layer.size_arcmin)
            if found.lasts:
                row["eye_seconds"] = rounded(found.eye_seconds(None, found.beat_spans_s(b)))
            if self.look.margins or self.written.model.must_see or self.written.model.puppet:
                self._at_beat(found.stager, step, found.company.at(step.mark_m, step.facing_rad), row)
            rows.append(row)
            worst, largest = np.maximum(worst, layer.verdict), np.maximum(largest, layer.size_arcmin)
        first = found.steps[0]
        mark = first.mark_m if found.staged.has_performer else None
        return _picture(rows, worst, largest, found.eyes, mark, first.facing_rad)

    def _at_beat(self, stager: Stager, step: Step, eyes: tuple[Eye, ...], row: dict[str, Any]) -> None:
        """What only the moment of the beat itself tells: who has a clear view, and how much is to spare."""
        posed = stager.posed(scheme_of(step, stager.moves), step.at_s)
        finding = self._placed_misfits(lambda: posed.checked(step.mark_m, step.facing_rad, eyes, must_sees=True))
        row["must_see_clear"] = _clear(finding)
        if self.look.margins and posed.staged.goes_along:
            row["least_margin_deg"] = _least(finding, posed, step.mark_m, step.facing_rad, eyes)

    # Strayed

    def _strayed(self, stray: tuple[float, float, float]) -> Iterator[tuple[str, float | None, Finding]]:
        dx, dy, turn = stray
        if self._stager is None:
            self._stager, self._company, _ = stager_of(self.written, self.thresholds, self.cache, ways=False)
        stager = self._stager
        static = self.look.beats == STATIC
        for step in stager.steps[:1] if static else stager.steps:
            mark, facing = (
                (stager.staged.mark_m, stager.staged.facing_rad) if static else (step.mark_m, step.facing_rad)
            )
            eyes = tuple(stager.staged.house.eyes) if static else self._company.at(mark, facing)
            posed = self._whole if static else stager.posed(scheme_of(step, stager.moves), step.at_s)
            look = posed.quick if self.look.quick else posed.exact
            at = (mark[0] + dx, mark[1] + dy)
            finding = self._placed_misfits(
                lambda look=look, at=at, facing=facing, eyes=eyes: look(at, facing + turn, eyes)
            )
            yield (STATIC if static else step.name), (None if static else step.at_s), finding

    @property
    def _whole(self) -> Posed:
        """The act with all its moves, its fields kept for all strays."""
        assert self._stager is not None
        if not hasattr(self, "_posed"):
            self._posed = Posed(self._stager.staged, self.thresholds, self.cache)
        return self._posed

    def _placed_misfits(self, look: Any) -> Finding:
        """Turn a Misfit into an error that says where the performer stood."""
        try:
            found: Finding = look()
        except Misfit as misfit:
            raise self.written.problem(("blocking",), misfit.sentence) from misfit
        return found


def _row(
    beat: str, at_s: float | None, eyes: tuple[Eye, ...], verdict: VerdictArray, size: FloatArray
) -> dict[str, Any]:
    weight = weights(eyes)
    worst = max(range(len(eyes)), key=lambda i: (int(verdict[i]), float(size[i]), -i))
    return {
        "beat": beat, "at_s": None if at_s is None else rounded(at_s), "eyes": len(eyes), "people": rounded(float(weight.sum())),
        "seen": int((verdict == 2).sum()), "faint": int((verdict == 1).sum()),
        "people_seen": rounded(float(weight[verdict == 2].sum())),
        "worst_eye": eyes[worst].id if verdict[worst] else None,
        "worst_arcmin": rounded(float(size[worst])) if verdict[worst] else None,
        "eye_seconds": None, "least_margin_deg": None, "must_see_clear": None, "looked": "rays",
    }  # fmt: skip


def _clear(finding: Finding) -> int | None:
    """How many eyes have a clear view of every must-see; None without any."""
    views = [seen.clear for seen in finding.must_see.values()]
    return int(np.logical_and.reduce(views).sum()) if views else None


def _least(
    finding: Finding, posed: Posed, mark: tuple[float, float], facing: float, eyes: tuple[Eye, ...] | None = None
) -> float | None:
    """The least margin (deg) over all eyes that see nothing; None where nobody has any or it was too much to find."""
    hidden = finding.hidden()
    if not any(each.any() for each in hidden.values()):
        return None
    moment = posed.staged.seen_from(posed.own, mark, facing, eyes)
    found = margins(moment, hidden, posed.fields)
    known = [found[name][hidden[name]] for name in found]
    values = np.concatenate(known) if known else np.zeros(0)
    values = values[~np.isnan(values)]
    # A tenth of a degree is what is found.
    return round(float(values.min()), 1) if len(values) else None


def _picture(
    rows: list[dict[str, Any]], verdict: VerdictArray, size: FloatArray, eyes: tuple[Eye, ...],
    mark: tuple[float, float] | None, facing: float,
) -> Result:  # fmt: skip
    """The rows, with each eye at its worst for a small plan: verdicts as one digit each, sizes where something shows."""
    return {
        "rows": rows,
        "verdicts": "".join(str(int(v)) for v in verdict),
        "sizes_arcmin": [float(f"{float(s):.3g}") if v else 0 for s, v in zip(size, verdict, strict=True)],
        "mark_m": None if mark is None else [rounded(x) for x in mark], "facing_rad": rounded(facing), "eyes": len(eyes),
    }  # fmt: skip
