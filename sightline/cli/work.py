"""The steps that several commands begin with: read, stage, check."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING

from sightline.errors import Misfit, SightlineError
from sightline.scene.reading import Written, read_scene
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds, check
from sightline.sight.looking import Tick
from sightline.staging.stage import Staged, put_together

if TYPE_CHECKING:
    from sightline.blocking.placing import Placing
    from sightline.house.build import House
    from sightline.moment import Moment
    from sightline.sight.lamps import Shadow


def thresholds(scene: Scene) -> Thresholds:
    """What the scene says about noticing."""
    return Thresholds(scene.noticing.spot_arcmin, scene.noticing.line_arcsec, scene.noticing.sway)


def find(
    path: Path, root: Path | None, tick: Tick | None = None, margins: bool = False
) -> tuple[Written[Scene], Finding]:
    """Read a scene file, put its moment together and check it; with `margins`, also how much there is to spare."""
    written = read_scene(path, root)
    return written, finding_of(written, put_together(written), tick, margins)


def staged_for(written: Written[Scene], thorough: bool, house: House | None = None) -> Staged:
    """The scene put together for a check, or for a thorough one."""
    if not thorough:
        return put_together(written, house)
    from sightline.blocking.thorough import put_together_thoroughly

    return put_together_thoroughly(written, thresholds(written.model), house)


def finding_of(written: Written[Scene], staged: Staged, tick: Tick | None = None, margins: bool = False) -> Finding:
    """The check of a scene that is put together, in the frame of the stage."""
    with misfits_placed(written):
        finding = check(staged.moment(), thresholds(written.model), tick)
    if margins and any(hidden.any() for hidden in finding.hidden().values()):
        from sightline.sight.fieldcache import FieldCache
        from sightline.sight.fields import Fields
        from sightline.sight.margins import margins as margins_of
        from sightline.sight.scenery import Scenery

        own = staged.own()
        fields = Fields(Scenery(own), cache=FieldCache())
        moment = staged.seen_from(own, staged.mark_m, staged.facing_rad)
        finding = finding.with_margins(margins_of(moment, finding.hidden(), fields))
    return finding


@contextmanager
def misfits_placed(written: Written[Scene]) -> Iterator[None]:
    """Turn a Misfit raised inside into an error with the place of the eye or secret in the scene's file."""
    try:
        yield
    except Misfit as misfit:
        raise written.problem(_place(written.model, misfit.path), misfit.sentence) from misfit


def _place(scene: Scene, path: tuple[str | int, ...]) -> tuple[str | int, ...]:
    """The key path of an eye or secret that is told by its name; of a venue's eye, where the performer stands."""
    if len(path) == 2 and path[0] in ("eyes", "secrets"):
        names = [eye.id for eye in scene.eyes] if path[0] == "eyes" else [secret.name for secret in scene.secrets]
        if path[1] in names:
            return (path[0], names.index(str(path[1])), *(("at",) if path[0] == "eyes" else ()))
        return ("blocking",) if path[0] == "eyes" else ()
    return path


def counted_beside(written: Written[Scene], finding: Finding) -> dict[str, list[str]]:
    """Whoever counts as seeing a secret beside the verdicts: eyes by id, in a report under these keys.

    `seen_as_built`: somebody saw one from there at the mock-up, though no verdict says so; `shadow_seen_from`: the shadow
    of a secret is seen from there.
    """
    return {
        "seen_as_built": seen_as_built(written, finding.seen_ids()),
        "shadow_seen_from": shadow_seen_from(finding.moment, finding.shadows),
    }


def seen_as_built(written: Written[Scene], seen: Collection[str]) -> list[str]:
    """The eyes by id, each once, that somebody saw a secret from at the mock-up and that are not among the `seen`."""
    told = [eye for taken in written.model.as_built for eye in taken.seen_from]
    return [eye for eye in dict.fromkeys(told) if eye not in seen]


def shadow_seen_from(moment: Moment, shadows: Sequence[Shadow]) -> list[str]:
    """The eyes by id that see any of the shadows."""
    found = {eye for shadow in shadows for eye in shadow.eyes}
    return [moment.eyes[eye].id for eye in sorted(found)]


def allowed_to_see(written: Written[Scene], asked: int | None) -> int | None:
    """How many eyes may see a secret: as the option says, or else the scene (require: seen)."""
    return asked if asked is not None or written.model.require is None else written.model.require.seen


def picture_kind(path: Path) -> str:
    """png, svg or pdf from a file's name. Raises SightlineError for another."""
    kind = path.suffix.lower().lstrip(".")
    if kind not in ("png", "svg", "pdf"):
        raise SightlineError(f"'{path}' is no picture this writes; end the name in .png, .svg or .pdf.")
    return kind


def picture_target(path: Path | None, force: bool) -> str:
    """The kind of a picture that may be written there, asked before any long work; empty without a path."""
    from sightline.cli.say import refuse_existing

    if path is None:
        return ""
    kind = picture_kind(path)
    refuse_existing(path, force)
    return kind


def eye_index(finding: Finding, name: str | None) -> int:
    """Where the eye with this id is; without a name the one that sees most. Raises SightlineError."""
    ids = [eye.id for eye in finding.moment.eyes]
    if name is None:
        worst, size = finding.worst_verdict(), finding.size_of_leak()
        return max(range(len(ids)), key=lambda i: (int(worst[i]), float(size[i]), -i))
    return ids.index(known_eye(ids, name))


def known_eye(ids: list[str], name: str) -> str:
    """The name itself, if there is an eye of it. Raises SightlineError with the nearest ones."""
    if name not in ids:
        near = get_close_matches(name, ids, n=3)
        hint = f"; did you mean {' or '.join(near)}?" if near else f"; the first is '{ids[0]}'."
        raise SightlineError(f"There is no eye '{name}'{hint}")
    return name


def placed(path: Path, root: Path | None) -> tuple[Written[Scene], Placing]:
    """Read a scene and put its act together, to be asked on any mark.

    Raises SightlineError where something secret or to be seen would stay behind when the performer moves.
    """
    from sightline.blocking.placing import Placing
    from sightline.sight.fieldcache import FieldCache

    written = read_scene(path, root)
    staged = put_together(written)
    if not staged.goes_along:
        left = [secret.name for secret in staged.plain.secrets] + [must.name for must in staged.plain.must_see]
        where = next(
            ((key, i) for key, shapes in (("secrets", written.model.secrets), ("must see", written.model.must_see))
             for i, shape in enumerate(shapes) if not shape.carried),
            (),
        )  # fmt: skip
        raise written.problem(
            where,
            f"'{left[0]}' stays where it is when the performer moves: give it 'carried: yes', with what covers it.",
        )
    return written, Placing(staged, thresholds(written.model), FieldCache())


def write_scene(written: Written[Scene], text: str, out: Path, force: bool) -> None:
    """Write a changed scene, read once more before; meshes are looked for from its new place. Raises SightlineError."""
    from sightline.cli.say import write_whole
    from sightline.scene.document import MOST_BYTES, read_bytes
    from sightline.scene.reading import scene_from_text

    scene_from_text(text, str(out), out.parent, written.root)
    mark = b"\xef\xbb\xbf"
    bom = read_bytes(Path(written.document.file), MOST_BYTES, "The file").startswith(mark)
    write_whole(out, (mark if bom else b"") + text.encode("utf-8"), force)
