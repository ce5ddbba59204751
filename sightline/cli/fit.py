"""`sightline fit`: will it go on, reach, look right, hold together and come off."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from sightline.cli.check import RootOption, SceneArgument

if TYPE_CHECKING:
    from sightline.workshop.section import Item, Section

MARKS = {"yes": "+", "no": "NO", "not known": "??", "warn": "!", "told": " "}


def fit(
    scene: SceneArgument,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    section: Annotated[str | None, typer.Option("--section", help="Print this section only.")] = None,
    root: RootOption = None,
) -> None:
    """Tell whether it can be put on, reached through, carried and got out of - before anything is cut."""
    import sys

    from sightline.cli.say import print_json
    from sightline.cli.work import misfits_placed
    from sightline.errors import SightlineError
    from sightline.scene.reading import read_scene
    from sightline.workshop.bench import bench_of
    from sightline.workshop.fit import document, sections

    written = read_scene(scene, root)
    with misfits_placed(written):
        bench = bench_of(written)
        found = sections(bench)
    if section is not None:
        names = [part.name for part in found]
        if section not in names:
            raise SightlineError(f"There is no section '{section}'; there are: {', '.join(names)}.")
        found = [part for part in found if part.name == section]
    if json:
        print_json(document(bench, scene.name, found))
    else:
        sys.stdout.write("\n".join(_lines(bench.scene.title, found)) + "\n")


def _lines(title: str, found: list[Section]) -> Iterator[str]:
    yield f"{title}: fit"
    top = [item for part in found for item in part.top if item.state in ("no", "not known")]
    if top:
        yield ""
        yield "  First of all:"
        yield from (_line(item) for item in top)
    for part in found:
        yield ""
        yield f"  {part.name[:1].upper() + part.name[1:]}"
        yield from (_line(item) for item in (*part.top, *part.items))
        yield from (f"      caution: {said}" for said in part.cautions)
    for heading, said in (
        ("Taken for granted:", dict.fromkeys(s for part in found for s in part.assumptions)),
        ("Not checked:", dict.fromkeys(s for part in found for s in part.not_checked)),
    ):
        if said:
            yield ""
            yield f"  {heading}"
            yield from (f"    - {sentence}" for sentence in said)


def _line(item: Item) -> str:
    source = f" [{item.source}]" if item.source else ""
    return f"   {MARKS[item.state]:>3} {item.words}{source}"
