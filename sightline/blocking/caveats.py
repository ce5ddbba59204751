"""What a rehearsal takes for granted, and what it does not look at."""

from __future__ import annotations

from collections.abc import Sequence

from sightline.blocking.company import Company
from sightline.blocking.posed import attitude
from sightline.blocking.stager import Stager
from sightline.blocking.timeline import Scheme, held_of
from sightline.blocking.wayside import NOT_DRAWN
from sightline.staging.stage import ON_THE_WAY, Staged


def assumptions(stager: Stager, company: Company, schemes: Sequence[Scheme]) -> list[str]:
    """What is taken for granted beside what the scene itself takes."""
    blocking, prop = stager.written.model.blocking, stager.written.model.prop
    ease = "slowly away, slowly to rest (smooth)" if blocking.ease == "smooth" else "at an even pace"
    out = [company.note()]
    if any(scheme.moving for scheme in schemes):
        out.append(f"On the way from beat to beat the performer goes {ease}, turning the short way round.")
        out.append("While performer or prop move, all that goes along moves, so nothing of it is faint.")
    if stager.left_out:
        out.append(f"Out of reach while the prop is moved, so left out there: {', '.join(sorted(stager.left_out))}.")
    if len(stager.staged.act.poses) > 1:
        out.append("At a beat its puppet moves and rest may happen, on the way to the next one those of both.")
    if prop is not None and any(attitude(prop.at, held_of(scheme)) != prop.at for scheme in schemes):
        out.append("While the prop is moved, arms, cloth and hands follow it as they would if it were held there.")
    return out


def not_checked(staged: Staged, quick: int, again: int, disagreements: int) -> list[str]:
    """What was not looked at. `quick` moments were judged with fields, `again` of them by rays alone as well."""
    rest = [said for said in staged.moment().not_checked if said not in (ON_THE_WAY, staged.beats_elsewhere)]
    out = ["what happens between two frames", *rest]
    if quick:
        differ = f"{disagreements} verdicts differed, the worse were kept" if disagreements else "no verdict differed"
        out.append(
            f"{quick} moments were judged by direction fields, with rays for every doubtful pair; {again} of them, one a "
            f"second, were judged once more by rays alone ({differ}). All beats and all else are judged by rays alone."
        )
    if staged.house.lamps:
        out.append("shadows of secrets while the performer moves: see sightline check for the mark itself")
    if staged.has_performer:
        out.append(NOT_DRAWN)
    return out
