"""`sightline pattern`: from the false limb to flat pieces, their seams where few look, and all that a builder needs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.cli.say import Progress
    from sightline.pattern.made import Made, Wants
    from sightline.scene.reading import Written
    from sightline.scene.scene import Scene

SEAMS, SHAPES, PAPERS = ("hide", "flat", "balanced"), ("auto", "straight", "mitre"), ("a4", "letter")
# Steps that the work is told in, for the bar on stderr.
STEPS = 12


def pattern(
    scene: SceneArgument,
    limb: Annotated[
        str | None, typer.Option("--limb", help="Which false limb; may be left out where there is one.")
    ] = None,
    seams: Annotated[
        str | None,
        typer.Option(
            "--seams", help="hide (where few look), flat or balanced; default hide, or flat where nobody watches."
        ),
    ] = None,
    shape: Annotated[
        str, typer.Option("--shape", help="auto, straight (one tube) or mitre (two tubes, cut at the elbow).")
    ] = "auto",
    panels: Annotated[int, typer.Option("--panels", min=1, max=4, help="Pieces round the limb.")] = 1,
    stock: Annotated[
        str | None,
        typer.Option("--stock", help="The sheet as it is sold, 120 x 60 cm or 24 x 48 in; default 120 x 60 cm."),
    ] = None,
    gap: Annotated[str, typer.Option("--gap", help="Between pieces on the sheet.")] = "5 mm",
    best: Annotated[
        int | None, typer.Option("--best-nesting", min=1, max=600, help="Look so many seconds for a better layout.")
    ] = None,
    paper: Annotated[str, typer.Option("--paper", help="What tiles are printed on: a4 or letter.")] = "a4",
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Write PREFIX-pieces.svg, .dxf, .pdf, tiles, templates and sheets; or a folder."),
    ] = None,
    apply: Annotated[
        bool, typer.Option("--apply", help="Write no drawings but the scene with these seams, to --out NEW.yaml.")
    ] = False,
    keep: Annotated[
        list[str] | None, typer.Option("--keep", help="With --apply: a seam of the scene that stays (may be repeated).")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Cut a false limb into flat pieces with seams where the audience sees least, and draw all that a builder needs."""
    import sys

    from sightline.cli.patternfiles import ENDINGS, drawn, files_of, write_all
    from sightline.cli.patternwords import document, pattern_words
    from sightline.cli.say import print_json, progress, refuse_existing, tell, written_beside
    from sightline.cli.work import misfits_placed
    from sightline.pattern.made import bench_for_pattern, make
    from sightline.scene.reading import read_scene

    for option, said, known in (("--seams", seams, SEAMS), ("--shape", shape, SHAPES), ("--paper", paper, PAPERS)):
        if said is not None and said not in known:
            raise typer.BadParameter(f"{option} is one of {', '.join(known)}, not '{said}'.")
    if apply and out is None:
        raise typer.BadParameter("--apply and --out NEW.yaml belong together.")
    if keep and not apply:
        raise typer.BadParameter("--keep belongs to --apply.")
    wants = _wants(seams, shape, panels, stock, gap, best)
    targets: list[Path] = []
    if apply and out is not None:
        refuse_existing(out, force)
    else:
        targets = written_beside(scene, out, ENDINGS, force)
    written = read_scene(scene, root)
    with progress("pattern") as bar, misfits_placed(written):
        tick = _ticker(bar)
        bench = bench_for_pattern(written, wants.seams)
        made = make(bench, limb, wants, tick)
        sheets = drawn(made, "letter" if paper == "letter" else "a4")
        if targets:
            files, without = files_of(bench, made, sheets, "letter" if paper == "letter" else "a4", scene.name, tick)
    if apply and out is not None:
        _apply(written, made, out, keep or [], force)
    elif targets:
        tell(f"Written: {', '.join(str(path) for path in write_all(files, targets, force))}.")
        for said in without:
            tell(said)
    if json:
        print_json(document(made, sheets.pages, scene.name))
    else:
        sys.stdout.write("\n".join(pattern_words(made)) + "\n")


def _wants(seams: str | None, shape: str, panels: int, stock: str | None, gap: str, best: int | None) -> Wants:
    """The options as values. Raises SightlineError for a sheet or a gap that is none."""
    from sightline.errors import SightlineError
    from sightline.pattern.made import Wants
    from sightline.pattern.plan import Choices
    from sightline.pattern.stock import DEFAULT, stock_of
    from sightline.units import QuantityError, Unknown, parse

    try:
        apart = parse(gap, "length").value
    except (QuantityError, Unknown) as error:
        raise SightlineError(f"--gap: {str(error) or 'unknown is no length here'}.") from None
    choices: Any = Choices(shape=shape, panels=panels)  # type: ignore[arg-type]
    return Wants(choices, seams, DEFAULT if stock is None else stock_of(stock), apart, best)  # type: ignore[arg-type]


def _ticker(bar: Progress) -> Any:
    """Counts the steps of the work; how many there are is known about, so the last one is not drawn as the end."""
    done = 0

    def tick(_: str) -> None:
        nonlocal done
        done += 1
        bar(min(done, STEPS - 1), STEPS)

    return tick


def _apply(written: Written[Scene], made: Made, out: Path, keep: list[str], force: bool) -> None:
    """Write the scene with the pattern's seams. Raises SightlineError where nobody watches or the text cannot be changed."""
    from sightline.cli.say import tell
    from sightline.cli.work import write_scene
    from sightline.errors import SightlineError
    from sightline.pattern.applied import applied

    if made.skin is None:
        raise SightlineError(f"The seams are not written into a scene. {made.why_not}")
    done = applied(written, made.pattern.limb, made.pattern.seams, made.skin, keep)
    write_scene(written, done.text, out, force)
    gone = f" Seams that are no more: {', '.join(done.replaced)}." if done.replaced else ""
    tell(f"The scene with these seams is in {out}.{gone} Look at it with sightline check {out}.")
