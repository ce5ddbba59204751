"""From a scene to one moment: figure, props and house put together, and set on a mark."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np

from sightline.errors import FileError, Problem, gathering, printable
from sightline.geometry.frame import Placement, about_z
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.build import House
from sightline.house.eyes import Eye
from sightline.moment import Moment, MustSee, PlanOutline, Pose, Secret
from sightline.props.plain import shape_mesh
from sightline.scene.asbuilt import BuiltTaken
from sightline.scene.blocking import Blocking
from sightline.scene.fields import Facing
from sightline.scene.outdoors import Outdoors, open_questions, stop_words
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.scene.shapes import SecretShape
from sightline.staging.act import Act, act_of
from sightline.staging.audience import audience
from sightline.staging.hidden import ELBOWS
from sightline.staging.imported import sided
from sightline.staging.lighting import light_not_checked, light_notes
from sightline.staging.noticed import noticing_notes
from sightline.staging.places import kept
from sightline.units import printed_length

# Shapes without a back: as secrets they count from the side they face, unless both are asked for.
FLAT = ("disc", "rectangle")
# What a command of its own looks at, which then leaves it out of its list.
ON_THE_WAY = "what happens on the way from beat to beat (sightline rehearse)"
STRAYING = "straying from the mark (sightline drift)"
# How a still command's sentence on the beats begins; `sightline rehearse` looks at them and leaves it out.
BEATS_ELSEWHERE = "beats held elsewhere: "
SLITS = "slits narrower than what the samples can miss, however long (sightline check --thorough)"
NOT_CHECKED = (
    "sound, smell and behaviour of the audience; colour and brightness of light",
    ON_THE_WAY,
    STRAYING,
    "how cloth hangs, creeps and moves, by draught, walking or breathing",
    "whether flesh and clothing clear the opening's edge; loads and fit",
)

Mark = tuple[float, float]
# Nearer than this a beat is held where the still act is: a few millimetres, a tenth of a degree. Common practice, no source.
SAME_MARK_M, SAME_FACING_RAD = 0.003, math.radians(0.1)
# Ids named one by one in a note.
MOST_IDS = 5


@dataclass(frozen=True)
class Staged:
    """A scene put together, not yet on a mark.

    `act` goes with the performer, in the performer's own frame; `plain` stays where the scene put it.
    """

    title: str
    act: Act
    plain: Act
    house: House
    heads_count: bool
    detail_m: float
    notes: tuple[str, ...]
    mark_m: Mark
    facing_rad: float
    has_performer: bool
    outdoors: Outdoors | None = None
    slits: bool = False
    beats_elsewhere: str | None = None

    def moment(self, mark_m: Mark | None = None, facing_rad: float | None = None) -> Moment:
        """The moment on a mark (default the scene's own), in the frame of the stage."""
        mark = self.mark_m if mark_m is None else mark_m
        facing = self.facing_rad if facing_rad is None else facing_rad
        act = self.act.placed(placement(mark, facing))
        return self._moment(act, self.plain, self.house.scenery, tuple(self.house.eyes), mark, facing)

    @property
    def goes_along(self) -> bool:
        """Whether everything secret or to be seen goes with the performer."""
        return not (self.plain.secrets or self.plain.must_see)

    def own(self) -> Moment:
        """The act alone, nobody looking: in the performer's own frame where everything goes along.

        Otherwise as it is on the scene's mark, with all that the scene itself placed, in the frame of the stage.
        """
        if self.goes_along:
            return self._moment(self.act, Act(), [], (), (0.0, 0.0), 0.0)
        act = self.act.placed(placement(self.mark_m, self.facing_rad))
        act.covers += self.plain.covers
        return self._moment(act, replace(self.plain, covers=[]), [], (), self.mark_m, self.facing_rad)

    def seen_from(self, own: Moment, mark_m: Mark, facing_rad: float, eyes: tuple[Eye, ...] | None = None) -> Moment:
        """The moment on a mark, in the frame of `own`: audience and setting are moved round the act.

        `own` is what `own()` gave; its act stays the very same, so that what was built for it serves again. `eyes`
        (in the frame of the stage) stand in for the house's where people have moved.
        """
        there = self.house.eyes if eyes is None else eyes
        if not self.goes_along:
            if (mark_m, facing_rad) != (self.mark_m, self.facing_rad):
                raise ValueError("something secret or to be seen stays behind when the performer moves")
            return replace(own, eyes=tuple(there), setting=tuple(self.house.scenery), mirrors=tuple(self.house.mirrors))
        back = placement(mark_m, facing_rad).inverse()
        at = back.points(np.array([eye.position_m for eye in there], dtype=float).reshape(-1, 3))
        covers = [Cover(c.name, c.mesh.placed(back)) for c in (*self.plain.covers, *self.house.scenery)]
        return replace(
            own,
            eyes=tuple(replace(eye, position_m=(x, y, z)) for eye, (x, y, z) in zip(there, at.tolist(), strict=True)),
            setting=tuple(covers),
            mirrors=tuple(mirror.placed(back) for mirror in self.house.mirrors),
            lamps=tuple(lamp.placed(back) for lamp in self.house.lamps),
            plan=replace(own.plan, mark_m=mark_m, facing_rad=facing_rad),
        )

    def _moment(
        self, act: Act, plain: Act, scenery: list[Cover], eyes: tuple[Eye, ...], mark: Mark, facing: float
    ) -> Moment:
        still = Pose(
            "still",
            tuple(act.covers),
            (*act.secrets, *plain.secrets),
            (*act.must_see, *plain.must_see),
        )
        house = self.house
        return Moment(
            self.title, still, tuple(act.poses), eyes, tuple(act.apertures),
            setting=(*plain.covers, *scenery), heads_count=self.heads_count, detail_m=self.detail_m, slits=self.slits,
            assumptions=self.notes,
            not_checked=(
                *NOT_CHECKED, *([self.beats_elsewhere] if self.beats_elsewhere else ()), *(() if self.slits else (SLITS,)),
                *open_questions(self.outdoors), *light_not_checked(house),
            ),
            plan=PlanOutline(
                tuple(house.outlines), mark if self.has_performer else None, facing, house.name, tuple(house.levels)
            ),
            mirrors=tuple(house.mirrors), lamps=tuple(house.lamps),
        )  # fmt: skip


def placement(mark_m: Mark, facing_rad: float) -> Placement:
    """Where the performer's own frame is on the stage."""
    return Placement(about_z(facing_rad), np.array([*mark_m, 0.0]))


def stage(written: Written[Scene]) -> Moment:
    """The moment a scene describes. Raises SightlineError with the place of whatever does not go together."""
    return put_together(written).moment()


def put_together(written: Written[Scene], house: House | None = None, elbows: int = ELBOWS) -> Staged:
    """The scene with all its parts made. `house`: its audience, as kept from places, where known from before. `elbows`:
    positions of the hidden elbow that are looked at, at most, for every puppet move.

    Raises SightlineError with the place of whatever does not go together.
    """
    scene = written.model
    carried = any(shape.carried for shape in (*scene.covers, *scene.secrets, *scene.must_see))
    if scene.performer is None and not scene.secrets:
        raise written.problem((), "The scene has nothing secret: give a performer who hides an arm, or secrets.")
    problems: list[Problem] = []
    act, plain = Act(), Act()
    with gathering(problems):
        house = house or kept(written, audience(written))
        if not house.eyes:
            raise written.problem((), "Nobody is watching: the scene has no eyes. Give a venue or eyes.")
    facing, mark = 0.0, scene.blocking.mark
    with gathering(problems):
        facing = _still_facing(written, house.eyes if house else [])
        act = act_of(written, elbows)
    notes = act.notes
    for i, cover in enumerate(scene.covers):
        with gathering(problems), written.at("covers", i, *([cover.shape_key] if cover.shape_key else [])):
            whose = act if cover.carried else plain
            whose.covers.append(Cover(cover.name, shape_mesh(cover, written.mesh)))
    for i, shape in enumerate(scene.must_see):
        with gathering(problems), written.at("must see", i, *([shape.shape_key] if shape.shape_key else [])):
            whose = act if shape.carried else plain
            whose.must_see.append(MustSee(shape.name, sided(shape.name, shape_mesh(shape, written.mesh), [])[0]))
    covers = [*act.covers, *plain.covers, *(house.scenery if house else [])]
    for i, secret in enumerate(scene.secrets):
        with gathering(problems):
            whose = act if secret.carried else plain
            whose.secrets.append(_plain_secret(written, i, secret, covers, notes))
    flat = [s.name for s in scene.secrets if s.shape_key in FLAT and not s.two_sided]
    if flat:
        notes.append(f"Flat, and so secret on the side they face only (two sided: yes counts both): {', '.join(flat)}.")
    if problems or house is None:
        raise FileError(problems)
    names = [c.name for c in covers]
    hidden = (*act.secrets, *plain.secrets, *act.poses[0].secrets)
    names += [s.name for s in hidden]
    _refuse_twins(written, names)
    granted = _general_notes(written, house.eyes, any(secret.path is not None for secret in hidden))
    return Staged(
        scene.title, act, plain, house, scene.heads == "count", _detail(scene),
        tuple(_first_beat_notes(scene.blocking) + notes + house.notes + light_notes(house) + granted), mark, facing,
        scene.performer is not None or carried, scene.venue.outdoors if scene.venue else None,
        beats_elsewhere=_beats_elsewhere(written, facing, house.eyes),
    )  # fmt: skip


def facing_of(
    written: Written[Scene],
    path: tuple[str | int, ...],
    facing: Facing | None,
    aim_at: str | None,
    mark: Mark,
    eyes: list[Eye],
) -> float:
    """The facing in radians: as said at `path` of the scene, or from the mark towards the eye that is aimed at."""
    if aim_at is not None:
        eye = next((e for e in eyes if e.id == aim_at), None)
        if eye is None:
            near = get_close_matches(aim_at, [e.id for e in eyes], n=1)
            hint = f"; did you mean '{near[0]}'?" if near else "."
            raise written.problem((*path, "aim at"), f"There is no eye '{aim_at}' to face{hint}")
        return float(np.arctan2(eye.position_m[0] - mark[0], -(eye.position_m[1] - mark[1])))
    if isinstance(facing, tuple):
        return float(np.arctan2(facing[0], -facing[1]))
    return facing or 0.0


def _still_facing(written: Written[Scene], eyes: list[Eye]) -> float:
    """The facing of the still act, radians. Raises FileError for an eye that is not there, or a first beat's mark."""
    blocking = written.model.blocking
    if blocking.takes_mark and blocking.spot_of(blocking.beats[0]) is None:
        name = str(blocking.beats[0].mark.name if blocking.beats[0].mark else "")
        near = get_close_matches(name, list(blocking.marks), n=1)
        hint = f"; did you mean '{near[0]}'?" if near else "."
        raise written.problem(("blocking", "beats", 0, "mark"), f"There is no mark '{name}' in 'marks'{hint}")
    path: tuple[str | int, ...] = ("blocking", "beats", 0) if blocking.takes_facing else ("blocking",)
    return facing_of(written, path, blocking.facing, blocking.aim_at, blocking.mark, eyes)


def _first_beat_notes(blocking: Blocking) -> list[str]:
    """Which mark and facing the still act took from the first beat, where the scene writes none of its own."""
    if not (blocking.takes_mark or blocking.takes_facing):
        return []
    beat = blocking.beats[0]
    named = f" '{beat.mark.name}'" if beat.mark and beat.mark.name else ""
    at = f"[{printed_length(blocking.mark[0])}, {printed_length(blocking.mark[1])}]"
    facing = ", facing as that beat does" if blocking.takes_facing else ""
    whose = f"the first beat's mark{named}" if blocking.takes_mark else "the mark"
    return [f"No 'mark' is written in the blocking: the still act stands on {whose} {at}{facing}."]


def _beats_elsewhere(written: Written[Scene], facing_rad: float, eyes: list[Eye]) -> str | None:
    """What to say of beats that are not held as the still act is: on its mark, facing so, the prop as `prop: at` says.

    A place, an eye or a size that cannot be told counts as another.
    """
    scene, blocking = written.model, written.model.blocking
    mark: Mark | None = blocking.mark
    facing: float | None = facing_rad
    at = scene.prop.at if scene.prop else None
    others: set[str] = set()
    count = 0
    for i, beat in enumerate(blocking.beats):
        if beat.mark is not None:
            mark = blocking.spot_of(beat)
        if beat.facing is not None or beat.aim_at is not None:
            try:
                facing = facing_of(written, ("blocking", "beats", i), beat.facing, beat.aim_at, mark or (0, 0), eyes)
            except FileError:
                facing = None
        for key, value in beat.prop or ():
            if value is not None:
                as_written = getattr(at, key, None)
                # A tilt left out is no tilt, unless the heights of two edges say another.
                level = key == "tilt" and as_written is None and at is not None and at.front_edge is None
                same = (0.0 if level else as_written) == value
                others = others - {key} if same else others | {key}
        count += bool(
            others
            or mark is None
            or facing is None
            or math.dist(mark, blocking.mark) > SAME_MARK_M
            or abs(math.remainder(facing - facing_rad, 2 * math.pi)) > SAME_FACING_RAD
        )
    if not count:
        return None
    of = len(blocking.beats)
    return (
        f"{BEATS_ELSEWHERE}{count} of {of} {'has' if count == 1 else 'have'} another mark, facing or hold of the prop than "
        "was looked at (sightline rehearse looks at all of them)"
    )


def _detail(scene: Scene) -> float:
    """Patch spacing: as said, at most 20 mm, and a third of the narrowest opening declared."""
    sizes = [min(opening.size_m) / 3 for opening in scene.prop.openings] if scene.prop else []
    return min([scene.detail, *sizes])


def act_notes(written: Written[Scene]) -> list[str]:
    """What a scene takes for granted wherever it is played: body, poses, noticing. Raises SightlineError as staging does."""
    act = act_of(written)
    own = any(secret.path is not None for secret in (*act.secrets, *act.poses[0].secrets))
    lines = own or any(shape.path is not None for shape in written.model.secrets)
    return [*act.notes, *_general_notes(written, (), lines)]


def _general_notes(written: Written[Scene], eyes: Sequence[Eye], lines: bool) -> list[str]:
    """What is taken for granted of what the scene says and leaves unsaid; `lines`: whether a secret is a seam or strap."""
    scene = written.model
    notes = [
        f"{path} is said as '{text}': its middle is taken." for path, text in written.soft if "unknown" not in text
    ]
    notes += [f"{path} is unknown: the usual value is taken." for path, text in written.soft if "unknown" in text]
    if scene.heads == "ignore":
        notes.append("Other people's heads hide no secret; they do count against what must be seen.")
    stops = stop_words(scene.venue.outdoors if scene.venue else None)
    if stops:
        notes.append(stops)
    notes += [_seen_at_mock_up(taken) for taken in scene.as_built if taken.seen_from]
    return [*notes, *noticing_notes(scene.noticing, eyes, lines)]


def _seen_at_mock_up(taken: BuiltTaken) -> str:
    """What somebody saw at the mock-up: no command computes it, every one must say it."""
    ids = list(dict.fromkeys(taken.seen_from))
    named = ", ".join(ids[:MOST_IDS]) + (f" and {len(ids) - MOST_IDS} more" if len(ids) > MOST_IDS else "")
    when = f" of {printable(taken.date)}" if taken.date.strip() else ""
    who = f" ({printable(taken.by)})" if taken.by.strip() else ""
    count = "that eye" if len(ids) == 1 else "those eyes"
    return (
        f"At the mock-up{when} a secret was seen from {named}{who}: count {count} as seen, whatever is computed here."
    )


def _plain_secret(written: Written[Scene], i: int, shape: SecretShape, covers: list[Cover], notes: list[str]) -> Secret:
    path = ("secrets", i)
    if shape.path is not None:
        if shape.on is not None and shape.on not in {cover.name for cover in covers}:
            raise written.problem((*path, "on"), f"There is no cover named '{shape.on}' for this seam to lie on.")
        points = np.array(shape.path, dtype=float)
        if np.linalg.norm(np.diff(points, axis=0), axis=1).sum() < 1e-6:
            raise written.problem((*path, "path"), "This seam has no length.")
        return Secret(
            shape.name, "seam", Mesh.empty(), covers=False, contrast=shape.contrast,
            path=points, on=shape.on, width_m=shape.width,
        )  # fmt: skip
    with written.at(*path, *([shape.shape_key] if shape.shape_key else [])):
        mesh = shape_mesh(shape, written.mesh)
    two_sided = shape.two_sided
    if shape.mesh is not None and not two_sided:
        mesh, two_sided = sided(shape.name, mesh, notes)
    return Secret(shape.name, shape.kind, mesh, two_sided=two_sided, contrast=shape.contrast, width_m=shape.width)


def _refuse_twins(written: Written[Scene], names: list[str]) -> None:
    twins = sorted({name for name in names if names.count(name) > 1})
    if twins:
        raise written.problem((), f"Two things are named '{twins[0]}'; every cover and secret needs its own name.")
