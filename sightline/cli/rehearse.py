"""`sightline rehearse`: the whole act over time, and what one person saw at one second."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.blocking.attention import Attention
    from sightline.blocking.rehearsal import Rehearsal
    from sightline.scene.reading import Written
    from sightline.scene.scene import Scene

ENDINGS = ("beats.csv", "frames.csv", "strip.png")


def rehearse(
    scene: SceneArgument,
    fps: Annotated[float, typer.Option("--fps", min=0.1, max=60.0, help="Frames a second that are looked at.")] = 4.0,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Also write PREFIX-beats.csv, PREFIX-frames.csv and PREFIX-strip.png; or a folder."),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    at: Annotated[str | None, typer.Option("--at", help="Only this second, such as 0:42; with --eye.")] = None,
    eye: Annotated[str | None, typer.Option("--eye", help="What this person saw; with --at.")] = None,
    require_seen: Annotated[
        int | None,
        typer.Option("--require-seen", min=0, help="End with code 3 if more eyes than this ever see a secret."),
    ] = None,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Tell beat by beat and second by second who can see a secret, and for how long; or answer one complaint."""
    from sightline.cli.say import tell, written_beside
    from sightline.cli.work import allowed_to_see
    from sightline.scene.reading import read_scene

    if (at is None) != (eye is None):
        raise typer.BadParameter("--at and --eye go together: a second and a person.")
    if at is not None and eye is not None:
        if out is not None or require_seen is not None:
            raise typer.BadParameter(
                "--at and --eye look at one second; --out and --require-seen are of the whole act."
            )
        _replay(read_scene(scene, root), scene, at, eye, json)
        return
    written = read_scene(scene, root)
    targets = written_beside(scene, out, ENDINGS, force)
    report = _report(written, scene, fps, targets, force)
    _print(report, json)
    allowed = allowed_to_see(written, require_seen)
    # Whoever is told of, and is not found to see anything, counts as well.
    seen = report["summary"]["eyes_ever_seen"] + len(report["seen_as_built"])
    if allowed is not None and seen > allowed:
        tell(f"sightline: {seen} eyes can see a secret at some time; {allowed} are allowed.")
        raise typer.Exit(3)


def _report(written: Written[Scene], scene: Path, fps: float, targets: list[Path], force: bool) -> dict[str, Any]:
    from sightline.blocking.attention import attention_of
    from sightline.blocking.logbook import document, worst_moments
    from sightline.blocking.rehearsal import rehearse as rehearse_act
    from sightline.cli.say import progress, tell
    from sightline.cli.work import seen_as_built, thresholds
    from sightline.sight.fieldcache import FieldCache

    with progress("rehearsing") as bar:
        rehearsal = rehearse_act(written, fps, thresholds(written.model), FieldCache(), bar)
    attention = attention_of(rehearsal)
    report = document(rehearsal, attention, worst_moments(rehearsal), scene.name)
    found = {eye.id for eye, seen in zip(rehearsal.eyes, rehearsal.ever_seen.tolist(), strict=True) if seen}
    report["seen_as_built"] = seen_as_built(written, found)
    if targets:
        _write(report, rehearsal, attention, targets, force)
        tell(f"Written: {', '.join(str(target) for target in targets)}.")
    return report


def _write(
    report: dict[str, Any], rehearsal: Rehearsal, attention: Attention, targets: list[Path], force: bool
) -> None:
    from sightline.blocking.logbook import beats_csv, frames_csv
    from sightline.cli.say import write_together
    from sightline.pictures.strip import draw_strip
    from sightline.pictures.style import picture_bytes

    made = [
        beats_csv(report, rehearsal).encode(),
        frames_csv(report).encode(),
        picture_bytes(draw_strip(rehearsal, attention), "png"),
    ]
    write_together(dict(zip(targets, made, strict=True)), force)


def _replay(written: Written[Scene], scene: Path, at: str, eye: str, json: bool) -> None:
    """The answer to a complaint."""
    import sys

    from sightline.blocking.witness import account
    from sightline.cli.retelling import account_words
    from sightline.cli.say import print_json
    from sightline.cli.work import known_eye, thresholds
    from sightline.errors import SightlineError
    from sightline.staging.audience import audience
    from sightline.units import QuantityError, Unknown, parse

    try:
        second = parse(at, "time").value
    except (QuantityError, Unknown) as error:
        raise SightlineError(f"--at {at}: {str(error) or 'unknown is no time here'}.") from error
    known_eye([one.id for one in audience(written).eyes], eye)
    found = account(written, second, eye, thresholds(written.model)).document(scene.name)
    if json:
        print_json(found)
    else:
        sys.stdout.write(account_words(found))


def _print(report: dict[str, Any], json: bool) -> None:
    import sys

    from sightline.cli.retelling import rehearsal_words
    from sightline.cli.say import print_json

    if json:
        print_json(report)
    else:
        sys.stdout.write(rehearsal_words(report))
