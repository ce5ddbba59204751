"""`sightline mockup`: the cheapest proof before cutting: card, a stuffed sleeve, tape, and a camera on a string."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.workshop.asbuiltsize import Size
    from sightline.workshop.bench import Bench
    from sightline.workshop.mockup import Mockup
    from sightline.workshop.roomsheet import RoomSheet

ENDINGS = ("mockup.pdf", "room.csv")
NOT_CHECKED = (
    "all other eyes, moves and head positions: a picture that matches proves its own eye and pose, no more",
    "the show's light, colours and cloth; card and a stuffed sleeve hang otherwise than what is built",
    "loads and how long they are held (sightline fit)",
)


def mockup(
    scene: SceneArgument,
    out: Annotated[
        Path | None, typer.Option("--out", help="Write PREFIX-mockup.pdf and PREFIX-room.csv; or a folder.")
    ] = None,
    room: Annotated[str, typer.Option("--room", help="The room it is tried in, wall to wall.")] = "4 x 3 m",
    ceiling: Annotated[str, typer.Option("--ceiling", help="How high the room is.")] = "2.4 m",
    card: Annotated[str, typer.Option("--card", help="Thickness of the card.")] = "4 mm",
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    sheet: Annotated[
        Path | None,
        typer.Option(
            "--sheet", help="Write a sheet for what is measured and seen afterwards, for compare --as-built: FILE.yaml."
        ),
    ] = None,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Give sizes to cut in card, a sleeve to stuff, marks to tape, and where a camera stands in for the worst seats."""
    import sys

    from sightline.cli.say import print_json, progress, tell, write_together, written_beside
    from sightline.cli.work import finding_of, misfits_placed, thresholds
    from sightline.scene.reading import read_scene
    from sightline.workshop.bench import bench_of
    from sightline.workshop.mockup import mockup_of
    from sightline.workshop.room import room_of
    from sightline.workshop.roomsheet import room_sheet

    targets = written_beside(scene, out, ENDINGS, force)
    if sheet is not None:
        _refuse_sheet(sheet, force)
    place = room_of(room, _length("--ceiling", ceiling))
    thick = _length("--card", card)
    written = read_scene(scene, root)
    bench = bench_of(written)
    made = mockup_of(bench, thick)
    with progress("looking") as bar:
        finding = finding_of(written, bench.staged, bar, margins=True)
    with misfits_placed(written):
        tried = room_sheet(bench.staged, finding, thresholds(written.model), place)
    files = dict(zip(targets, _pages(made, tried, scene.name, bench, sheet) if targets else (), strict=True))
    if sheet is not None:
        files[sheet] = _sheet_bytes(bench, tried, scene, sheet)
    if files:
        write_together(files, force)
        tell(f"Written: {', '.join(str(target) for target in files)}.")
    if json:
        print_json(_document(made, tried, scene.name, bench.staged.notes))
    else:
        sys.stdout.write("\n".join(_words(made, tried, bench.staged.notes)) + "\n")


def _refuse_sheet(sheet: Path, force: bool) -> None:
    """Say early that a sheet cannot be written there, or would be written over somebody's work. Raises SightlineError."""
    from sightline.cli.say import refuse_existing
    from sightline.errors import SightlineError
    from sightline.scene.reading import read_as_built

    if sheet.suffix.lower() not in (".yaml", ".yml"):
        raise SightlineError(f"'{sheet}' is no sheet this writes; end the name in .yaml.")
    refuse_existing(sheet, force)
    if sheet.exists():
        try:
            there = read_as_built(sheet).model
        except SightlineError:
            raise SightlineError(
                f"'{sheet}' is no as-built sheet, so it is not written over; give another name."
            ) from None
        if any(line.measured for line in there.sizes.values()) or any(line.saw for line in there.ticks.values()):
            raise SightlineError(f"'{sheet}' is filled in, so it is not written over; give another name.")


def _sheet_bytes(bench: Bench, tried: RoomSheet, scene: Path, sheet: Path) -> bytes:
    from sightline.errors import printable
    from sightline.workshop.asbuiltsheet import sheet_text

    names = printable(str(scene)), printable(str(sheet))
    return sheet_text(bench.scene.title, _sizes(bench, sheet), tried, *names).encode("utf-8")


def _sizes(bench: Bench, sheet: Path | None) -> list[Size]:
    """What is to be measured afterwards; nothing where no sheet is wanted."""
    from sightline.workshop.asbuiltsizes import sizes_of

    return [] if sheet is None else sizes_of(bench)


def _length(option: str, text: str) -> float:
    from sightline.errors import SightlineError
    from sightline.units import QuantityError, Unknown, parse

    try:
        return parse(text, "length").value
    except (QuantityError, Unknown) as error:
        raise SightlineError(f"{option}: {str(error) or 'unknown is no length here'}.") from None


def _pages(made: Mockup, tried: RoomSheet, scene: str, bench: Bench, sheet: Path | None) -> tuple[bytes, bytes]:
    """The pages to print and the table of the room."""
    from sightline.blocking.marks import csv_text
    from sightline.pictures.mockup import draw_mockup
    from sightline.pictures.page import pdf_of
    from sightline.workshop.roomtable import COLUMNS, row

    table = csv_text([row(tried, spot) for spot in tried.spots], COLUMNS).encode()
    return pdf_of(draw_mockup(made, tried, scene, _sizes(bench, sheet), "" if sheet is None else sheet.name)), table


def _document(made: Mockup, sheet: RoomSheet, scene: str, granted: Sequence[str]) -> dict[str, Any]:
    """All of it as plain values; `granted` is what the scene itself takes for granted."""
    from dataclasses import asdict

    from sightline.blocking.cautions import MOCKUP
    from sightline.workshop.roomtable import document

    def rounded(value: Any) -> Any:
        if isinstance(value, float):
            return float(f"{value:.9g}")
        if isinstance(value, dict):
            return {key: rounded(inner) for key, inner in value.items()}
        return [rounded(inner) for inner in value] if isinstance(value, (list, tuple)) else value

    return {
        "schema_version": 1, "title": made.title, "scene": scene, "card_m": made.card_m, "size_m": rounded(made.size_m),
        "panels": [rounded(asdict(panel)) for panel in made.panels],
        "sleeves": [rounded(asdict(sleeve)) for sleeve in made.sleeves],
        "marks": [rounded(asdict(mark)) for mark in made.marks],
        "room": document(sheet), "cautions": list(MOCKUP), "assumptions": [*made.notes, *sheet.notes, *granted],
        "not_checked": list(NOT_CHECKED),
    }  # fmt: skip


def _words(made: Mockup, sheet: RoomSheet, granted: Sequence[str]) -> Iterator[str]:
    """All of it for a person at a terminal."""
    from sightline.blocking.cautions import MOCKUP
    from sightline.blocking.notation import distance, inches
    from sightline.cli.say import closing
    from sightline.workshop.roomtable import SIDES, ahead_words, house_words, knot_words, row, side_words

    def size(value_m: float) -> str:
        return f"{value_m * 100:.1f} cm ({inches(value_m)})"

    yield f"{made.title}: mock-up"
    if made.panels:
        yield ""
        yield f"  Cut from card of {made.card_m * 1000:g} mm, seen from outside"
        for panel in made.panels:
            yield f"    {panel.name:<7} {size(panel.across_m)} across x {size(panel.up_m)} up"
            for cut in panel.cuts:
                hole = size(cut.across_m) + ("" if cut.shape == "round" else f" x {size(cut.up_m)}")
                yield (
                    f"            {cut.name}: {cut.shape}, {hole}; its middle {size(cut.from_left_m)} from the left, "
                    f"{size(cut.from_bottom_m)} from the bottom edge"
                )
    for sleeve in made.sleeves:
        yield ""
        yield f"  Stuff a sleeve: {sleeve.name}, bent {sleeve.bend_deg:.0f} deg from straight"
        for station in sleeve.stations:
            yield (
                f"    {station.name:<15} {size(station.along_m)} from the upper end: girth {size(station.girth_m)}, "
                f"cut {size(station.cut_m)} wide"
            )
        yield f"    shoulder to wrist straight across {size(sleeve.straight_m)}; hand {size(sleeve.hand_m)} long"
        yield f"    hand {sleeve.hand_words}"
    yield ""
    yield f"  Tape ({SIDES})"
    for mark in made.marks:
        x, y, z = mark.at_m
        place = "" if mark.name == "mark" else f"{ahead_words(y)}, {side_words(x)}, {distance(z)} up: "
        yield f"    {mark.name}: {place}{mark.words}"
    room = sheet.room
    yield ""
    yield (
        f"  In a room of {distance(room.across_m)} across and {distance(room.along_m)} ahead: the mark {distance(sheet.mark_m[1])} from "
        f"the wall behind, {distance(sheet.mark_m[0])} from the wall at the performer's own right"
    )
    for knot in sheet.knots:
        yield f"    knot {knot.letter}, the middle of {knot.secret}: {knot_words(knot)}"
    for spot in sheet.spots:
        cells = row(sheet, spot)
        yield ""
        yield f"    {spot.number}  {spot.eye} ({spot.chosen}): {house_words(spot)}, from {spot.venue_distance_m:.1f} m"
        if spot.camera_m is None:
            yield f"       cannot be reproduced here: {spot.why_not}"
            continue
        yield f"       camera {cells['ahead']}, {cells['side']}, {cells['height']} up; string {cells['string']} to {spot.knot.letter}"
        yield f"       expected: {cells['expected']}; nearness changes directions by up to {spot.nearness_deg:.1f} deg"
    yield ""
    yield from (f"  ! {said}" for said in MOCKUP)
    yield ""
    yield from closing((*made.notes, *sheet.notes, *granted), NOT_CHECKED)
