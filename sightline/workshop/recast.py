"""A second body in the same act: what changes, what stays, what cannot work, and who sees what before and after."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from sightline.errors import FileError
from sightline.figure.sheet import BodySheet
from sightline.props.falselimb import LENGTH_SHARE
from sightline.scene.editing import EditError, edited
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.fieldcache import FieldCache
from sightline.staging.body import Body
from sightline.workshop import recastplace as place
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.bodyswap import Wanted, body_in, recast_text
from sightline.workshop.limits import MENDABLE, RANK
from sightline.workshop.recastlook import Look, looks, mending_turn, turned_text
from sightline.workshop.recastrows import SAME, Row, act_rows, body_rows, limb_sizes
from sightline.workshop.section import Item

Tick = Callable[[int, int], None]
# Steps in which the work is told.
STEPS = 8


@dataclass(frozen=True)
class Change:
    """One figure of the act before and after; `told` ones go with the body and are for nobody to set."""

    key: str
    before: Row
    after: Row


@dataclass(frozen=True)
class Limit:
    """What cannot work with the new body: which limit, and the finding in a sentence."""

    limit: str
    words: str


@dataclass(frozen=True)
class MarkSeen:
    """One mark or beat with both bodies, facing as before. `turn_deg` (positive: to the performer's own left) mends it
    and is in the new text; `seen_turned` eyes see a secret then."""

    before: Look
    after: Look
    turn_deg: int | None = None
    seen_turned: int | None = None

    @property
    def worse(self) -> bool:
        """Whether anybody sees something who did not, or the mark cannot be played any more."""
        return bool(set(self.after.seen) - set(self.before.seen)) or bool(self.after.why and not self.before.why)


@dataclass(frozen=True)
class Recast:
    """`text` is the scene with the new performer and the changes it needs; `fits` whether it can be put together."""

    before: BodySheet
    after: BodySheet
    text: str
    fits: bool
    changes: tuple[Change, ...]
    stays: tuple[str, ...]
    cannot: tuple[Limit, ...]
    look_at: tuple[str, ...]
    by_hand: tuple[str, ...]
    marks: tuple[MarkSeen, ...]
    assumptions: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = field(default=())
    cautions: tuple[str, ...] = ()


ASSUMPTIONS = (
    "The prop is set so that what the hands hold lies from the shoulder as it did, in arm lengths; what is built is moved "
    "only where the new body cannot do with it.",
    f"A prop, plate or hole is moved from {place.SET_M * 1000:.0f} mm on, a hole cut larger from "
    f"{place.CUT_M * 1000:.0f} mm on (common practice, no source).",
)
NOT_CHECKED = (
    "whether costume, straps and shoes are there in the new performer's size",
    "how long the new performer holds the load and learns the act; an old injury: ask, and for pain a licensed professional",
)


def recast(
    written: Written[Scene], wanted: Wanted, cache: FieldCache | None = None, tick: Tick | None = None
) -> Recast:
    """Put another body into the act. Raises SightlineError for a body that cannot be, or a scene that does not stand."""
    done = 0

    def step() -> None:
        nonlocal done
        done += 1
        if tick:
            tick(min(done, STEPS - 1), STEPS)

    step()
    bench = bench_of(written)
    old = bench.body
    if old is None:
        raise written.problem((), "The scene has no performer to recast.")
    text = recast_text(written, wanted)
    new = body_in(place.reread(written, text))
    same = same_body(old, new)
    if not same:
        shift = place.prop_shift(bench, new)
        edits = [
            *place.prop_edits(bench.scene, shift), *place.plate_edits(bench, new, shift), *place.tape_edits(bench, new)
        ]  # fmt: skip
        text = edited(text, edits)
        step()
        text = place.mount_text(bench, place.size_text(bench, new, place.hole_text(bench, new, text)))
    step()
    cannot: list[Limit] = []
    after: Bench | None = None
    try:
        after = bench_of(place.reread(written, text))
    except FileError as error:
        cannot += [Limit(limit_of(problem.path, problem.sentence), problem.sentence) for problem in error.problems]
    marks: tuple[MarkSeen, ...] = ()
    look_at: list[str] = []
    if after is not None:
        broken, look_at = _worse(bench, after)
        cannot += broken
        step()
        text, after, marks = _marks(bench, after, same, cache or FieldCache(), step)
        cannot += [Limit("beat", f"'{m.after.name}': {m.after.why}") for m in marks if m.after.why and not m.before.why]
    changes, stays = _rows(bench, after, body_rows(old), body_rows(new))
    granted, unseen = _rests_on(bench, after)
    return Recast(
        old.sheet, new.sheet, text, after is not None, tuple(changes),
        (*stays, *_stays(bench, after)), tuple(cannot), tuple(look_at),
        () if same else tuple(_by_hand(bench.scene, wanted)), marks, granted, unseen, _cautions(new.sheet),
    )  # fmt: skip


def _rests_on(bench: Bench, after: Bench | None) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is taken for granted and not looked at: of the recast, and of both scenes, whose bodies differ."""
    staged = [bench.staged, *([after.staged] if after is not None else [])]
    granted = dict.fromkeys([*ASSUMPTIONS, *(said for one in staged for said in one.notes)])
    return tuple(granted), tuple(dict.fromkeys([*NOT_CHECKED, *staged[-1].moment().not_checked]))


def _cautions(new: BodySheet) -> tuple[str, ...]:
    """Another body comes under the load; a child's work is under the law."""
    from sightline.blocking.cautions import CHILD
    from sightline.workshop.load import CAUTIONS

    return (*CAUTIONS, CHILD) if new.child else CAUTIONS


def same_body(old: Body, new: Body) -> bool:
    """Whether no size differs by what anybody could measure."""
    before, after = old.sheet.dimensions(), new.sheet.dimensions()
    shoes = abs(new.skeleton.shoe_m - old.skeleton.shoe_m) <= SAME["m"]
    return shoes and all(abs(after[key] - value) <= SAME["m"] for key, value in before.items())


def limit_of(path: str, sentence: str) -> str:
    """Which limit a refusal is about: reach, anatomy, opening or body."""
    if "opening" in sentence or path.startswith("prop.openings"):
        return "opening"
    if "joint" in sentence.casefold():
        return "anatomy"
    if path.startswith(("puppet", "false limbs", "pose")):
        return "reach"
    return "body" if path.startswith("performer") else "build"


def _found(bench: Bench) -> dict[str, tuple[str, Item]]:
    from sightline.workshop import anatomy, load, mounts, openings, reach, release, seeing

    found: dict[str, tuple[str, Item]] = {}
    for make in (reach, openings, anatomy, mounts, load, seeing, release):
        part = make.section(bench)
        found |= {f"{part.name}: {item.key}": (part.name, item) for item in (*part.top, *part.items)}
    return found


def _worse(bench: Bench, after: Bench) -> tuple[list[Limit], list[str]]:
    """What says no now and did not, by its limit; and what is only worse than it was."""
    before, now = _found(bench), _found(after)
    broken: list[Limit] = []
    look_at: list[str] = []
    for key, (section, item) in now.items():
        was = before[key][1].state if key in before else "told"
        if RANK[item.state] <= RANK[was]:
            continue
        if item.state == "no" and item.key not in MENDABLE:
            broken.append(Limit({"openings": "opening", "mounts": "mount"}.get(section, section), item.words))
        else:
            look_at.append(item.words)
    return broken, look_at


def _marks(
    bench: Bench, after: Bench, same: bool, cache: FieldCache, step: Callable[[], None]
) -> tuple[str, Bench, tuple[MarkSeen, ...]]:
    """Every mark with both bodies; where more see a secret, the least turn that mends it is written into the text."""
    before = looks(bench.written, bench.staged, step)
    if same:
        return after.written.document.text, after, tuple(MarkSeen(look, look) for look in before)
    now = looks(after.written, after.staged, step)
    turns: dict[int | None, tuple[int, int]] = {}
    was = {look.beat: look for look in before}
    written = after.written
    for look in now:
        old = was.get(look.beat)
        if old is None or look.why or not MarkSeen(old, look).worse:
            continue
        step()
        turn = mending_turn(after.written, after.staged, look, len(old.seen), cache)
        if turn is None:
            continue
        try:
            text = turned_text(written, look, turn[0])
        except EditError:
            text = None
        if text is not None:
            turns[look.beat] = turn
            written = place.reread(bench.written, text)
    if written is not after.written:
        after = bench_of(written)
    marks = tuple(
        MarkSeen(was[look.beat], look, *turns.get(look.beat, (None, None))) for look in now if look.beat in was
    )
    return written.document.text, after, marks


def _rows(
    bench: Bench, after: Bench | None, old: dict[str, Row], new: dict[str, Row]
) -> tuple[list[Change], list[str]]:  # fmt: skip
    before = old | act_rows(bench)
    now = new | (act_rows(after) if after else {})
    changes, stays = [], []
    for key, row in before.items():
        if key not in now:
            continue
        if abs(now[key].value - row.value) > SAME[row.unit]:
            changes.append(Change(key, row, now[key]))
        elif not row.told:
            stays.append(f"{row.what}: {row.words()}")
    return changes, stays


def _stays(bench: Bench, after: Bench | None) -> Iterator[str]:
    """What no figure tells: the things themselves, and whether the old false arm may go on."""
    scene = bench.scene
    if bench.box is not None and bench.prop is not None:
        yield f"{bench.prop.name}: walls and outside size"
    if scene.puppet is not None:
        yield f"{scene.puppet.name}: its grip in the prop, and its moves"
    if scene.blocking.beats:
        yield "times, cues and places of the beats"
    if after is None:
        return
    for old in bench.false_arms:
        new = next((arm for arm in after.false_arms if arm.name == old.name), None)
        if new is None:
            continue
        have, need = (sum(limb_sizes(arm)[key][1] for key in ("upper arm", "forearm")) for arm in (old, new))
        off = have / need - 1.0
        if SAME["share"] < abs(off) <= LENGTH_SHARE:
            yield (
                f"{old.name} as built may stay for a while: it is {abs(off) * 100:.1f} % "
                f"{'longer' if off > 0 else 'shorter'} than the new arm, and up to {LENGTH_SHARE * 100:.0f} % passes "
                "(common practice, no source); its shoulder end must be trimmed or padded to meet the shoulder"
            )


def _by_hand(scene: Scene, wanted: Wanted) -> Iterator[str]:
    """What was made, drawn or asked for the old body and cannot be refigured here."""
    if scene.performer is not None and scene.performer.allergies is not None and "allergies" not in wanted.keys:
        yield "Allergies were asked of the old performer: ask the new one, and write allergies anew."
    for part in scene.rig:
        if part.strap is not None and part.strap.path is not None:
            yield f"The path of '{part.strap.name}' is drawn on the old body: lay it anew and write its points."
        if part.mesh is not None and part.mesh.on == "performer":
            yield f"'{part.mesh.name}' is a mesh in the old performer's frame: place it anew."
    for piece in scene.costume:
        if piece.shirt is not None and piece.shirt.slot is not None:
            yield f"The slot of '{piece.shirt.name}' is where the old arm leaves it: mark it anew on the new performer."
        if piece.mesh is not None and piece.mesh.on == "performer":
            yield f"'{piece.mesh.name}' is a mesh made for the old body: it must be altered or made anew."
    for limb in scene.false_limbs:
        if limb.mesh is not None:
            name = limb.name or f"false {limb.replaces}"
            yield f"'{name}' is a mesh of the old arm and stays where it was: move it, and see its length in sightline fit."
