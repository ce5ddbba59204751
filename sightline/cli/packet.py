"""`sightline packet`: every paper that the company needs on the day, in one folder, open and closed apart."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.cli.say import Progress
    from sightline.packet.brief import Brief
    from sightline.packet.packet import Packet

PAPERS = ("a4", "letter")
# Steps in which the work is told, for the bar on stderr.
STEPS = 30


def packet(
    scene: SceneArgument,
    out: Annotated[Path, typer.Option("--out", help="The folder to write; it must not be there yet.")],
    only: Annotated[
        list[str] | None, typer.Option("--only", help="Only this paper, such as director (may be repeated).")
    ] = None,
    paper: Annotated[str, typer.Option("--paper", help="What is printed on: a4 or letter.")] = "a4",
    json: Annotated[bool, typer.Option("--json", help="Print the packet's list as JSON and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Write the papers for director, stage manager, builder and everyone on the day; what shows the working apart."""
    import sys

    from sightline.cli.say import print_json, progress, tell
    from sightline.packet.packet import packet_of
    from sightline.packet.papers import chosen
    from sightline.packet.write import refuse, write_packet

    if paper not in PAPERS:
        raise typer.BadParameter(f"--paper is one of {', '.join(PAPERS)}, not '{paper}'.")
    refuse(out, force)
    kinds = chosen(only or [])
    with progress("packet") as bar:
        made = packet_of(_brief(scene, root, paper, bar), kinds)
        files = made.files()
    write_packet(out, files, force)
    tell(f"The packet is in {out}: {len(files)} files.")
    if json:
        print_json(made.manifest)
    else:
        sys.stdout.write("\n".join(_words(made)) + "\n")


def _brief(scene: Path, root: Path | None, paper: str, bar: Progress) -> Brief:
    from sightline.cli.work import finding_of, thresholds
    from sightline.packet.brief import Brief
    from sightline.scene.reading import read_scene
    from sightline.sight.fieldcache import FieldCache
    from sightline.workshop.bench import bench_of

    done = 0

    def tick(_: str) -> None:
        nonlocal done
        done += 1
        bar(min(done, STEPS - 1), STEPS)

    tick("reading")
    bench = bench_of(read_scene(scene, root))
    tick("looking")
    finding = finding_of(bench.written, bench.staged, margins=True)
    size = "letter" if paper == "letter" else "a4"
    return Brief(bench, finding, thresholds(bench.scene), scene.name, size, FieldCache(), tick)  # type: ignore[arg-type]


def _words(made: Packet) -> list[str]:
    """The list for a person at a terminal: closed papers first, then open, then what was left out and why."""
    from sightline.cli.say import closing

    listed = made.manifest
    lines = [f"{listed['title']}: {len(made.papers)} papers, {listed['status']}"]
    for openness, said in (("closed", "CLOSED, for the company only"), ("open", "OPEN, for everybody")):
        papers = [paper for paper in made.papers if paper.kind.openness == openness]
        if papers:
            lines += ["", f"  {said}"]
        for paper in papers:
            pages = f", {paper.pages} page{'s' if paper.pages != 1 else ''}" if paper.pages else ""
            lines.append(f"    {paper.kind.path}: {paper.kind.title}, for {', '.join(paper.kind.for_whom)}{pages}")
    if made.missing:
        lines += ["", "  Left out"]
        lines += [f"    {missing.kind.path}: {missing.why}" for missing in made.missing]
    return [*lines, "", *closing(listed["assumptions"], listed["not_checked"])]
