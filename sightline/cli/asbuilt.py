"""`sightline compare SCENE --as-built SHEET`: the plan beside what a builder measured and a helper saw."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sightline.scene.asbuilt import AsBuiltSheet
    from sightline.scene.reading import Written
    from sightline.sight.check import Finding
    from sightline.workshop.asbuilt import Reading
    from sightline.workshop.asbuiltlook import Looking

SCENES = (".yaml", ".yml")


def compare_as_built(
    scene: Path, sheet: Path, out: Path | None, require_seen: int | None, json: bool, force: bool, root: Path | None
) -> None:
    """Print what moved, whose verdict changes, and where somebody saw otherwise; write or draw it where asked."""
    import sys

    from sightline.cli.asbuiltwords import as_built_words
    from sightline.cli.check import end_unless
    from sightline.cli.say import print_json, progress
    from sightline.cli.work import allowed_to_see, finding_of
    from sightline.scene.reading import read_as_built, read_scene
    from sightline.workshop.asbuilt import read_against
    from sightline.workshop.asbuiltlook import Looking
    from sightline.workshop.asbuiltsizes import sizes_of
    from sightline.workshop.bench import bench_of

    kind = _refuse_target(out, (scene, sheet), force)
    written, filled = read_scene(scene, root), read_as_built(sheet)
    bench = bench_of(written)
    sizes = sizes_of(bench)
    reading = read_against(filled, written.model.title, sizes, [eye.id for eye in bench.staged.house.eyes])
    looking = Looking(bench, sizes, reading)
    with filled.at():
        edits = looking.edits()
    with progress("looking at the plan") as bar:
        planned = finding_of(written, bench.staged, bar)
    built, sees, result = _result(looking, reading, planned, (scene.name, sheet.name))
    if out is not None and kind:
        _draw(planned, built, out, (scene.name, sheet.name), kind, force)
    elif out is not None:
        _write(looking, filled, edits, result, out, force)
    if json:
        print_json(result)
    else:
        sys.stdout.write(as_built_words(result))
    end_unless(sees, result["after"], allowed_to_see(written, require_seen))


def _refuse_target(out: Path | None, sources: tuple[Path, ...], force: bool) -> str:
    """The kind of picture that is asked for, empty for a scene or nothing. Neither plan nor sheet is written over."""
    from sightline.cli.say import refuse_existing
    from sightline.cli.work import picture_target
    from sightline.errors import SightlineError

    if out is None:
        return ""
    for source in sources:
        if out.exists() and source.exists() and out.samefile(source):
            raise SightlineError(f"'{out}' is what is compared, and is kept as it is; give the new scene another name.")
    if out.suffix.lower() in SCENES:
        refuse_existing(out, force)
        return ""
    return picture_target(out, force)


@contextmanager
def _as_measured(reading: Reading) -> Iterator[None]:
    """What does not go together with the sizes measured is no fault of the scene's file."""
    from sightline.errors import SightlineError
    from sightline.workshop.asbuilt import as_measured

    try:
        yield
    except SightlineError as error:
        raise as_measured(error, reading) from error


def _result(
    looking: Looking, reading: Reading, planned: Finding, names: tuple[str, str]
) -> tuple[Finding, set[str], dict[str, Any]]:  # fmt: skip
    """What was built, the eyes by id that see a secret there as computed or as this sheet says, and the whole report."""
    from sightline.cli.compare import comparison
    from sightline.cli.say import progress
    from sightline.cli.work import counted_beside, finding_of, seen_as_built, shadow_seen_from, thresholds
    from sightline.sight.check import RANK
    from sightline.sight.lamps import shadows
    from sightline.sight.report import document
    from sightline.staging.stage import put_together
    from sightline.workshop import asbuiltreport as report
    from sightline.workshop.asbuiltlook import counted, in_the_room, judged

    staged, built = looking.bench.staged, planned
    if looking.edits():
        written = looking.built()
        with progress("looking at what was built") as bar, _as_measured(reading):
            staged = put_together(written)
            built = finding_of(written, staged, bar)
    old, new = document(planned, names[0]), document(built, names[1])
    with progress("looking at both ends of ranges") as bar:
        ends = list(looking.ends(bar))
    warnings = list(reading.warnings)
    warnings += [f"With {said} nothing is known: {found}" for said, found in ends if isinstance(found, str)]
    found_at_ends = [found for _, found in ends if not isinstance(found, str)]
    report.worst_of(new, [document(found, names[1]) for found in found_at_ends])
    with progress("looking at each deviation alone") as bar:
        alone = looking.alone(bar)
    # Sizes that do nothing alone may do much together: then what matters is which of them to put right.
    seen, put_right = new["summary"]["eyes_seen"], []
    if seen > old["summary"]["eyes_seen"] and report.matters_most(alone) is None:
        with progress("looking at each deviation put right") as bar:
            put_right = looking.put_right(bar)
    house = {
        eye["id"]: max((RANK[entry["verdict"]] for entry in eye["secrets"].values()), default=0) for eye in new["eyes"]
    }
    room = in_the_room(reading.ticks, staged, thresholds(looking.bench.scene))
    ticks = judged(reading.ticks, house, room)
    told = [tick["eye"] for tick in ticks if tick["counts_as_seen"]]
    computed = {eye for eye, rank in house.items() if rank == 2}
    sees = computed | set(told)
    old |= counted_beside(looking.bench.written, planned)
    # A look at the end of a range is brief: shadows are asked for by themselves.
    shaded = set(shadow_seen_from(built.moment, built.shadows))
    for found in found_at_ends:
        shaded |= set(shadow_seen_from(found.moment, shadows(found.moment, found.looked.scenery)))
    new |= {
        "seen_as_built": seen_as_built(looking.bench.written, computed),
        "shadow_seen_from": [eye["id"] for eye in new["eyes"] if eye["id"] in shaded],
    }
    changed = report.verdicts_changed(old, new)
    result = comparison(old, new)
    result |= {
        "title": looking.bench.scene.title, "sizes": report.sizes_document(reading), "verdicts_changed": changed["any"],
        "secrets_changed": changed["secrets"], "views_changed": report.views_changed(old, new),
        "alone": report.alone_document(alone), "put_right": report.alone_document(put_right),
        "matters_most": report.matters_most(alone, put_right, seen), "ticks": ticks,
        "summary": {
            "eyes_seen_planned": old["summary"]["eyes_seen"], "eyes_seen_built": new["summary"]["eyes_seen"],
            "eyes_seen_counted": len({*sees, *new["seen_as_built"], *new["shadow_seen_from"]}),
            "seen_by_tick_alone": [eye for eye in told if house.get(eye) != 2],
        },
        "warnings": warnings, "assumptions": [*report.assumptions(reading), *new["assumptions"]],
        "not_checked": new["not_checked"],
    }  # fmt: skip
    return counted(built, new, [*told, *new["seen_as_built"]]), sees, result


def _draw(
    planned: Finding, built: Finding, out: Path, names: tuple[str, str], kind: str, force: bool
) -> None:  # fmt: skip
    from sightline.cli.say import tell, write_whole
    from sightline.pictures.compare import draw_comparison
    from sightline.pictures.style import picture_bytes

    write_whole(out, picture_bytes(draw_comparison(planned, built, names), kind), force)
    tell(f"The picture is in {out}.")


def _write(
    looking: Looking, sheet: Written[AsBuiltSheet], edits: tuple[Any, ...], result: dict[str, Any], out: Path, force: bool
) -> None:  # fmt: skip
    """The scene as built, with what was planned kept beside it. Raises SightlineError."""
    from sightline.cli.say import tell
    from sightline.cli.work import write_scene
    from sightline.scene.editing import edited
    from sightline.workshop.asbuiltedits import record

    kept = record(looking.reading, result["summary"]["seen_by_tick_alone"], sheet.model.by, sheet.model.date)
    written = looking.bench.written
    write_scene(written, edited(written.document.text, [*edits, kept]), out, force)
    tell(f"The scene as built is in {out}; the plan stays in {written.document.file}.")
