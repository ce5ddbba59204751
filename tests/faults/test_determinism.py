"""Every command twice: on 1 thread and on 2, sets in another order, another folder, another day and zone; the same bytes.

The exceptions stand in tests/faults/README.md.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.main import get_command

from tests.conftest import REPOSITORY
from tests.faults.runner import SECONDS, Ended, Warm, environment, left_in
from tests.faults.scenes import PLAIN, dressed, put

DAY_S = 86400.0
BEATS = PLAIN.replace("Two plates", "Two beats").replace(
    "blocking: {mark: [0 m, 1 m], facing: 0 deg}",
    """blocking:
  beats:
    - {at: 0 s, name: in front, mark: [0 m, 1 m], hold: 1 s}
    - {at: 3 s, name: aside, mark: [1 m, 1 m], facing: 60 deg, hold: 1 s}""",
)
# Eyes that only one of both has: what is told of them is in their order, not in that of a set.
FEWER = PLAIN.replace("id: A1", "id: B1").replace("id: A2", "id: B2").replace("id: side", "id: B3")
CROWD = PLAIN.partition("eyes:")[0].replace("Two plates", "A ring") + (
    "venue: {standing: [{name: ring, ring: {inner: 2 m, outer: 4 m}, people: 12}]}\n"
)
MOVE = (
    'version: 1\nscene: "Two plates"\nmark: [0.5 m, 0.75 m]\nfacing: 5 deg\nnote: "nearer"\ninitials: AB\ndate: 1 May\n'
)
ROWS = """\
version: 1
name: Small house
stage: {kind: floor, width: 6 m, depth: 4 m}
seats:
  - {name: stalls, kind: straight, rows: 3, seats: 5, first row: 3 m, row spacing: 90 cm, seat spacing: 55 cm}
"""

# Commands by name. `THREADS` becomes 1 in the one run and 2 in the other.
RUNS: dict[str, list[str]] = {
    "new": ["new made/start --yes"],
    "form": ["form --out made/new.html", "form plain.yaml --out made/form.html"],
    "check": ["check plain.yaml --json", "check plain.yaml", "check dressed.yaml --json"],
    "map": [f"map plain.yaml --out made/plan.{kind} --json" for kind in ("png", "svg", "pdf")]
    + ["map plain.yaml --margin --out made/margin.svg", "map beats.yaml --worst-beat --out made/worst.png"],
    "view": ["view plain.yaml --rays --width 1 --arcmin --out made/view.png --json"],
    "look": ["look plain.yaml --still made/look.png"],
    "compare": [
        "compare plain.yaml fewer.yaml", "compare plain.yaml fewer.yaml --json", "compare plain.yaml beats.yaml --out made/both.pdf",
    ],
    "advise": ["advise plain.yaml --only turn --only masking --changes 1 --apply 1 --out made/turned.yaml --json"],
    "apply": ["apply plain.yaml move.yaml --out made/moved.yaml"],
    "fit": ["fit dressed.yaml --json --out made/reach.svg"],
    "match": ["match photo.png --real 30,30 --false 90,30 --white 150,30 --json"],
    "cards": ["cards dressed.yaml --out made/act --json"],
    "body": ["body --stature 172cm --mass 70kg --out made/body.csv --json"],
    "mockup": ["mockup dressed.yaml --room 2x2m --out made/act --json"],
    "pattern": ["pattern dressed.yaml --out made/act --json"],
    "recast": ["recast dressed.yaml --stature 170cm --out made/recast.yaml --json"],
    "marks": ["marks beats.yaml --out made/act --json"],
    "drift": ["drift plain.yaml --draws 5 --out made/drift.svg --json"],
    "clock": ["clock plain.yaml --out made/clock.pdf --json"],
    "rehearse": ["rehearse beats.yaml --fps 1 --out made/act --json"],
    "packet": ["packet beats.yaml --out made/packet --json"],
    "venue": [
        "venue hall.yaml --json --out made/house.svg --export made/seats.csv", "venue hall.yaml --export made/seats.geojson",
        "venue thrust-220 --json",
    ],
    "tour": ["tour tour.yaml --workers THREADS --retarget --state state --out made/tour --json"],
    "schema": ["schema", "schema --venue"],
}  # fmt: skip
# What ends with 1: by name, why.
REFUSED = {"look": "OpenGL is shut off, as its pictures are of the machine"}


def photo(path: Path) -> None:
    import numpy as np
    from matplotlib.image import imsave

    picture = np.ones((60, 180, 3)) * 0.9
    picture[:, :60], picture[:, 60:120] = (0.6, 0.5, 0.4), (0.5, 0.4, 0.3)
    imsave(path, picture)


def ran(warm: Warm, folder: Path, name: str, threads: int, back_s: float = 0.0) -> tuple[list[Ended], dict[str, str]]:
    """A command's results and what it left, in a folder of its own."""
    put(folder)
    (folder / "made").mkdir()
    texts = {"beats": BEATS, "fewer": FEWER, "crowd": CROWD, "dressed": dressed(), "move": MOVE, "house": ROWS}
    for file, text in texts.items():
        (folder / f"{file}.yaml").write_text(text, encoding="utf-8")
    if name == "match":
        photo(folder / "photo.png")
    zone = "Pacific/Auckland" if threads > 1 else "UTC"
    env = environment(folder / "home", SIGHTLINE_THREADS=str(threads), TZ=zone)
    ended = [
        warm.run(
            folder, *(str(threads) if word == "THREADS" else word for word in line.split()), env=env, back_s=back_s
        )
        for line in RUNS[name]
    ]
    return ended, left_in(folder / "made")


def test_every_command_is_here() -> None:
    from sightline.cli.main import app

    assert set(get_command(app).commands) == set(RUNS)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", RUNS)
def test_the_same_bytes(name: str, tmp_path: Path, warm: Warm, other: Warm) -> None:
    first, left = ran(warm, tmp_path / "a", name, 1)
    second, again = ran(other, tmp_path / "b" / "deeper", name, 2, back_s=-400 * DAY_S)
    for line, one, two in zip(RUNS[name], first, second, strict=True):
        assert one.code == (1 if name in REFUSED else 0), f"{line}: {one.stderr}"
        assert (two.code, two.stdout, two.stderr) == (one.code, one.stdout, one.stderr), line
        assert b"tmp_path" not in one.stdout
        assert one.stdout or one.stderr
    assert left == again
    assert bool(left) == any("made/" in line and name not in REFUSED for line in RUNS[name])


def test_the_exceptions_are_told() -> None:
    """What differs from run to run by its nature is named where a reader looks for it, and nothing else is left out."""
    said = (REPOSITORY / "tests/faults/README.md").read_text(encoding="utf-8").partition("## The same bytes")[2]
    for word in (SECONDS, "--best-nesting", "OpenGL", "Progress"):
        assert word in said
    told = [line for line in said.splitlines() if line.startswith("- ")]
    assert len(told) == 4


def test_what_is_excepted_differs_only_in_its_seconds(tmp_path: Path, warm: Warm, other: Warm) -> None:
    """The table of times has the same points in the same order; all but its last column is held to the same bytes."""
    tables = []
    for one, folder in ((warm, tmp_path / "a"), (other, tmp_path / "b")):
        put(folder)
        assert one.run(folder, "tour", "tour.yaml", "--workers", "1", "--out", "out").code == 0
        tables.append((folder / "out" / SECONDS).read_text(encoding="utf-8").splitlines())
    assert tables[0][0].endswith(",seconds")
    assert [[line.rpartition(",")[0] for line in table] for table in tables] == [
        [line.rpartition(",")[0] for line in tables[0]]
    ] * 2
    assert all(float(line.rpartition(",")[2]) >= 0 for table in tables for line in table[1:])
