"""Marks and cues: tapes against right triangles, tables that no spreadsheet runs, a page that prints to size."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from sightline.blocking.beats import Step
from sightline.blocking.cues import cue_sheet
from sightline.blocking.marks import Tapes, csv_text, spike_table, tapes_of
from sightline.cli.main import app
from sightline.cli.marks import _sheet
from sightline.errors import SightlineError
from sightline.house.outline import area, line
from sightline.pictures.marks import draw_marks
from sightline.scene.blocking import Blocking, Held
from tests.conftest import REPOSITORY

PL = line("plaster line", "plaster line", [[-7, 0], [7, 0]])
ARCH = [area(f"proscenium {s}", "proscenium", [[s * 4, 0], [s * 8, 0], [s * 8, -0.4]]) for s in (-1, 1)]
SMALL = """\
version: 1
title: "=SUM(A1:A9)"
secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}}]
eyes: [{id: E1, at: [0 m, -6 m, 1.2 m]}]
blocking:
  marks: {"@start": [-1 m, 0.5 m], spare: [1 m, 1 m]}
  beats:
    - {at: 0 s, mark: "@start", name: "+1", hands: "=cmd()|x", cue: -3}
    - {at: 9 s, mark: [0.4 m, 1 m], facing: 38 deg, name: "$turn_$"}
"""


def step(mark: tuple[float, float], facing_deg: float = 0.0, name: str = "beat", label: str | None = None) -> Step:
    at = np.array([mark, mark], dtype=float)
    return Step(0, 0.0, 0.0, name, mark, math.radians(facing_deg), at, Held(), mark_name=label)


def run(*words: str) -> Any:
    return CliRunner().invoke(app, list(words))


@pytest.mark.parametrize(
    ("tapes", "mark", "a_m", "b_m", "side"),
    [
        # 3-4-5 to both hooks, 5-12-13 and 9-12-15, and one downstage of the line.
        (((-3, 0), (3, 0)), (0, 4), 5.0, 5.0, "upstage"),
        (((-5, 0), (9, 0)), (0, 12), 13.0, 15.0, "upstage"),
        (((-4, 0), (4, 0)), (-1, -3), math.sqrt(18), math.sqrt(34), "downstage"),
        (((0, -3), (0, 3)), (4, 0), 5.0, 5.0, "stage left"),
        (((3, 0), (-3, 0)), (0, 4), 5.0, 5.0, "upstage"),
    ],
)
def test_tapes_against_right_triangles(
    tapes: Any, mark: tuple[float, float], a_m: float, b_m: float, side: str
) -> None:
    (spike,) = spike_table([step(mark)], Blocking.model_construct(tapes=list(tapes), marks={}), [PL])
    assert spike.lengths_m == pytest.approx((a_m, b_m))
    assert spike.row()["tapes meet"] == side


def test_the_printed_lengths_give_the_mark_back() -> None:
    rng = np.random.default_rng(3)
    tapes = Tapes((-4.8, 0.0), (4.8, 0.0), ("A", "B"), "")
    for x, y in rng.uniform([-3, 1.5], [3, 6], (200, 2)).tolist() + rng.uniform([-3, -4], [3, -1.5], (50, 2)).tolist():
        spot = (x, y)
        a, b = (round(math.dist(hook, spot), 3) for hook in (tapes.a_m, tapes.b_m))
        found = tapes.meeting(a, b, left=tapes.side_of(spot) > 0)
        # Each length is rounded by up to half a millimetre; where tapes cross at a slant that grows.
        slant = math.sin(tapes.crossing_rad(spot) or 1.0)
        assert math.dist(found, spot) <= 0.001 / slant
        exact = tapes.meeting(*(math.dist(hook, spot) for hook in (tapes.a_m, tapes.b_m)), left=y > 0)
        assert math.dist(exact, spot) < 1e-9


def test_where_the_tapes_are_hooked() -> None:
    assert tapes_of(Blocking(), [PL, *ARCH]).a_m == (-4.0, 0.0)
    assert tapes_of(Blocking(), []).b_m == (2.0, 0.0)
    assert tapes_of(Blocking(), [PL, *ARCH]).names == ("tape A (SR)", "tape B (SL)")
    said = Blocking(tapes=[["3 m", "1 m"], ["3 m", "-1 m"]])
    assert tapes_of(said, ARCH).names == ("tape A (US)", "tape B (DS)")


@pytest.mark.parametrize(
    ("mark", "poor"),
    [((0, 0.26), True), ((0, 0.27), False), ((9, 0.1), True), ((2, 0), False), ((0, 3), False)],
)
def test_a_flat_crossing_is_told(mark: tuple[float, float], poor: bool) -> None:
    """Hooks 2 m either side: on CL the tapes meet at 165 deg where y = 2 tan 7.5 deg = 0.2633 m."""
    (spike,) = spike_table([step(mark)], Blocking(), [])
    assert (spike.warning() is not None) is poor


def test_every_mark_once_in_the_order_of_the_beats() -> None:
    blocking = Blocking(marks={"spare": (2.0, 2.0), "door": (-1.0, 1.0)})
    there = [step((0.5, 1), 38, "a"), step((-1, 1), 0, "b", "door"), step((0.5, 1.0004), -20, "c")]
    found = spike_table(there, blocking, [PL])
    assert [(s.number, s.label, s.beats) for s in found] == [
        (1, "M1", ("a", "c")), (2, "door", ("b",)), (3, "spare", ()),
    ]  # fmt: skip
    row = found[0].row()
    assert row["from CL"] == "0.50 m SL / HR"
    assert row["from PL"] == "1.00 m upstage of PL"
    assert row["facing"] == "1/4 L (38 deg), to stage left (house right)"
    assert found[2].row()["facing"] == ""
    # Never by colour alone: the number is on the tape.
    assert all(s.row()["tape colour"] == f"{s.number} {s.tape}" for s in found)
    assert len({s.tape for s in found}) == 3


def test_a_spreadsheet_runs_nothing() -> None:
    cells = ["=1+1", "+A1", "-A1", "@SUM(A1)", "\t=1", "\r=1", "-3", "+4.5", "-3.2.1", "a=b", 'say "x", y', ""]
    (head, *rows) = csv.reader(io.StringIO(csv_text([{"=c": c} for c in cells], ["=c"]), newline=""))
    assert head == ["'=c"]
    assert [row[0] if row else "" for row in rows] == [
        "'=1+1", "'+A1", "'-A1", "'@SUM(A1)", "'\t=1", "'\r=1", "-3", "+4.5", "'-3.2.1", "a=b", 'say "x", y', "",
    ]  # fmt: skip


def test_no_cell_of_ours_needs_a_quote() -> None:
    (cue,) = cue_sheet([step((0, 1))], (-2, 2, 0, 3))
    assert cue.row()["where"] == "P @ C"
    assert not any(value[:1] in "=+-@" for value in cue.row().values() if value)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "small.yaml").write_text(SMALL, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_example_in_words_and_json(folder: Path) -> None:
    scene = str(REPOSITORY / "examples" / "courier-stage-beats.yaml")
    said = run("marks", scene).stdout
    assert "0.60 m SL / HR (1 ft 11 5/8 in); 1.30 m upstage of PL" in said
    assert "P X DC: 2.50 m (8 ft 2 1/2 in) to stage left (house right)" in said
    assert "Warnings" not in said
    report = json.loads(run("marks", scene, "--json").stdout)
    assert set(report) == {"schema_version", "title", "scene", "marks", "cues", "warnings", "cautions",
                           "assumptions", "not_checked"}  # fmt: skip
    assert [mark["label"] for mark in report["marks"]] == ["door", "doormat", "lamp post"]
    assert report["marks"][1]["from_tape_a_m"] == pytest.approx(math.hypot(4.8, 1.0))
    assert [cue["number"] for cue in report["cues"]] == ["1", "2", "3", "4", "4.5"]
    assert report["cues"][3]["at_s"] == 27.0
    assert report["warnings"] == []
    assert sorted(folder.iterdir()) == [folder / "small.yaml"]


def test_files_are_written_whole_and_never_over_others(folder: Path) -> None:
    assert run("marks", "small.yaml", "--out", "act").exit_code == 0
    names = ["act-cues.csv", "act-marks.pdf", "act-spikes.csv"]
    assert sorted(path.name for path in folder.iterdir()) == [*names, "small.yaml"]
    rows = list(csv.DictReader((folder / "act-cues.csv").read_text(encoding="utf-8").splitlines()))
    # A plain number is one; a formula is not.
    assert [rows[0][key] for key in ("cue", "beat", "hands", "LX")] == ["-3", "+1", "'=cmd()|x", ""]
    spikes = list(csv.DictReader((folder / "act-spikes.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["mark"] for row in spikes] == ["'@start", "M2", "spare"]
    before = {name: (folder / name).read_bytes() for name in names}
    (folder / "act-spikes.csv").unlink()
    done = run("marks", "small.yaml", "--out", "act")
    assert isinstance(done.exception, SightlineError)
    assert "--force" in str(done.exception)
    assert not (folder / "act-spikes.csv").exists()
    assert run("marks", "small.yaml", "--out", "act", "--force").exit_code == 0
    assert {name: (folder / name).read_bytes() for name in names} == before
    (folder / "there").mkdir()
    assert run("marks", "small.yaml", "--out", "there").exit_code == 0
    assert (folder / "there" / "small-marks.pdf").exists()
    assert "no folder 'nowhere'" in str(run("marks", "small.yaml", "--out", "nowhere/x").exception)


def test_the_page_prints_to_size(folder: Path) -> None:
    """A4, and the check bar and the plan's scale bar at their true length, read from the finished file."""
    assert run("marks", "small.yaml", "--out", "act").exit_code == 0
    data = (folder / "act-marks.pdf").read_bytes()
    mm = 72 / 25.4
    (box,) = re.findall(rb"/MediaBox \[([^\]]*)\]", data)
    assert [float(x) / mm for x in box.split()] == pytest.approx([0, 0, 210, 297], abs=0.01)
    drawn = b"".join(_streams(data)).decode("latin-1")
    lines = [tuple(map(float, m)) for m in re.findall(r"([\d.-]+) ([\d.-]+) m\s+([\d.-]+) ([\d.-]+) l", drawn)]
    level = {round((x2 - x1) / mm, 2) for x1, y1, x2, y2 in lines if abs(y1 - y2) < 1e-6}
    assert 100.0 in level
    # Hooks 2 m to either side and 0.7 m beyond: 5.4 m in 118 mm is 1:50, where the bar of 2 m is 40 mm.
    assert 40.0 in level


def _streams(data: bytes) -> list[bytes]:
    found = []
    for match in re.finditer(rb"stream\r?\n(.*?)endstream", data, re.DOTALL):
        try:
            found.append(zlib.decompress(match[1]))
        except zlib.error:
            continue
    return found


@pytest.mark.parametrize("count", [1, 200])
def test_a_page_says_what_it_leaves_out(folder: Path, count: int) -> None:
    rows = "".join(
        f"    - {{at: {9 * i} s, mark: [{i % 20} m, {i // 20} m], name: {'long' * 30} {i}}}\n" for i in range(count)
    )
    (folder / "many.yaml").write_text(SMALL[: SMALL.index("    - {at")] + rows, encoding="utf-8")
    assert run("marks", "many.yaml", "--out", "many").exit_code == 0
    assert (folder / "many-marks.pdf").read_bytes().count(b"/MediaBox") == 1
    assert len((folder / "many-cues.csv").read_text(encoding="utf-8").splitlines()) == count + 1
    said = [text.get_text() for text in draw_marks(_sheet(folder / "many.yaml", None)[0]).axes[0].texts]
    assert any("Measure from CL" in text for text in said)
    assert any("more cues found no room here" in text for text in said) is (count > 1)
    assert any("more marks found no room here" in text for text in said) is (count > 1)
