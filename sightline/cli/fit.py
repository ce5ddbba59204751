"""`sightline fit`: will it go on, reach, look right, hold together and come off."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.workshop.bench import Bench
    from sightline.workshop.section import Item, Section

MARKS = {"yes": "+", "no": "NO", "not known": "??", "warn": "!", "told": " "}


def fit(
    scene: SceneArgument,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    section: Annotated[str | None, typer.Option("--section", help="Print this section only.")] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="Also draw what the hidden hand reaches: PNG, SVG or PDF.")
    ] = None,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Tell whether it can be put on, reached through, carried and got out of - before anything is cut."""
    import sys

    from sightline.cli.say import print_json
    from sightline.cli.work import misfits_placed, picture_target
    from sightline.errors import SightlineError
    from sightline.scene.reading import read_scene
    from sightline.workshop.bench import bench_of
    from sightline.workshop.fit import document, first_items, sections

    kind = picture_target(out, force)
    written = read_scene(scene, root)
    with misfits_placed(written):
        bench = bench_of(written)
        found = sections(bench)
    first = first_items(found)
    if section is not None:
        names = [part.name for part in found]
        if section not in names:
            raise SightlineError(f"There is no section '{section}'; there are: {', '.join(names)}.")
        found = [part for part in found if part.name == section]
    if out:
        _draw(bench, out, kind, force)
    if json:
        print_json(document(bench, scene.name, found, first))
    else:
        sys.stdout.write("\n".join(_lines(bench.scene.title, found, first)) + "\n")


def _draw(bench: Bench, out: Path, kind: str, force: bool) -> None:
    from sightline.cli.say import tell, write_whole
    from sightline.errors import SightlineError
    from sightline.pictures.reach import draw_reach
    from sightline.pictures.style import picture_bytes
    from sightline.workshop.reach import view

    seen = view(bench)
    if seen is None:
        raise SightlineError("There is nothing to draw: the scene has no hidden arm with a puppet in a box.")
    write_whole(out, picture_bytes(draw_reach(seen, bench.scene.title), kind), force)
    tell(f"The picture is in {out}.")


def _lines(title: str, found: list[Section], first: list[Item]) -> Iterator[str]:
    yield f"{title}: fit"
    yield "  + in order   ! to look at   NO it is not so   ?? not known   no mark: for information"
    if first:
        yield ""
        yield "  First of all:"
        yield from (_line(item) for item in first)
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
