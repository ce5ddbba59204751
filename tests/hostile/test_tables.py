"""Names that a spreadsheet would run, in every table this program writes; and our own tables read back as they were."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sightline.blocking.marks import csv_text
from sightline.house import export
from sightline.house.csvtable import guarded, rows_of, text_of, unguarded
from tests.hostile.conftest import Run
from tests.house.venues import house_of

# What a spreadsheet takes for a formula (owasp.org, CSV Injection); the last two have been guarded or quoted before.
FORMULAS = [
    "=1+1", "=cmd|' /C calc'!A0", '=HYPERLINK("http://x.invalid","x")', "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "＝1+1",
    "'=1+1", "''=1+1",
]  # fmt: skip
PLAIN = ["A1", "-3", "+4", "-4.25", "1e-05", "-1e-05", "'s seat", "''", "'-3", "a=b", "", "É 2", "row, 7", 'a "b"']


def read(path: Path) -> list[list[str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.reader(file))


def runs(cell: str) -> bool:
    return cell.startswith(tuple("=+-@\t\r\n＝＋－＠"))


def would_run(cell: str) -> bool:
    """Plain numbers may begin with a sign."""
    return runs(cell) and not re.fullmatch(r"[+-]?[0-9.]+(e[+-][0-9]+)?", cell)


@pytest.mark.parametrize("cell", FORMULAS)
def test_a_formula_is_written_as_words(cell: str) -> None:
    assert not runs(guarded(cell))
    assert unguarded(guarded(cell)) == cell


@pytest.mark.parametrize("cell", PLAIN)
def test_what_is_no_formula_stays(cell: str) -> None:
    assert guarded(cell) == cell == unguarded(cell)


@given(st.text(alphabet="'=+-@\t\r a1.e＝", max_size=6))
def test_every_cell_reads_back(cell: str) -> None:
    assert unguarded(guarded(cell)) == cell


def test_tables_of_marks_tours_and_bodies_are_guarded() -> None:
    rows = list(csv.reader(io.StringIO(csv_text([{"=a": cell} for cell in FORMULAS], ["=a"]))))
    assert [row for row in rows if runs(row[0])] == []
    assert [unguarded(row[0]) for row in rows[1:]] == FORMULAS


NAMES = ["=1+1", "-2+3", "+44", "@here", "'=1", "-3", 'Row "A", 7']


def test_an_exported_house_is_guarded_and_reads_back() -> None:
    table = io.StringIO()
    writer = csv.writer(table)
    writer.writerow(["id", "x_m", "y_m", "z_m", "level", "row", "seat"])
    writer.writerows([name, k * 0.7, -4, 1.2, f"={k}", f"@{k}", f"-{k}"] for k, name in enumerate(NAMES))
    first = house_of("seats from: {csv: s.csv}", {"s.csv": table.getvalue().encode()})
    assert [eye.id for eye in first.eyes] == [name if name != "'=1" else "=1" for name in NAMES]
    text = export.csv_text(first.eyes)
    cells = [cell for _, row in rows_of(text_of(text.encode(), "s.csv", "table"), "s.csv") for cell in row]
    assert [cell for cell in cells if would_run(cell)] == []
    again = house_of("seats from: {csv: s.csv}", {"s.csv": text.encode()})
    assert [(e.id, e.level, e.row, e.seat) for e in again.eyes] == [(e.id, e.level, e.row, e.seat) for e in first.eyes]
    assert export.csv_text(again.eyes) == text


def test_a_table_of_eyes_reads_guarded_names_back() -> None:
    table = "id,x_m,y_m,z_m\n" + "".join(
        f'"{guarded(name)}",{k},0,0\n' for k, name in enumerate(["=1+1", "-2+3", "-3"])
    )
    house = house_of("eyes: [{csv: s.csv}]", {"s.csv": table.encode()})
    assert [eye.id for eye in house.eyes] == ["=1+1", "-2+3", "-3"]


SCENE = """\
version: 1
title: '=1+1'
covers: [{name: '@plate', disc: {radius: 1 m}, at: [0 m, -1 m, 1 m], carried: yes}]
secrets: [{name: '=target', rectangle: {width: 10 cm, height: 5 cm}, at: [0 m, 0 m, 1 m], carried: yes}]
eyes: [{id: '+E1', at: [0 m, -5 m, 1.2 m]}, {id: '=E2', at: [4 m, -5 m, 1.2 m]}]
blocking:
  marks: {'=M': [0 m, 0 m], '@N': [1 m, 0 m]}
  beats: [{name: '=one', at: 0 s, mark: '=M', facing: 0 deg}, {name: '-two', at: 4 s, mark: '@N', facing: 10 deg}]
"""


@pytest.mark.parametrize("words", [("marks",), ("rehearse",)], ids=lambda words: words[0])
def test_tables_that_commands_write(words: tuple[str, ...], sandbox: Path, command: Run) -> None:
    (sandbox / "scene.yaml").write_text(SCENE, encoding="utf-8")
    ended = command(*words, "scene.yaml", "--out", "new")
    assert ended.code == 0, ended.err
    tables = sorted(sandbox.glob("new-*.csv"))
    assert tables
    for table in tables:
        cells = [cell for row in read(table) for cell in row]
        assert [cell for cell in cells if would_run(cell)] == []
        assert any("'=" in cell for cell in cells), "no hostile name came so far"


def test_a_tours_tables(sandbox: Path, command: Run) -> None:
    (sandbox / "scene.yaml").write_text(SCENE, encoding="utf-8")
    hall = "version: 1\nname: h\neyes: [{id: '=E', at: [0 m, -5 m, 1.2 m]}]\n"
    (sandbox / "small.yaml").write_text(hall, encoding="utf-8")
    (sandbox / "tour.yaml").write_text(
        "version: 1\nvenues: [{use: small.yaml, name: '=hall'}]\nscenes: [scene.yaml]\n"
        "variants: [{name: '@turned', change: {blocking.beats: [{name: '=x', at: 0 s, mark: [0 m, 0 m], facing: 0 deg}]}}]\n",
        encoding="utf-8",
    )
    ended = command("tour", "tour.yaml", "--out", "new", "--workers", "1")
    assert ended.code == 0, ended.err
    for name in ("table.csv", "times.csv"):
        rows = read(sandbox / "new" / name)
        assert [cell for row in rows for cell in row if would_run(cell)] == []
        assert rows[1][0] == "'=hall"
