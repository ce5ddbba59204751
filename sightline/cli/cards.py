"""`sightline cards`: what to hold in the hand - dressing, getting out, the dresser's card, signals."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.workshop.cards import Card

KINDS = ("pdf", "png", "svg")


def cards(
    scene: SceneArgument,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Write PREFIX-dress.pdf, -doff.pdf, -dresser.pdf and -signals.pdf; or a folder."),
    ] = None,
    kind: Annotated[str, typer.Option("--as", help="pdf, png or svg.")] = "pdf",
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Tell how it is put on and got out of and which signals hold, on four sheets to print, one side each."""
    import sys
    from dataclasses import asdict

    from sightline.cli.say import closing, print_json, tell, write_together, written_beside
    from sightline.cli.work import misfits_placed
    from sightline.errors import SightlineError
    from sightline.scene.reading import read_scene
    from sightline.workshop.bench import bench_of
    from sightline.workshop.cards import CARDS, cards_of, rests_on

    if kind not in KINDS:
        raise SightlineError(f"'{kind}' is no kind of picture this writes; write one of: {', '.join(KINDS)}.")
    targets = written_beside(scene, out, [f"{name}.{kind}" for name in CARDS], force)
    written = read_scene(scene, root)
    with misfits_placed(written):
        bench = bench_of(written)
        found, rests = cards_of(bench), rests_on(bench)
    title = written.model.title
    if targets:
        from sightline.pictures.cards import draw_card
        from sightline.pictures.style import picture_bytes

        made_cards = [picture_bytes(draw_card(card, title), kind) for card in found]
        write_together(dict(zip(targets, made_cards, strict=True)), force)
        tell(f"Written: {', '.join(str(target) for target in targets)}.")
    if json:
        made = [{k: v for k, v in asdict(card).items() if k != "figure"} for card in found]
        print_json({"schema_version": 1, "title": title, "scene": scene.name, "cards": made,
                    "assumptions": rests[0], "not_checked": rests[1]})  # fmt: skip
    else:
        sys.stdout.write("\n".join([*_words(title, found), "", *closing(*rests)]) + "\n")


def _words(title: str, found: list[Card]) -> Iterator[str]:
    yield f"{title}: cards"
    if found and found[0].first:
        yield ""
        yield "  First of all:"
        yield from (f"    !! {said}" for said in found[0].first)
    for card in found:
        yield ""
        yield f"  {card.title}: {card.lead}"
        for block in card.blocks:
            yield f"    {block.heading}" + (f" ({block.aside})" if block.aside else "")
            for row in block.rows:
                yield f"      {row.mark:>3} {row.words}" + (f": {row.small}" if row.small else "")
    if found:
        yield ""
        yield from (f"  {said}" for said in dict.fromkeys(said for card in found for said in card.foot))
