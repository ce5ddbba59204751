"""`sightline tour` as a person runs it: what is printed, what is written, how it ends."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.errors import SightlineError
from sightline.tour.table import COLUMNS
from tests.tour.scenes import TOUR, put

RUNNER = CliRunner()


def words(path: Path, *more: str) -> list[str]:
    return ["tour", str(path), "--state", str(path.parent / "state"), "--workers", "1", *more]


def test_the_folder_holds_the_table_thrice_and_the_maps(tmp_path: Path) -> None:
    path = put(tmp_path, TOUR.replace("[hall.yaml,", "[broken.yaml, hall.yaml,"))
    ended = RUNNER.invoke(app, words(path, "--out", str(tmp_path / "out"), "--json"))
    assert ended.exit_code == 0, ended.output
    out = tmp_path / "out"
    printed = json.loads(ended.stdout)
    assert json.loads((out / "tour.json").read_text(encoding="utf-8")) == printed
    rows = list(csv.DictReader(io.StringIO((out / "table.csv").read_text(encoding="utf-8"))))
    assert [row["seen"] for row in rows] == ["" if row["seen"] is None else str(row["seen"]) for row in printed["rows"]]
    assert list(rows[0]) == list(COLUMNS)
    assert (out / "maps.pdf").read_bytes().startswith(b"%PDF")
    assert (out / "maps-1.png").read_bytes().startswith(b"\x89PNG")
    assert len((out / "times.csv").read_text(encoding="utf-8").splitlines()) == 1 + 6


def test_parquet_says_what_the_csv_says(tmp_path: Path) -> None:
    parquet = pytest.importorskip("pyarrow.parquet", reason="pyarrow is an optional extra: sightline[parquet]")
    path = put(tmp_path, TOUR.replace("[hall.yaml,", "[broken.yaml, hall.yaml,"))
    ended = RUNNER.invoke(app, words(path, "--out", str(tmp_path / "out"), "--json"))
    assert ended.exit_code == 0, ended.output
    read = parquet.read_table(io.BytesIO((tmp_path / "out/table.parquet").read_bytes()))
    assert read.to_pylist() == json.loads(ended.stdout)["rows"]


def test_the_same_tour_gives_the_same_bytes(tmp_path: Path) -> None:
    path = put(tmp_path)
    for name in ("one", "two"):
        assert RUNNER.invoke(app, words(path, "--out", str(tmp_path / name))).exit_code == 0
    files = sorted(file.name for file in (tmp_path / "one").iterdir())
    assert files == sorted(file.name for file in (tmp_path / "two").iterdir())
    for name in files:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes(), name


def test_words_for_a_person(tmp_path: Path) -> None:
    path = put(tmp_path, TOUR.replace("[hall.yaml,", "[broken.yaml, hall.yaml,"))
    said = RUNNER.invoke(app, words(path)).stdout
    assert "Autumn: 3 venues x 2 variants, 6 rows, 2 failed" in said
    assert "Best variant for the whole tour: wide" in said
    assert "Left out, everything failed there: broken" in said
    assert "Nothing moves from venue to venue" in said


@pytest.mark.parametrize(
    ("tour", "more", "code"),
    [
        (TOUR, (), 0), (TOUR, ("--require-seen", "0"), 3), (TOUR, ("--require-seen", "1"), 0),
        (TOUR + "require: {seen: 0}\n", (), 3), (TOUR + "require: {seen: 0}\n", ("--require-seen", "5"), 0),
        (TOUR.replace("[hall.yaml,", "[broken.yaml,"), ("--require-seen", "5"), 3),
        ("version: 1\nvenues: [broken.yaml]\nscenes: [act.yaml]\n", (), 3), (TOUR, ("--cluster", "tcp://x:1"), 2),
    ],
)  # fmt: skip
def test_how_it_ends(tmp_path: Path, tour: str, more: tuple[str, ...], code: int) -> None:
    ended = RUNNER.invoke(app, words(put(tmp_path, tour), *more))
    assert ended.exit_code == code, ended.output


def test_nothing_is_written_over_and_nothing_is_half_there(tmp_path: Path) -> None:
    path = put(tmp_path)
    (tmp_path / "out").mkdir()
    ended = RUNNER.invoke(app, words(path, "--out", str(tmp_path / "out")))
    assert isinstance(ended.exception, SightlineError)
    assert "is already there" in str(ended.exception)
    ended = RUNNER.invoke(app, words(path, "--out", str(tmp_path / "none" / "out")))
    assert "There is no folder" in str(ended.exception)
    assert not list(tmp_path.glob(".*"))
