"""The act put together as each moment of it needs: the prop held so, these moves, this place in the file if it cannot be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from sightline.blocking.beats import Step, step_at, steps
from sightline.blocking.company import Company
from sightline.blocking.notation import clock
from sightline.blocking.posed import Moves, Posed, move_of, restaged
from sightline.blocking.timeline import Scheme, held_of
from sightline.blocking.wayside import check_ways
from sightline.errors import FileError
from sightline.scene.document import path_words
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import Thresholds
from sightline.sight.fieldcache import FieldCache
from sightline.staging.stage import Staged, put_together

StagingKey = tuple[tuple[float | None, ...], Moves, frozenset[str]]


def staging_key(scheme: Scheme) -> StagingKey:
    """Schemes with one key are one staging: only mark and facing differ."""
    return scheme.held, scheme.moves, scheme.optional


@dataclass
class Stager:
    """Stagings by how the prop is held and which moves happen. What changes in every frame is not kept."""

    written: Written[Scene]
    staged: Staged
    steps: Sequence[Step]
    thresholds: Thresholds
    cache: FieldCache | None
    keep: frozenset[StagingKey] = frozenset()
    left_out: set[str] = field(default_factory=set)
    _made: dict[StagingKey, Posed] = field(default_factory=dict)

    @cached_property
    def moves(self) -> list[str]:
        """Names of the puppet's moves that there are, rest among them."""
        return list(dict.fromkeys(move_of(pose.name) for pose in self.staged.act.poses))

    @cached_property
    def stirs(self) -> bool:
        return any(secret.moves for pose in self.staged.act.poses for secret in pose.secrets)

    def posed(self, scheme: Scheme, t_s: float) -> Posed:
        """The act as the scheme has it. Raises FileError, with the beat's place and the second, where it cannot be."""
        key = staging_key(scheme)
        if key in self._made:
            return self._made[key]
        here, moves = self._restaged(scheme, t_s)
        same = here is self.staged
        made = Posed(here, self.thresholds, self.cache, moves=moves, stirs=None if same else self.stirs)
        if key in self.keep or same:
            self._made[key] = made
        return made

    def _restaged(self, scheme: Scheme, t_s: float) -> tuple[Staged, Moves]:
        """The scene with its prop held so; on the way without the moves that only one beat has and nobody can reach."""
        moves, held = scheme.moves, held_of(scheme)
        while True:
            try:
                return restaged(self.written, self.staged, held, moves), moves
            except FileError as error:
                there = moves if moves is not None else frozenset(self.moves)
                paths = {problem.path for problem in error.problems}
                out = {m for m in scheme.optional & there if path_words(("puppet", "moves", m)) in paths}
                if len(out) < len(error.problems):
                    sentence = " ".join(problem.sentence for problem in error.problems[:2])
                    raise self.problem(t_s, sentence, "prop") from error
                self.left_out |= out
                moves = there - out

    def problem(self, t_s: float, sentence: str, key: str | None = None) -> FileError:
        """What goes wrong at a time, with the place of the beat that is on, or on the way to which it is."""
        i = step_at(self.steps, t_s)
        where = f"At {clock(t_s)}, in '{self.steps[i].name}'"
        if i + 1 < len(self.steps) and t_s > self.steps[i].until_s:
            i += 1
            where = f"At {clock(t_s)}, on the way to '{self.steps[i].name}'"
        path: tuple[str | int, ...] = ("blocking", "beats", i, *([key] if key else []))
        return self.written.problem(path, f"{where}: {sentence}")


def stager_of(
    written: Written[Scene], thresholds: Thresholds, cache: FieldCache | None = None, ways: bool = True
) -> tuple[Stager, Company, str | None]:
    """The scene put together, its crowd, and what its venue does not draw.

    Raises FileError for all that does not go together, and with `ways` for marks and ways that cannot be walked.
    """
    staged = put_together(written)
    found = steps(written, staged.house.eyes)
    not_drawn = check_ways(written, found, staged.house) if ways and staged.has_performer else None
    company = Company(
        tuple(staged.house.eyes), written.model.blocking.crowd, found[0].mark_m, found[0].facing_rad
    )  # fmt: skip
    return Stager(written, staged, found, thresholds, cache), company, not_drawn
