"""What one person saw at one second: the answer to a complaint, by rays alone."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from sightline.blocking.beats import Step, step_at
from sightline.blocking.notation import clock, degrees_from_front
from sightline.blocking.posed import move_of
from sightline.blocking.rehearsal import FAINT, SEEN
from sightline.blocking.stager import Stager, stager_of
from sightline.blocking.timeline import Scheme, scheme_at
from sightline.errors import Misfit, SightlineError
from sightline.house.eyes import Eye
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import VERDICTS, Finding, Thresholds
from sightline.sight.reasons import reason
from sightline.sight.report import rounded
from sightline.staging.stage import BEATS_ELSEWHERE


@dataclass(frozen=True, eq=False)
class Account:
    """The second, the eye where it then was, the beat that was on (`coming` where it was on the way to another)."""

    written: Written[Scene]
    t_s: float
    eye: int
    scheme: Scheme
    step: Step
    coming: Step | None
    finding: Finding
    stays: frozenset[str] = frozenset()

    @property
    def who(self) -> Eye:
        return self.finding.moment.eyes[self.eye]

    def document(self, scene_name: str) -> dict[str, Any]:
        """The account as one JSON document."""
        finding, i = self.finding, self.eye
        secrets = {name: self._secret(name) for name in finding.secrets}
        must = {
            name: {
                "clear_fraction": rounded(seen.clear_fraction[i]),
                "angular_size_arcmin": rounded(seen.size_arcmin[i]),
                "clear": bool(seen.clear[i]),
            }
            for name, seen in finding.must_see.items()
        }
        # It looks at the beats, so what only still commands leave out is not left out here.
        unseen = [said for said in finding.moment.not_checked if not said.startswith(BEATS_ELSEWHERE)]
        return {
            "schema_version": 1, "title": self.written.model.title, "scene": scene_name, "t_s": rounded(self.t_s),
            "eye": {"id": self.who.id, "kind": self.who.kind, "position_m": [rounded(x) for x in self.who.position_m]},
            "beat": self.step.name, "on_the_way_to": self.coming.name if self.coming else None,
            "mark_m": [rounded(x) for x in self.scheme.mark_m],
            "facing_deg": rounded(degrees_from_front(self.scheme.facing_rad)),
            "moves": None if self.scheme.moves is None else sorted(self.scheme.moves),
            "secrets": secrets, "must_see": must,
            "assumptions": list(finding.moment.assumptions), "not_checked": unseen,
        }  # fmt: skip

    def _secret(self, name: str) -> dict[str, Any]:
        found, i = self.finding.secrets[name], self.eye
        verdict = int(found.verdict[i])
        pose = self.finding.moment.poses[found.sighting.seen.pose[i]].name
        # What moves while it shows is never faint.
        judged = SEEN if verdict == FAINT and self.scheme.moving and name not in self.stays else verdict
        many = len(self.finding.moment.poses) > 1
        return {
            "verdict": VERDICTS[judged],
            "angular_size_arcmin": rounded(found.size_arcmin[i]),
            "missable_arcmin": rounded(math.degrees(found.sighting.missable_rad[i]) * 60),
            "how": reason(self.finding, name, i) if verdict else None,
            "pose": pose if verdict and many else None,
            "move": move_of(pose) if verdict and many else None,
        }


def account(
    written: Written[Scene], at_s: float, eye_id: str, thresholds: Thresholds | None = None
) -> Account:  # fmt: skip
    """What an eye saw at a time of the act. Raises SightlineError for a time outside it, FileError as `rehearse` does.

    `eye_id` must be one of the scene's eyes.
    """
    stager, company, _ = stager_of(written, thresholds or Thresholds(), ways=False)
    start, end = stager.steps[0].at_s, stager.steps[-1].until_s
    if not start <= at_s <= end:
        raise SightlineError(
            f"The act lasts from {clock(start)} to {clock(end)}; nothing is known of {clock(at_s)}."
        )  # fmt: skip
    eye = next((i for i, one in enumerate(company.eyes) if one.id == eye_id), None)
    if eye is None:
        raise SightlineError(f"There is no eye '{eye_id}'.")
    scheme = scheme_at(stager.steps, at_s, written.model.blocking.ease, stager.moves)
    finding = look_at(stager, scheme, at_s, company.at(scheme.mark_m, scheme.facing_rad), must_sees=True)
    i = step_at(stager.steps, at_s)
    step = stager.steps[i]
    coming = stager.steps[i + 1] if i + 1 < len(stager.steps) and at_s > step.until_s else None
    stays = frozenset(secret.name for secret in stager.staged.plain.secrets)
    return Account(written, at_s, eye, scheme, step, coming, finding, stays)


def look_at(
    stager: Stager, scheme: Scheme, t_s: float, eyes: tuple[Eye, ...], must_sees: bool = False
) -> Finding:  # fmt: skip
    """One moment by rays alone, in the frame of the stage, so that reasons name its sides."""
    try:
        return stager.posed(scheme, t_s).checked(scheme.mark_m, scheme.facing_rad, eyes, must_sees)
    except Misfit as misfit:
        raise stager.problem(t_s, misfit.sentence) from misfit
