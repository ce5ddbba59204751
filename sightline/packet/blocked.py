"""Marks, spikes and cues of a scene, as the stage manager's papers want them."""

from __future__ import annotations

from dataclasses import dataclass

from sightline.blocking import beats, cues
from sightline.blocking.beats import Step
from sightline.blocking.cues import Cue
from sightline.blocking.marks import Spike, Tapes, spike_table, tapes_of
from sightline.blocking.notation import acting_area, datum
from sightline.blocking.wayside import check_ways
from sightline.house.outline import Outline
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.audience import audience


@dataclass(frozen=True)
class Blocked:
    """The marks in order, the cues, the two tapes, and what must be watched. `from_what`: the depth's datum."""

    steps: tuple[Step, ...]
    spikes: tuple[Spike, ...]
    cues: tuple[Cue, ...]
    tapes: Tapes
    from_what: str
    outlines: tuple[Outline, ...]
    warnings: tuple[str, ...]


def blocked_of(written: Written[Scene]) -> Blocked:
    """Raises FileError where a way leads through scenery or a beat cannot be."""
    house, blocking = audience(written), written.model.blocking
    steps = beats.steps(written, house.eyes)
    tapes = tapes_of(blocking, house.outlines)
    spikes = spike_table(steps, blocking, house.outlines)
    sheet = cues.cue_sheet(steps, acting_area(house))
    not_drawn = check_ways(written, steps, house)
    poor = [said for spike in spikes if (said := spike.warning())]
    found = [*beats.warnings(steps, blocking.ease), *poor, *cues.warnings(sheet), *([not_drawn] if not_drawn else [])]
    return Blocked(
        tuple(steps), tuple(spikes), tuple(sheet), tapes, datum(house.outlines), tuple(house.outlines), tuple(found)
    )
