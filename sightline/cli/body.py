"""`sightline body`: the body sheet, with the source beside each number."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption
from sightline.cli.map import ForceOption
from sightline.cli.performing import (
    AgeOption,
    MassOption,
    MeasuredOption,
    ProportionsOption,
    SexOption,
    StatureOption,
    quantity,
    taped_measure,
)

if TYPE_CHECKING:
    from sightline.figure.sheet import BodySheet
    from sightline.workshop.bodysheet import Row, Sheet

COLUMNS = (
    "name", "measure", "title", "value", "unit", "inches", "state", "source", "low", "high", "range", "how",
)  # fmt: skip


def body(
    stature: StatureOption = None,
    sex: SexOption = None,
    age: AgeOption = None,
    mass: MassOption = None,
    proportions: ProportionsOption = None,
    measured: MeasuredOption = None,
    scene: Annotated[Path | None, typer.Option("--scene", help="Begin with this scene's performer.")] = None,
    template: Annotated[
        bool, typer.Option("--template", help="Print the measured: block of a scene, to be filled in.")
    ] = False,
    out: Annotated[Path | None, typer.Option("--out", help="Also write the table, CSV.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Print every size of a performer's body: measured or estimated, from which source, and what is usual."""
    import sys

    from sightline.cli.say import print_json, refuse_existing, tell, write_whole
    from sightline.errors import SightlineError
    from sightline.workshop import bodysheet

    if template and (json or out):
        raise SightlineError("--template prints a block for a scene; it goes with neither --json nor --out.")
    if out is not None:
        if out.suffix.lower() != ".csv":
            raise SightlineError(f"'{out}' is no table this writes; end the name in .csv.")
        refuse_existing(out, force)
    taped = dict(taped_measure(text) for text in measured or ())
    known = {
        "stature_m": quantity("--stature", stature, "length"), "sex": sex, "age_years": age,
        "mass_kg": quantity("--mass", mass, "mass"), "proportions": proportions,
    }  # fmt: skip
    if template and scene is None and stature is None and age is None and not taped:
        sys.stdout.write(bodysheet.template(None))
        return
    made, taped, mass_kg = _body(scene, root, {k: v for k, v in known.items() if v is not None}, taped)
    if template:
        sys.stdout.write(bodysheet.template(made))
        return
    sheet = bodysheet.sheet_of(made, taped, mass_kg)
    if out is not None:
        write_whole(out, _csv(sheet.rows).encode(), force)
        tell(f"The table is in {out}.")
    if json:
        print_json(_document(made, sheet))
    else:
        sys.stdout.write("\n".join(_words(made, sheet)) + "\n")


def _body(
    scene: Path | None, root: Path | None, known: dict[str, Any], taped: dict[str, float]
) -> tuple[BodySheet, dict[str, float], float | None]:
    """The body, all that was taped, and the mass where it was given: from the scene, then what the options say."""
    from sightline.errors import SightlineError
    from sightline.figure.sheet import body_sheet
    from sightline.scene.reading import read_scene
    from sightline.staging.body import body_of

    if scene is not None:
        written = read_scene(scene, root)
        performer = written.model.performer
        if performer is None:
            raise written.problem((), "The scene has no performer to measure.")
        if performer.mesh is not None:
            if known or taped:
                raise SightlineError("The performer is a scan, which has its own sizes: leave the other options away.")
            return body_of(written, None).sheet, {}, None
        said = {
            "stature_m": performer.stature, "sex": performer.sex, "age_years": performer.age,
            "mass_kg": performer.mass, "proportions": performer.proportions,
        }  # fmt: skip
        known = {k: v for k, v in said.items() if v is not None} | known
        taped = {key.replace(" ", "_"): value for key, value in performer.measured.items()} | taped
        if not known.keys() - {"proportions"} and not taped:
            body_of(written, None)
    age = known.get("age_years")
    if "stature_m" not in known and "height" not in taped and (age is None or age >= 18):
        raise SightlineError(
            "Say how tall the performer is (--stature '172 cm'), or give --measured 'height=172 cm', a child's --age "
            "or a --scene."
        )
    try:
        made = body_sheet(measured=taped, **known)
    except ValueError as error:
        key, colon, sentence = str(error).partition(": ")
        option = {"stature_m": "--stature", "age_years": "--age", "mass_kg": "--mass"}.get(key, f"--measured {key}")
        raise SightlineError(f"{option}: {sentence}." if colon else f"{error}.") from None
    return made, taped, known.get("mass_kg")


def _csv(rows: list[Row]) -> str:
    from sightline.blocking.marks import csv_text
    from sightline.blocking.notation import inches
    from sightline.workshop.bodysheet import row_document

    table = []
    for row in rows:
        cells = {key: "" if value is None else str(value) for key, value in row_document(row).items()}
        table.append(cells | {"inches": inches(row.value) if row.unit == "m" else ""})
    return csv_text(table, COLUMNS)


def _document(body: BodySheet, sheet: Sheet) -> dict[str, Any]:
    from sightline.workshop.bodysheet import CITED, NOT_CHECKED, row_document

    return {
        "schema_version": 1,
        "stature_m": float(f"{body.stature_m:.9g}"),
        "sex": body.sex,
        "age_years": body.age_years,
        "sizes": [row_document(row) for row in sheet.rows],
        "definitions": [
            {
                "called": d.called,
                "meant": d.meant,
                "value_m": float(f"{d.value_m:.9g}"),
                "source": d.source,
                "low_m": None if d.low_m is None else float(f"{d.low_m:.9g}"),
                "high_m": None if d.high_m is None else float(f"{d.high_m:.9g}"),
            }
            for d in sheet.definitions
        ],
        "warnings": list(sheet.warnings),
        "cautions": _cautions(body),
        "assumptions": list(sheet.notes),
        "not_checked": list(NOT_CHECKED),
        "sources": list(CITED),
    }


def _cautions(body: BodySheet) -> list[str]:
    """What is said where the performer is a child."""
    from sightline.blocking.cautions import CHILD

    return [CHILD] if body.child else []


def _words(body: BodySheet, sheet: Sheet) -> Iterator[str]:
    """The sheet for a person at a terminal."""
    from sightline.blocking.notation import feet, inches
    from sightline.cli.say import closing
    from sightline.workshop.bodysheet import CITED, NOT_CHECKED

    who = {"female": "a woman", "male": "a man", None: "a performer"}[body.sex]
    if body.child:
        who = {"female": "a girl", "male": "a boy", None: "a child"}[body.sex] + f" of {body.age_years:g} years"
    yield f"Body sheet of {who}, {body.stature_m * 100:.1f} cm ({feet(body.stature_m)}), {body.mass_kg:.1f} kg"
    yield ""
    head = f"  {'size':<34} {'cm':>7}  {'inches':>10}  {'':<9}  {'nine in ten lie':<15}    source"
    yield head.rstrip()
    for row in sheet.rows:
        scale = 1.0 if row.unit == "kg" else 100.0
        shown = f"{row.value * scale:.1f}" + (" kg" if row.unit == "kg" else "")
        between = ""
        if row.low is not None and row.high is not None:
            between = f"{row.low * scale:.1f} - {row.high * scale:.1f}{' *' if row.of == 'of any stature' else ''}"
        tape = inches(row.value) if row.unit == "m" else f"{row.value / 0.45359237:.0f} lb"
        yield f"  {row.title:<34} {shown:>7}  {tape:>10}  {row.state:<9}  {between:<15}    {row.source}"
    if any(row.of == "of any stature" for row in sheet.rows):
        yield "  * of any stature; without the star of this stature"
    if sheet.definitions:
        yield ""
        yield "  One name, several sizes: say which is meant"
        for d in sheet.definitions:
            most = f" ({d.low_m * 100:.1f} - {d.high_m * 100:.1f} cm nine in ten)" if d.low_m and d.high_m else ""
            yield f"    {d.called:<16} {d.value_m * 100:>6.1f} cm {inches(d.value_m):>10}  {d.meant}{most} [{d.source}]"
    for heading, lines in (("Warnings:", sheet.warnings), ("Mind:", _cautions(body)), ("Sources:", CITED)):
        if lines:
            yield ""
            yield f"  {heading}"
            yield from (f"    - {line}" for line in lines)
    yield ""
    yield from closing(sheet.notes, NOT_CHECKED)
