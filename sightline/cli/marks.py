"""`sightline marks`: the spike table and the cue sheet, to read, to tape out and to call from."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.pictures.marks import Sheet

ENDINGS = ("spikes.csv", "cues.csv", "marks.pdf")
NOT_CHECKED = (
    "whether anybody can see a secret there: no eyes are looked at here (sightline check, sightline rehearse)",
    "whether the floor is level and clear, where its edges, steps and ways out are, and whether tape holds on it",
    "whether the performer finds the mark: how far it may be missed is told by sightline drift",
)


def marks(
    scene: SceneArgument,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Also write PREFIX-spikes.csv, PREFIX-cues.csv and PREFIX-marks.pdf; or a folder."),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Tell where every mark is taped, by centre line and by two tapes, and write the beats as a cue sheet."""
    import sys

    from sightline.blocking.cautions import BLIND
    from sightline.cli.say import print_json, tell, written_beside

    targets = written_beside(scene, out, ENDINGS, force)
    sheet, assumptions = _sheet(scene, root)
    if targets:
        _write(sheet, targets, force)
        tell(f"Written: {', '.join(str(target) for target in targets)}.")
    if json:
        print_json(
            {
                "schema_version": 1,
                "title": sheet.title,
                "scene": sheet.scene,
                "marks": [spike.document() for spike in sheet.spikes],
                "cues": [cue.document() for cue in sheet.cues],
                "warnings": list(sheet.warnings),
                "cautions": [BLIND],
                "assumptions": assumptions,
                "not_checked": list(NOT_CHECKED),
            }
        )
    else:
        sys.stdout.write("\n".join(_words(sheet, assumptions)) + "\n")


def _sheet(path: Path, root: Path | None) -> tuple[Sheet, list[str]]:
    """All that is printed, and what was taken for granted."""
    from sightline.blocking import beats, cues
    from sightline.blocking.marks import spike_table, tapes_of
    from sightline.blocking.notation import acting_area, datum
    from sightline.blocking.wayside import check_ways
    from sightline.pictures.marks import Sheet
    from sightline.scene.reading import read_scene
    from sightline.staging.audience import audience

    written = read_scene(path, root)
    house, blocking = audience(written), written.model.blocking
    steps = beats.steps(written, house.eyes)
    area, tapes = acting_area(house), tapes_of(blocking, house.outlines)
    spikes, sheet = spike_table(steps, blocking, house.outlines), cues.cue_sheet(steps, area)
    not_drawn = check_ways(written, steps, house)
    poor = [said for spike in spikes if (said := spike.warning())]
    found = [*beats.warnings(steps, blocking.ease), *poor, *cues.warnings(sheet), *([not_drawn] if not_drawn else [])]
    assumptions = [
        f"{key} is said as '{text}': its middle is taken." for key, text in written.soft if key.startswith("blocking")
    ]
    assumptions += [
        "Marks are measured on a level floor, between points on it.",
        tapes.why,
        f"Areas are thirds of {area[0]:+.2f} to {area[1]:+.2f} m across, {area[2]:+.2f} to {area[3]:+.2f} m upstage.",
    ]
    title = written.model.title
    return Sheet(
        title, path.name, house.name, spikes, sheet, tapes, datum(house.outlines), house.outlines, found
    ), assumptions  # fmt: skip


def _write(sheet: Sheet, targets: list[Path], force: bool) -> None:
    from sightline.blocking.cues import COLUMNS
    from sightline.blocking.marks import csv_text
    from sightline.cli.say import write_together
    from sightline.pictures.marks import draw_marks
    from sightline.pictures.style import picture_bytes

    spikes = [spike.row() for spike in sheet.spikes]
    made = [
        csv_text(spikes, list(spikes[0])).encode(),
        csv_text([cue.row() for cue in sheet.cues], COLUMNS).encode(),
        picture_bytes(draw_marks(sheet), "pdf"),
    ]
    write_together(dict(zip(targets, made, strict=True)), force)


def _words(sheet: Sheet, assumptions: list[str]) -> Iterator[str]:
    """Both tables for a person at a terminal."""
    from sightline.blocking.cautions import BLIND
    from sightline.cli.say import closing

    yield f"{sheet.title}: {_count(sheet.spikes, 'mark')}, {_count(sheet.cues, 'cue')}" + (
        f", {sheet.venue}" if sheet.venue else ""
    )
    for spike in sheet.spikes:
        row = spike.row()
        depth = f"from {sheet.from_what}"
        yield ""
        yield f"  {spike.number}  {spike.label}: {spike.shape} in {spike.tape} tape"
        yield f"      {_both(row, 'from CL')}; {_both(row, depth)}"
        tapes = "; ".join(f"{name} {row[name + ', m']} m ({row[name + ', ft']})" for name in sheet.tapes.names)
        yield f"      {tapes}; the tapes meet {row['tapes meet']}"
        if row["facing"]:
            yield f"      first facing {row['facing']}"
    yield ""
    yield "  Cues (P performer, X crosses to, @ is at; what is not said stays as it was)"
    for cue in sheet.cues:
        row = cue.row()
        yield ""
        yield f"  {row['cue']:>4}  {row['time']:>6}  {row['beat']}  ({row['trigger']})"
        yield f"                {row['where']}"
        yield f"                {row['facing']}"
        if row["action"]:
            yield f"                {row['action']}"
        for key, said in cue.news.items():
            yield f"                {key}: {said}"
    if sheet.warnings:
        yield ""
        yield "  Warnings:"
        yield from (f"    - {line}" for line in sheet.warnings)
    yield ""
    yield f"  ! {BLIND}"
    yield ""
    yield from closing(assumptions, NOT_CHECKED)


def _both(row: dict[str, Any], key: str) -> str:
    """`0.50 m SL / HR (1 ft 7 5/8 in)`; only `on CL` where there is nothing to measure."""
    return row[key] if " m " not in row[key] else f"{row[key]} ({row[key + ', ft']})"


def _count(things: Any, word: str) -> str:
    return f"{len(things)} {word}" + ("" if len(things) == 1 else "s")
