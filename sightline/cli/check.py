"""`sightline check`: who can see which secret from where."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

if TYPE_CHECKING:
    from sightline.cli.sources import Sources
    from sightline.scene.reading import Written
    from sightline.scene.scene import Scene
    from sightline.sight.check import Finding

SceneArgument = Annotated[Path, typer.Argument(help="The scene file.", show_default=False)]
RootOption = Annotated[Path | None, typer.Option("--root", help="Folder that meshes and tables may come from.")]

WATCH_S = 0.5
# From the usual spacing of a surface's patches on a seam is told to be too wide for one line of samples.
WIDE_SEAM_M = 0.020


def check(
    scene: SceneArgument,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    require_seen: Annotated[
        int | None, typer.Option("--require-seen", min=0, help="End with code 3 if more eyes than this see a secret.")
    ] = None,
    watch: Annotated[
        bool,
        typer.Option(
            "--watch",
            help="Check again when the scene or a file it names is saved, say what changed; stop with Ctrl-C.",
        ),
    ] = False,
    margins: Annotated[
        bool, typer.Option("--margins/--no-margins", help="Find how much each hidden eye has to spare, in degrees.")
    ] = True,
    draws: Annotated[
        int | None,
        typer.Option(
            "--draws", min=2, max=1000, help="Draw the sampled crowds so often, and tell how the result varies."
        ),
    ] = None,
    robust: Annotated[
        bool,
        typer.Option(
            "--robust", help="Call hidden only what stays so when things are a little off; say what leaks first."
        ),
    ] = False,
    thorough: Annotated[
        bool,
        typer.Option(
            "--thorough",
            help="Cut secrets so fine that no spot slips between that an eye could notice, and go after slits; slow.",
        ),
    ] = False,
    root: RootOption = None,
) -> None:
    """Tell from which eyes a secret can be seen, how much of it, and what covers it for the rest."""
    from sightline.cli.say import print_json
    from sightline.cli.work import allowed_to_see

    asked = Asked(root, margins, draws, robust, thorough)
    sources = None
    if watch:
        from sightline.cli.sources import Sources

        # Before they are looked at: a save while that goes on must not be missed.
        sources = Sources(scene)
    report, venue, written = _report(scene, asked)
    if json:
        print_json(report)
    else:
        _print(report, venue)
    if sources:
        _watch(scene, asked, report, sources)
    found = {eye["id"] for eye in report["eyes"] if "seen" in _verdicts(eye, robust)}
    when = ", with things off as far as allowed for" if robust else ""
    end_unless(found, report, allowed_to_see(written, require_seen), when)


def _verdicts(eye: dict[str, Any], robust: bool) -> list[str]:
    """What was found of each secret from an eye of the report, or of all of them with things off."""
    return [eye["robust"]["verdict"]] if robust else [secret["verdict"] for secret in eye["secrets"].values()]


def end_unless(found: set[str], beside: Mapping[str, Any], allowed: int | None, when: str = "") -> None:
    """End with code 3, and say so, where more eyes see a secret than are allowed to.

    `found` are those of the verdicts, by id; `beside` those that count as well, as `counted_beside` gives them.
    """
    from sightline.cli.say import tell

    # Somebody's own eyes go before any computing; each eye counts once.
    told, shaded = set(beside["seen_as_built"]), set(beside["shadow_seen_from"])
    seen = len(found | told | shaded)
    if allowed is not None and seen > allowed:
        what = "a secret or its shadow" if shaded - found - told else "a secret"
        tell(f"sightline: {seen} eyes can see {what}{when}; {allowed} are allowed.")
        raise typer.Exit(3)


class Asked(NamedTuple):
    """What the options ask for, the same at every look."""

    root: Path | None
    margins: bool
    draws: int | None
    robust: bool
    thorough: bool


def _report(scene: Path, asked: Asked) -> tuple[dict[str, Any], str, Written[Scene]]:
    """The report, the venue's name, and the scene that was looked at."""
    from sightline.blocking.wayside import mark_warnings
    from sightline.cli.say import progress
    from sightline.cli.work import counted_beside, finding_of, misfits_placed, staged_for, thresholds
    from sightline.scene.reading import read_scene
    from sightline.sight.draws import share_over_draws
    from sightline.sight.report import document, rounded
    from sightline.staging.acceptance import accepted_leaks

    with progress("looking") as bar:
        written = read_scene(scene, asked.root)
        staged = staged_for(written, asked.thorough)
        finding = finding_of(written, staged, bar, asked.margins)
    limits = thresholds(written.model)
    report = document(finding, scene.name)
    report["warnings"] = [*mark_warnings(written, finding.moment), *_wide_seams(finding)]
    if any(found.sighting.secret.path is not None for found in finding.secrets.values()):
        report["not_checked"].append(
            "what shows of a seam beside its middle line: only along that line is it looked at"
        )
    report |= counted_beside(written, finding)
    report["accepted"] = accepted_leaks(written, finding.seen_ids())
    if asked.robust:
        from sightline.blocking.robust import robust
        from sightline.blocking.robustreport import with_robust

        with progress("trying what may be off") as bar, misfits_placed(written):
            found = robust(
                written, staged, finding, limits, bar, lambda changed, house: staged_for(changed, asked.thorough, house)
            )
        report = with_robust(report, found)
    if asked.draws is not None:
        with progress("drawing crowds") as bar:
            error = share_over_draws(finding, limits, asked.draws, bar)
        report["sampling"] = {
            "draws": asked.draws,
            "share_seen": {
                "mean": rounded(error.mean), "of_one_draw": rounded(error.spread), "standard_error": rounded(error.standard_error),
            },
            "values": [rounded(value) for value in error.values],
        }  # fmt: skip
    return report, finding.moment.plan.venue, written


def _wide_seams(finding: Finding) -> list[str]:
    """Seams so wide that what shows beside their middle line matters."""
    seams = [found.sighting.secret for found in finding.secrets.values() if found.sighting.secret.path is not None]
    return [
        f"'{seam.name}' is a seam {seam.width_m * 100:.3g} cm wide, looked at along its middle line only: whoever sees it "
        "beside that line is not found. Write it as a surface (a rectangle or a mesh)."
        for seam in seams
        if seam.width_m >= WIDE_SEAM_M
    ]


def _print(report: dict[str, Any], venue: str) -> None:
    import sys

    from sightline.cli.robustwords import robust_words
    from sightline.cli.words import finding_words

    sys.stdout.write(finding_words(report, venue, robust_words(report) if "robust" in report else ""))


def _watch(scene: Path, asked: Asked, report: dict[str, Any], sources: Sources) -> None:
    """Check again whenever a file's bytes are not the last ones; faults in it are reported and waited on."""
    import sys
    import time

    from sightline.cli.say import tell
    from sightline.cli.words import change_words
    from sightline.errors import SightlineError

    sys.stdout.flush()
    named = sources.count_named()
    also = f" and the {named} file{'s' if named > 1 else ''} it names" if named else ""
    tell(f"Watching {scene}{also}; save to check again, Ctrl-C to stop.")
    while True:
        time.sleep(WATCH_S)
        if not sources.changed():
            continue
        try:
            again, venue, _ = _report(scene, asked)
        except SightlineError as error:
            tell(f"sightline: {error}")
            continue
        _print(again, venue)
        # Whoever reads it from a file or a pipe waits for it too.
        sys.stdout.flush()
        tell(f"Since the last check - {change_words(report, again)}")
        report = again
