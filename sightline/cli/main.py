"""The program `sightline`: its commands, and how every one of them ends."""

from __future__ import annotations

import gc
import os
import sys
import warnings
from typing import Annotated

import typer

from sightline import __version__
from sightline.cli import (
    advise,
    apply,
    body,
    cards,
    check,
    clock,
    compare,
    drift,
    fit,
    form,
    look,
    marks,
    match,
    mockup,
    new,
    packet,
    pattern,
    recast,
    rehearse,
    schema,
    streams,
    tour,
    venue,
    view,
)
from sightline.cli import map as map_
from sightline.cli.say import tell
from sightline.errors import SightlineError, printable

# The work is spread over cores by the eye; a matrix library that spins threads of its own beside them halves the speed.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

app = typer.Typer(
    name="sightline",
    help="Who in the audience can see the hidden arm, the seams or the harness - from which seat, and by how much.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.command("new")(new.new)
app.command("form")(form.form)
app.command("check")(check.check)
app.command("map")(map_.map)
app.command("view")(view.view)
app.command("look")(look.look)
app.command("compare")(compare.compare)
app.command("advise")(advise.advise)
app.command("apply")(apply.apply)
app.command("fit")(fit.fit)
app.command("match")(match.match)
app.command("cards")(cards.cards)
app.command("body")(body.body)
app.command("mockup")(mockup.mockup)
app.command("pattern")(pattern.pattern)
app.command("recast")(recast.recast)
app.command("marks")(marks.marks)
app.command("drift")(drift.drift)
app.command("clock")(clock.clock)
app.command("rehearse")(rehearse.rehearse)
app.command("packet")(packet.packet)
app.command("venue")(venue.venue)
app.command("tour")(tour.tour)
app.command("schema")(schema.schema)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"sightline {__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Options that come before the command."""


def main() -> None:
    """Run the program. Exit codes: 0 done, 1 an error of the user's to mend, 2 wrong usage, 3 a requirement failed."""
    # One command makes much and drops little: the collector would walk over it again and again.
    gc.set_threshold(100_000, 50, 50)
    # A letter that the font lacks is drawn as a box, which the reader sees; a warning with a line of code helps nobody.
    warnings.filterwarnings("ignore", message=r"Glyph .* missing from font")
    streams.ready()
    try:
        try:
            app()
        finally:
            # Not at the very end, where nobody can tell any more that the disk is full.
            sys.stdout.flush()
    except SightlineError as error:
        tell("sightline: " + "\n".join(printable(line) for line in str(error).splitlines()))
        sys.exit(1)
    except BrokenPipeError:
        sys.exit(1)
