"""`sightline venue`: a house judged by itself, drawn, and written out for other programs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from sightline.house.build import House
    from sightline.scene.reading import Written
    from sightline.scene.venue import Venue


def venue(
    venue: Annotated[str, typer.Argument(help="A venue file, or the name of a ready venue.", show_default=False)],
    out: Annotated[Path | None, typer.Option("--out", help="Draw plan and section: PNG, SVG or PDF.")] = None,
    export: Annotated[
        Path | None,
        typer.Option("--export", help="Write the seats as .csv or .geojson, or the venue as .yaml with its table."),
    ] = None,
    heads: Annotated[
        bool, typer.Option("--heads/--no-heads", help="Also count who has a point of the stage behind somebody's head.")
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Tell how well each row of a house sees its stage: clearance, angles, distance, blocked seats; draw and export it."""
    import sys

    from sightline.cli.say import print_json, tell, write_whole
    from sightline.cli.venuewords import venue_words
    from sightline.cli.work import picture_target
    from sightline.house.references import reference_points
    from sightline.house.venuereport import document, venue_report
    from sightline.sight.houseview import look_at
    from sightline.staging.audience import venue_house
    from sightline.staging.places import protected

    kind = picture_target(out, force)
    files = {}
    written, house = venue_house(venue)
    if export is not None:
        files = _export(written, house, export, force)
    points = reference_points(written.model)
    view = look_at(house, points, heads)
    chairs = {eye.id for eye in house.eyes if eye.kind == "wheelchair"}
    report = venue_report(
        house, written.model, points, view.by_scenery, view.by_heads, frozenset(protected(house.eyes) - chairs)
    )
    if out is not None:
        from sightline.pictures.style import picture_bytes
        from sightline.pictures.venueplan import draw_venue

        write_whole(out, picture_bytes(draw_venue(report, written.model), kind), force)
        tell(f"The picture is in {out}.")
    for path, data in files.items():
        write_whole(path, data, force)
    if files:
        tell(f"Written: {', '.join(str(path) for path in files)}.")
    found = document(report, venue)
    if json:
        print_json(found)
    else:
        sys.stdout.write(venue_words(found))


def _export(written: Written[Venue], house: House, target: Path, force: bool) -> dict[Path, bytes]:
    """What is to be written, by path; the venue's own file is never among them. Raises SightlineError."""
    from sightline.cli.say import refuse_existing
    from sightline.errors import SightlineError
    from sightline.house import export

    kind = target.suffix.lower()
    if not target.parent.is_dir():
        raise SightlineError(f"There is no folder '{target.parent}' to write in.")
    if not house.eyes:
        raise SightlineError("Nobody sits or stands in this venue; there is nothing to export.")
    if kind == ".csv":
        files = {target: export.csv_text(house.eyes).encode()}
    elif kind == ".geojson":
        files = {target: export.geojson_text(house.eyes, house.name).encode()}
    elif kind in (".yaml", ".yml"):
        if target.resolve() == Path(written.document.file).resolve():
            raise SightlineError("The venue would be written over its own file; give --export another name.")
        names = [piece.mesh.file for piece in written.model.scenery if piece.mesh is not None]
        meshes = {name: written.read_file(name) for name in names}
        made = export.venue_files(written.document.tree, house, target.stem, meshes, -written.model.stage.height)
        files = {target if name == f"{target.stem}.yaml" else target.parent / name: data for name, data in made.items()}
    else:
        raise SightlineError(f"'{target}' is no venue that this writes; end the name in .csv, .geojson or .yaml.")
    for path in files:
        refuse_existing(path, force)
    return files
