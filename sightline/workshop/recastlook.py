"""Who sees what with one body and with the other: the check of `sightline check` on the mark and on every beat."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from sightline.blocking.beats import Step, steps
from sightline.blocking.posed import Posed, restaged
from sightline.blocking.trial import KEPT_SHARE
from sightline.errors import SightlineError
from sightline.scene.editing import Edit, edited
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds, check
from sightline.sight.fieldcache import FieldCache
from sightline.staging.stage import Staged
from sightline.units import printed_angle

# Within this a facing is mended by a turn; beyond it is another blocking. Common practice, no source.
MOST_TURN_DEG = 20


@dataclass(frozen=True)
class Look:
    """One mark as asked: `beat` None is the scene's own. `seen` are the ids of the eyes that see a secret.

    `why`: in a sentence, what stands in the way where it could not be asked.
    """

    name: str
    beat: int | None
    mark_m: tuple[float, float]
    facing_rad: float
    eyes: int
    seen: tuple[str, ...]
    faint: int = 0
    clear: tuple[tuple[str, int], ...] = ()
    why: str | None = None


def looks(written: Written[Scene], staged: Staged, tick: Callable[[], None]) -> list[Look]:
    """The scene's own mark, then every beat that stands, faces or holds the prop otherwise. By rays alone."""
    limits = thresholds_of(written.model)
    tick()
    own = check(staged.moment(), limits)
    worst = own.worst_verdict()
    ids = [eye.id for eye in own.moment.eyes]
    clear = tuple((name, int(found.clear.sum())) for name, found in own.must_see.items())
    seen = tuple(eye for eye, verdict in zip(ids, worst, strict=True) if verdict == 2)
    out = [Look("the mark", None, staged.mark_m, staged.facing_rad, len(ids), seen, int((worst == 1).sum()), clear)]
    for step in distinct(written, staged):
        tick()
        try:
            found = posed(written, staged, step).checked(step.mark_m, step.facing_rad)
        except SightlineError as error:
            out.append(Look(step.name, step.index, step.mark_m, step.facing_rad, len(ids), (), why=error.sentence))
            continue
        worst = found.worst_verdict()
        there = tuple(eye.id for eye, verdict in zip(found.moment.eyes, worst, strict=True) if verdict == 2)
        out.append(
            Look(step.name, step.index, step.mark_m, step.facing_rad, len(worst), there, int((worst == 1).sum()))
        )
    return out


def distinct(written: Written[Scene], staged: Staged) -> Iterator[Step]:
    """Beats that ask something else than those before them; none without beats."""
    if not written.model.blocking.beats:
        return
    known = set()
    for step in steps(written, staged.house.eyes):
        held = tuple(getattr(step.held, key) for key in type(step.held).model_fields)
        key = (step.mark_m, step.facing_rad, held, step.moves)
        if key not in known:
            known.add(key)
            yield step


def posed(written: Written[Scene], staged: Staged, step: Step, cache: FieldCache | None = None) -> Posed:
    """The act as one beat has it. Raises FileError where the prop cannot be held so."""
    moves = None if step.moves is None else frozenset(step.moves)
    here = restaged(written, staged, step.held, moves)
    return Posed(here, thresholds_of(written.model), cache, moves=moves)


def thresholds_of(scene: Scene) -> Thresholds:
    return Thresholds(scene.noticing.spot_arcmin, scene.noticing.line_arcsec, scene.noticing.sway)


def mending_turn(
    written: Written[Scene], staged: Staged, look: Look, most_seen: int, cache: FieldCache
) -> tuple[int, int] | None:
    """The least turn in whole degrees, positive to the performer's own left, after which no more eyes see a secret than
    `most_seen`, and how many still do; what must be seen stays clear for those who had it, but for a tenth.

    Confirmed by rays alone. None where no turn of up to MOST_TURN_DEG does, or the mark cannot be asked.
    """
    if not staged.goes_along:
        return None
    if look.beat is None:
        asked = Posed(staged, thresholds_of(written.model), cache)
    else:
        step = next(step for step in steps(written, staged.house.eyes) if step.index == look.beat)
        asked = posed(written, staged, step, cache)
    had = _clear(asked.checked(look.mark_m, look.facing_rad, must_sees=True))
    for size in range(1, MOST_TURN_DEG + 1):
        for turn in (size, -size):
            facing = look.facing_rad + math.radians(turn)
            if int((asked.quick(look.mark_m, facing).worst_verdict() == 2).sum()) > most_seen:
                continue
            found = asked.checked(look.mark_m, facing, must_sees=True)
            left = int((found.worst_verdict() == 2).sum())
            kept = _clear(found)
            if left <= most_seen and all(kept[name] >= KEPT_SHARE * count for name, count in had.items()):
                return turn, left
    return None


def _clear(found: Finding) -> dict[str, int]:
    return {name: int(must.clear.sum()) for name, must in found.must_see.items()}


def turned_text(written: Written[Scene], look: Look, turn_deg: int) -> str | None:
    """The scene's text with this mark's facing turned; later beats that took theirs over from it keep what they had.

    None where the facing is an aim at an eye, which is not for a figure to replace.
    """
    blocking, text = written.model.blocking, written.document.text
    facing = printed_angle(math.degrees(look.facing_rad) + turn_deg)
    if look.beat is None:
        if blocking.aim_at is not None:
            return None
        edits = [Edit(("blocking", "facing"), facing)]
        if blocking.beats and blocking.beats[0].facing is None and blocking.beats[0].aim_at is None:
            edits.append(Edit(("blocking", "beats", 0, "facing"), printed_angle(math.degrees(look.facing_rad))))
        return edited(text, edits)
    if blocking.beats[look.beat].aim_at is not None:
        return None
    edits = [Edit(("blocking", "beats", look.beat, "facing"), facing)]
    after = look.beat + 1
    if after < len(blocking.beats) and blocking.beats[after].facing is None and blocking.beats[after].aim_at is None:
        edits.append(Edit(("blocking", "beats", after, "facing"), printed_angle(math.degrees(look.facing_rad))))
    return edited(text, edits)
