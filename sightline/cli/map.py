"""`sightline map`: the plan with a heat map of who can see a secret."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument

if TYPE_CHECKING:
    from sightline.geometry.frame import FloatArray
    from sightline.scene.reading import Written
    from sightline.scene.scene import Scene
    from sightline.staging.stage import Staged

ForceOption = Annotated[bool, typer.Option("--force", help="Write over a file that is there.")]
# Frames a second that a plan of beats looks at.
BEAT_FPS = 1.0


def map(
    scene: SceneArgument,
    out: Annotated[
        Path | None, typer.Option("--out", help="PNG, SVG or PDF; default SCENE-map.png, SCENE-margin.png and so on.")
    ] = None,
    secret: Annotated[str | None, typer.Option("--secret", help="Draw this secret only.")] = None,
    each: Annotated[bool, typer.Option("--each", help="Every secret in a plan of its own.")] = False,
    margin: Annotated[
        bool, typer.Option("--margin", help="Draw how much those it is hidden from have to spare, in degrees.")
    ] = False,
    beat: Annotated[
        str | None, typer.Option("--beat", help="Each seat at its worst during this beat, by name.")
    ] = None,
    worst_beat: Annotated[
        bool,
        typer.Option("--worst-beat", help="The beat in which most people can see something, and small plans of all."),
    ] = False,
    fps: Annotated[
        float | None, typer.Option("--fps", min=0.1, max=60.0, help="With beats: frames a second; default 1.")
    ] = None,
    bands: Annotated[
        bool,
        typer.Option(
            "--bands",
            help="Fill the standing areas, a plan for each height: child, seated or wheelchair, standing adult, raised phone.",
        ),
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="Also print what is drawn as JSON.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Draw the plan: every seat by verdict and size of what it sees, all secrets together and each by itself."""
    from sightline.cli.work import picture_target

    kinds = {"--margin": margin, "--beat": beat is not None, "--worst-beat": worst_beat, "--bands": bands}
    given = [name for name, value in kinds.items() if value]
    if len(given) > 1:
        raise typer.BadParameter(f"{' and '.join(given)} are different maps; ask for one at a time.")
    if each and (secret is not None or beat is not None or worst_beat or bands):
        raise typer.BadParameter("--each draws all secrets of one moment; it goes with --margin only.")
    if secret is not None and bands:
        raise typer.BadParameter("--bands shows all secrets together; --secret does not go with it.")
    if fps is not None and beat is None and not worst_beat:
        raise typer.BadParameter("--fps goes with --beat or --worst-beat.")
    ending = next((name for name in ("margin", "bands", "beat") if f"--{name}" in given), "map")
    target = out or Path(f"{scene.stem}-{'beat' if worst_beat else 'each' if each else ending}.png")
    kind = picture_target(target, force)
    if bands:
        _bands(scene, root, target, kind, json, force)
    elif beat is not None or worst_beat:
        _beats(scene, root, target, kind, beat, secret, fps or BEAT_FPS, json, force)
    else:
        _moment(scene, root, target, kind, secret, margin, each, json, force)


def _moment(
    scene: Path,
    root: Path | None,
    target: Path,
    kind: str,
    secret: str | None,
    margin: bool,
    each: bool,
    json: bool,
    force: bool,
) -> None:
    """The scene's own moment."""
    from sightline.cli.say import print_json, progress
    from sightline.cli.work import finding_of
    from sightline.pictures.plan import draw_plan, map_sheet
    from sightline.scene.reading import read_scene
    from sightline.sight.report import document
    from sightline.staging.stage import put_together

    written = read_scene(scene, root)
    staged = put_together(written)
    with progress("looking") as bar:
        finding = finding_of(written, staged, bar, margin)
    _known_secret(secret, list(finding.secrets))
    sheet = map_sheet(finding, secret, margin, each, _held(written, staged))
    _write(target, draw_plan(sheet), kind, force)
    if json:
        print_json(document(finding, scene.name))


def _beats(
    scene: Path,
    root: Path | None,
    target: Path,
    kind: str,
    beat: str | None,
    secret: str | None,
    fps: float,
    json: bool,
    force: bool,
) -> None:
    """One beat by name, or the worst."""
    from difflib import get_close_matches

    from sightline.blocking.rehearsal import rehearse
    from sightline.cli.say import print_json, progress
    from sightline.cli.work import thresholds
    from sightline.errors import SightlineError
    from sightline.pictures.beatplan import beat_sheet, json_of, worst_beat
    from sightline.pictures.plan import draw_plan
    from sightline.scene.reading import read_scene
    from sightline.sight.fieldcache import FieldCache

    written = read_scene(scene, root)
    names = [b.name or f"beat {i + 1}" for i, b in enumerate(written.model.blocking.beats)]
    if not names:
        raise SightlineError(
            "This scene has no beats: give it some under blocking, or leave --beat and --worst-beat away."
        )
    if beat is not None and beat not in names:
        near = get_close_matches(beat, names, n=1)
        hint = f"did you mean '{near[0]}'?" if near else f"there are: {', '.join(names)}."
        raise SightlineError(f"There is no beat '{beat}'; {hint}")
    with progress("rehearsing") as bar:
        rehearsal = rehearse(written, fps, thresholds(written.model), FieldCache(), bar)
    _known_secret(secret, list(rehearsal.secrets))
    number = worst_beat(rehearsal, secret) if beat is None else names.index(beat)
    sheet = beat_sheet(rehearsal, number, beat is None, secret, _held(written, rehearsal.staged))
    _write(target, draw_plan(sheet), kind, force)
    if json:
        print_json({"schema_version": 1, "scene": scene.name, "secret": secret, **json_of(rehearsal, secret)})


def _bands(scene: Path, root: Path | None, target: Path, kind: str, json: bool, force: bool) -> None:
    """The standing areas at four heights."""
    from sightline.blocking.heightbands import height_bands
    from sightline.blocking.placing import Placing
    from sightline.cli.say import print_json, progress
    from sightline.cli.work import misfits_placed, thresholds
    from sightline.errors import SightlineError
    from sightline.pictures.bands import draw_bands, json_of
    from sightline.scene.reading import read_scene
    from sightline.staging.stage import put_together

    written = read_scene(scene, root)
    staged = put_together(written)
    with progress("looking"), misfits_placed(written):
        # The mark stays: what does not go along with the performer may be there too.
        found = height_bands(Placing(staged, thresholds(written.model)))
    if found is None:
        raise SightlineError("Nobody stands in this venue: it has no standing area to fill. Leave --bands away.")
    moment = staged.moment()
    _write(target, draw_bands(moment, found), kind, force)
    if json:
        between = f"places between those asked, every {found.spacing_m * 100:.0f} cm, and eyes at other heights"
        rests = {"assumptions": list(moment.assumptions), "not_checked": [between, *moment.not_checked]}
        print_json({"schema_version": 1, "scene": scene.name, **json_of(found), **rests})


def _write(target: Path, figure: Any, kind: str, force: bool) -> None:
    from sightline.cli.say import tell, write_whole
    from sightline.pictures.style import picture_bytes

    write_whole(target, picture_bytes(figure, kind), force)
    tell(f"The map is in {target}.")


def _known_secret(secret: str | None, names: list[str]) -> None:
    from sightline.errors import SightlineError

    if secret is not None and secret not in names:
        raise SightlineError(f"There is no secret named '{secret}'; there are: {', '.join(names)}.")


def _held(written: Written[Scene], staged: Staged) -> FloatArray:
    """Where the seats are (n, 3) that the scene holds, or whose sector is closed."""
    import numpy as np

    from sightline.staging.audience import audience

    there = {eye.id for eye in staged.house.eyes}
    gone = [eye.position_m for eye in audience(written).eyes if eye.id not in there] if written.model.venue else []
    return np.array(gone, dtype=float).reshape(-1, 3)
