"""Everything the papers are made from, worked out once and only when a paper asks for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from sightline.errors import SightlineError
from sightline.packet.frame import Block
from sightline.packet.paper import Kind, LeftOut, PaperName
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds
from sightline.workshop.bench import Bench

if TYPE_CHECKING:
    from sightline.blocking.clock import Clock
    from sightline.blocking.placing import Placing
    from sightline.blocking.rehearsal import Rehearsal
    from sightline.moment import Moment
    from sightline.packet.blocked import Blocked
    from sightline.pattern.made import Made
    from sightline.pictures.palette import Palette
    from sightline.sight.fieldcache import FieldCache
    from sightline.workshop.cards import Card
    from sightline.workshop.section import Section

# Frames a second of the rehearsal behind the seats not to be sold, beats.csv and the cue order: as many as `sightline
# rehearse` looks at, so that no paper sells a seat which that finds. A frame in two seconds misses some on the way.
FPS = 4.0


def _silent(_: str) -> None:
    return None


@dataclass(eq=False)
class Brief:
    """One scene, put together and checked, with margins. `tick` is told what is being worked at."""

    bench: Bench
    finding: Finding
    thresholds: Thresholds
    scene_name: str
    paper: PaperName = "a4"
    cache: FieldCache | None = None
    tick: Callable[[str], None] = field(default=_silent)

    @property
    def scene(self) -> Scene:
        return self.bench.scene

    @property
    def moment(self) -> Moment:
        return self.finding.moment

    @property
    def has_act(self) -> bool:
        """Whether there is a performer; a scene of plain shapes has none."""
        return self.bench.body is not None

    def act(self) -> Bench:
        """The bench, where there is a performer. Raises LeftOut."""
        if not self.has_act:
            raise LeftOut("The scene is of plain shapes: it has no performer.")
        return self.bench

    def block(self, kind: Kind) -> Block:
        # What is for everybody goes by its public name.
        public = self.scene.papers.production if kind.openness == "open" else None
        return Block(
            public or self.scene.title, self.moment.plan.venue, self.scene_name, kind.title, ", ".join(kind.for_whom),
            kind.openness, self.scene.papers,
        )  # fmt: skip

    @cached_property
    def accepted(self) -> list[dict[str, Any]]:
        """Leaks that somebody lives with. Raises FileError for seats that are not there."""
        from sightline.staging.acceptance import accepted_leaks

        return accepted_leaks(self.bench.written, self.finding.seen_ids())

    @cached_property
    def palette(self) -> Palette:
        from sightline.pictures.palette import palette_of

        body = self.bench.body
        return palette_of(self.scene, self.moment, body.skeleton if body else None)

    @cached_property
    def placing(self) -> Placing:
        """The act to be asked on any mark. Raises LeftOut where something secret stays behind."""
        from sightline.blocking.placing import Placing

        if not self.bench.staged.goes_along:
            raise LeftOut("Something secret or to be seen stays where it is when the performer moves.")
        return Placing(self.bench.staged, self.thresholds, self.cache)

    @cached_property
    def clock(self) -> Clock:
        """The handler's clock. Raises LeftOut where nothing goes along, or where it cannot be asked."""
        from sightline.blocking.clock import clock_of
        from sightline.blocking.ring import Ring

        self.act()
        self.tick("looking all round")
        return clock_of(Ring(self.placing, self.bench.staged.mark_m, self.bench.staged.facing_rad))

    @cached_property
    def rehearsal(self) -> Rehearsal:
        """The whole act over time. Raises LeftOut without beats."""
        from sightline.blocking.rehearsal import rehearse

        if not self.scene.blocking.beats:
            raise LeftOut("The scene has no beats: nothing is said about time.")
        self.tick("rehearsing")
        return rehearse(self.bench.written, FPS, self.thresholds, self.cache)

    @cached_property
    def blocked(self) -> Blocked:
        """Marks and cues. Raises LeftOut without a performer."""
        from sightline.packet.blocked import blocked_of

        self.act()
        return blocked_of(self.bench.written)

    @cached_property
    def sections(self) -> list[Section]:
        """The fit report. Raises LeftOut without a performer."""
        from sightline.workshop.fit import sections

        bench = self.act()
        self.tick("fit")
        return sections(bench)

    @cached_property
    def cards(self) -> dict[str, Card]:
        """The working cards by their key. Raises LeftOut without a performer."""
        from sightline.workshop.cards import cards_of

        return {card.key: card for card in cards_of(self.act())}

    @cached_property
    def made(self) -> Made:
        """The pattern of the false limb. Raises LeftOut where there is none to cut."""
        from sightline.pattern.made import Wants, bench_for_pattern, make

        self.act()
        if not self.scene.false_limbs:
            raise LeftOut("The scene has no false limb.")
        self.tick("pattern")
        try:
            return make(bench_for_pattern(self.bench.written, None), None, Wants(), lambda _: None)
        except SightlineError as error:
            raise LeftOut(f"The pattern could not be made: {error}") from error
