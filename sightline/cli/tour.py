"""`sightline tour`: many venues, variants and beats in one table, on this machine or on a cluster."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption

if TYPE_CHECKING:
    from sightline.cli.say import Progress
    from sightline.tour.plan import Plan
    from sightline.tour.run import Ran, Tick


def tour(
    tour: Annotated[Path, typer.Argument(help="The tour file.", show_default=False)],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", help="A new folder for table.csv, tour.json, maps.pdf, maps-1.png, times.csv and table.parquet."
        ),
    ] = None,
    retarget: Annotated[
        bool,
        typer.Option(
            "--retarget", help="Solve each venue's mark and facing first; with --out, a new scene for each venue."
        ),
    ] = False,
    workers: Annotated[
        int | None, typer.Option("--workers", min=1, max=1024, help="Processes on this machine; by default one a core.")
    ] = None,
    cluster: Annotated[
        str | None, typer.Option("--cluster", help="Address of a Dask scheduler to work on, such as tcp://HOST:8786.")
    ] = None,
    state: Annotated[
        Path | None, typer.Option("--state", help="Where results are kept, to go on from; by default the user's cache.")
    ] = None,
    require_seen: Annotated[
        int | None,
        typer.Option("--require-seen", min=0, help="End with code 3 if more eyes than this see a secret in any venue."),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    root: RootOption = None,
) -> None:
    """Look at every venue with every variant and beat; tell the best variant, what moves, and where it fails."""
    import sys

    from sightline.cli.say import print_json, progress, tell
    from sightline.cli.tourwords import tour_words
    from sightline.tour.folder import refuse, write_folder
    from sightline.tour.plan import read_plan
    from sightline.tour.run import Where, run
    from sightline.tour.store import Store, default_folder
    from sightline.tour.summary import document, shortfall

    if workers is not None and cluster is not None:
        raise typer.BadParameter("--workers is for this machine and --cluster for another; give one.")
    if out is not None:
        refuse(out)
    plan = read_plan(tour, root)
    store = Store(state.absolute()) if state is not None else Store(default_folder(), needed=False)
    with progress("touring") as bar:
        ran = run(plan, store, Where(workers, cluster), retarget, _tick(bar))
    if store.folder is None:
        tell("Nothing is kept of this run: the user's cache folder takes no files; --state says another one.")
    if ran.kept:
        tell(f"{ran.kept} of {len(ran.looked) + len(ran.moved)} results were there from before.")
    report = document(ran, tour.name)
    if out is not None:
        with progress("drawing"):
            files = _files(ran, report, retarget)
        write_folder(out, files)
        tell(f"The tour is in {out}: {len(files)} files.")
        if "table.parquet" not in files:
            tell("There is no table.parquet: pyarrow is not installed (pip install 'sightline[parquet]').")
    if json:
        print_json(report)
    else:
        sys.stdout.write(tour_words(report))
    _end(plan, report, require_seen, shortfall)


def _end(plan: Plan, report: dict[str, Any], require_seen: int | None, shortfall: Any) -> None:
    from sightline.cli.say import tell

    required = plan.tour.require.seen if plan.tour.require else None
    said = shortfall(report, required if require_seen is None else require_seen)
    if said is not None:
        tell(f"sightline: {said}")
        raise typer.Exit(3)


def _tick(bar: Progress) -> Tick:
    """Tells how much is done and about how long the rest will take, from what was worked out in this run."""
    import time

    started = time.monotonic()

    def tick(done: int, of: int, known: int) -> None:
        worked = done - known
        left = (time.monotonic() - started) / worked * (of - done) if worked else 0.0
        bar.what = f"touring {done}/{of}, {_left(left)} left".ljust(34)
        bar(done, of)

    return tick


def _left(seconds: float) -> str:
    if seconds < 90:
        return f"about {seconds:.0f} s"
    return f"about {seconds / 60:.0f} min" if seconds < 5400 else f"about {seconds / 3600:.1f} h"


def _files(ran: Ran, report: dict[str, Any], retarget: bool) -> dict[str, bytes]:
    """All that goes into the folder, by path."""
    from json import dumps

    from sightline.pictures.page import pdf_of
    from sightline.pictures.style import picture_bytes
    from sightline.tour.folder import scenes_of
    from sightline.tour.maps import draw_tour
    from sightline.tour.table import COLUMNS, TIMES, as_csv, as_parquet, times

    figures = draw_tour(ran, report)
    files = {
        "table.csv": as_csv(report["rows"], COLUMNS),
        "times.csv": as_csv(times(ran), TIMES),
        "tour.json": (dumps(report, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode(),
        "maps.pdf": pdf_of(figures, {"Title": report["title"]}),
    }
    files |= {f"maps-{n}.png": picture_bytes(figure, "png") for n, figure in enumerate(figures, 1)}
    parquet = as_parquet(report["rows"], COLUMNS)
    if parquet is not None:
        files["table.parquet"] = parquet
    return files | (scenes_of(ran) if retarget else {})
