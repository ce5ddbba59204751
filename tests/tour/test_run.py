"""The tour run on this machine: the same table however it is run, nothing lost, nothing believed that is damaged."""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from sightline.blocking.rehearsal import rehearse
from sightline.scene.reading import scene_from_text
from sightline.sight.check import check
from sightline.sight.report import document as check_document
from sightline.staging import stage
from sightline.tour import pool
from sightline.tour.plan import read_plan
from sightline.tour.point import Point
from sightline.tour.program import here
from sightline.tour.run import Where, run
from sightline.tour.store import Result, Store
from sightline.tour.summary import best_of, document, shortfall, totals_of
from sightline.tour.table import COLUMNS, as_csv, table
from tests.conftest import REPOSITORY
from tests.tour import killers
from tests.tour.scenes import TOUR, many, put


def csv_of(path: Path, state: Path, workers: int = 1) -> bytes:
    return as_csv(table(run(read_plan(path), Store(state), Where(workers))), COLUMNS)


def report_of(path: Path, state: Path) -> dict[str, Any]:
    return document(run(read_plan(path), Store(state), Where(1)), path.name)


def test_rows_are_what_check_finds(tmp_path: Path) -> None:
    """Each static row against `check` of the same scene with the venue written into it by hand."""
    path = put(tmp_path)
    rows = report_of(path, tmp_path / "state")["rows"]
    for row, point in zip(rows, read_plan(path).points(), strict=True):
        written = scene_from_text(point.scene_text(), folder=tmp_path)
        found = check_document(check(stage(written)), "x")["summary"]
        assert (row["eyes"], row["seen"], row["faint"]) == (found["eyes"], found["eyes_seen"], found["eyes_faint"])
        assert (row["worst_eye"], row["people_seen"]) == (found["worst_eye"], found["weighted_eyes_seen"])
        assert row["must_see_clear"] == row["eyes"]
    # Known by the shapes: only who sits at the side sees past the plate, and not past the wide one.
    assert [(row["seen"], row["people_seen"], row["worst_eye"]) for row in rows] == [
        (1, 3, "side"), (0, 0, None), (0, 0, None), (0, 0, None),
    ]  # fmt: skip


def test_beats_give_a_row_each_and_eye_seconds(tmp_path: Path) -> None:
    path = put(tmp_path, "version: 1\nvenues: [hall.yaml]\nscenes: [beats.yaml]\nbeats: all\nfps: 2\nmargins: yes\n")
    rows = report_of(path, tmp_path / "state")["rows"]
    assert [row["beat"] for row in rows] == ["in front", "aside"]
    # The side (3 people) sees it while the plate is in front; the two in front when it has turned to the side, 4 s to 6 s.
    assert 3 * 2.0 <= rows[0]["eye_seconds"] <= 5 * 4.0
    assert (rows[1]["seen"], rows[1]["people_seen"], rows[1]["eye_seconds"]) == (2, 2, 2 * 2.0)
    written = scene_from_text(read_plan(path).points()[0].scene_text(), folder=tmp_path)
    assert sum(row["eye_seconds"] for row in rows) == pytest.approx(rehearse(written, 2.0).eye_seconds())
    assert rows[0]["least_margin_deg"] > 0


def test_strays_are_rows_of_their_own(tmp_path: Path) -> None:
    tour = "version: 1\nvenues: [front.yaml]\nscenes: [act.yaml]\ndrift: {draws: 9, seed: 4, turn: 5 deg}\n"
    report = report_of(put(tmp_path, tour), tmp_path / "state")
    assert [row["draw"] for row in report["rows"]] == list(range(10))
    (stray,) = report["strays"]
    assert (stray["seen"], stray["draws"]) == (0, 9)
    # None of 9: Wilson's upper end is z2 / (n + z2) with z = 1.96.
    assert stray["interval"] == [0.0, pytest.approx(3.8415 / 12.8415, abs=1e-4)]


@pytest.mark.parametrize("draws", [2, 9])
def test_strays_are_asked_at_every_beat(tmp_path: Path, draws: int) -> None:
    """By rays where they are few, by fields where they are many; a stray of nothing is the act as meant."""
    tour = "version: 1\nvenues: [hall.yaml]\nscenes: [beats.yaml]\nbeats: all\n"
    path = put(tmp_path, tour + f"drift: {{draws: {draws}, distance: 0 m, turn: 0 deg}}\n")
    rows = report_of(path, tmp_path / "state")["rows"]
    assert [(row["beat"], row["draw"]) for row in rows] == [
        (b, d) for b in ("in front", "aside") for d in range(draws + 1)
    ]
    written = scene_from_text(read_plan(path).points()[0].scene_text(), folder=tmp_path)
    found = rehearse(written, 1.0)
    for row in rows:
        if row["draw"]:
            beat = ("in front", "aside").index(row["beat"])
            assert row["seen"] == int((found.any_verdict[found.of_step[beat]] == 2).sum())
            assert row["looked"] == ("rays" if draws < 8 else "fields, rays in doubt")


def test_a_failing_venue_is_one_failed_row_and_the_rest_finish(tmp_path: Path) -> None:
    path = put(tmp_path, TOUR.replace("[hall.yaml,", "[broken.yaml, hall.yaml,"))
    report = report_of(path, tmp_path / "state")
    failed = [row for row in report["rows"] if row["error"]]
    assert [(row["venue"], row["variant"]) for row in failed] == [("broken", "as it is"), ("broken", "wide")]
    assert "broken.yaml:3:9" in failed[0]["error"]
    assert str(tmp_path) not in json.dumps(report)
    assert report["best"]["left_out"] == ["broken"]
    assert report["best"]["variant"] == "wide"
    assert shortfall(report, None) is None
    assert "failed" in str(shortfall(report, 3))


def test_all_failed_does_not_end_well(tmp_path: Path) -> None:
    report = report_of(put(tmp_path, "version: 1\nvenues: [broken.yaml]\nscenes: [act.yaml]\n"), tmp_path / "s")
    assert "Every venue failed" in str(shortfall(report, None))
    assert report["best"]["variant"] is None


def test_the_best_variant_goes_by_its_rule(tmp_path: Path) -> None:
    plan = read_plan(put(tmp_path))

    def row(venue: str, variant: str, people: float | None) -> dict[str, Any]:
        return {
            "venue": venue, "variant": variant, "draw": 0, "people_seen": people, "error": None if people is not None else "x",
        }  # fmt: skip

    def best(*people: float | None) -> str | None:
        pairs = [(s, v) for s in ("hall", "In front") for v in ("as it is", "wide")]
        rows = [row(s, v, p) for (s, v), p in zip(pairs, people, strict=True)]
        found = best_of(totals_of(plan, rows)[0])
        return None if found is None else found.variant

    assert best(3, 2, 0, 2) == "as it is"  # 3 against 4
    assert best(4, 2, 0, 2) == "wide"  # 4 each, worst venue 4 against 2
    assert best(2, 2, 2, 2) == "as it is"  # the first
    assert best(9, 0, 0, None) == "as it is"  # the better one failed where the other did not
    assert best(None, None, 1, 0) == "wide"  # a venue where all failed does not count
    assert best(None, 1, 1, None) is None


def test_one_and_two_processes_give_the_same_bytes(tmp_path: Path) -> None:
    path = put(tmp_path, TOUR.replace("[hall.yaml,", "[broken.yaml, hall.yaml,") + "drift: {draws: 2, seed: 1}\n")
    assert csv_of(path, tmp_path / "one") == csv_of(path, tmp_path / "two", workers=2)


def test_a_killed_process_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = many(tmp_path, 5, 24)
    begun: list[int] = []
    made = pool._executor

    def begin(workers: int) -> ProcessPoolExecutor:
        begun.append(workers)
        return made(workers)

    monkeypatch.setattr(pool, "_executor", begin)
    left = [1]

    def tick(done: int, of: int, known: int) -> None:
        if left:
            left.pop()
            children = multiprocessing.active_children()
            assert children
            for child in children[:1]:
                os.kill(child.pid or 0, signal.SIGKILL)

    ran = run(read_plan(path), Store(tmp_path / "state"), Where(2), tick=tick)
    assert len(begun) > 1, "no process was begun anew: nothing was killed in the midst of it"
    assert as_csv(table(ran), COLUMNS) == csv_of(path, tmp_path / "whole")
    assert all(result["error"] is None for result in ran.looked.values())


def test_what_ends_every_process_is_one_failed_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = put(tmp_path, TOUR.replace("name: In front", "name: In front, change: {title: poison}"))
    monkeypatch.setattr(pool, "work", killers.work_or_die)
    rows = table(run(read_plan(path), Store(tmp_path / "state"), Where(2)))
    assert [row["error"] for row in rows[:2]] == [None, None]
    assert [row["error"] for row in rows[2:]] == [pool.DIED, pool.DIED]


def stored(state: Path) -> list[Path]:
    return sorted(path for path in state.glob("??/*") if not path.name.startswith("."))


def test_a_killed_tour_goes_on_with_the_rest_only(tmp_path: Path) -> None:
    path, state = many(tmp_path, 8, 50), tmp_path / "state"
    words = [sys.executable, "-m", "sightline", "tour", str(path), "--state", str(state), "--workers", "2"]
    process = subprocess.Popen(words, cwd=REPOSITORY, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        until = time.monotonic() + 120
        while len(stored(state)) < 2 and process.poll() is None and time.monotonic() < until:
            time.sleep(0.02)
        assert process.poll() is None, "it ended before it could be killed"
        children = [int(c) for c in Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()]
    finally:
        process.kill()
        process.wait(20)
    until = time.monotonic() + 30
    while any(Path(f"/proc/{child}").exists() for child in children) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(Path(f"/proc/{child}").exists() for child in children), "processes outlive the one that asked"
    before = {file: file.stat().st_mtime_ns for file in stored(state)}
    plan = read_plan(path)
    assert 2 <= len(before) < len(plan.points())
    ran = run(plan, Store(state), Where(1))
    assert ran.kept == len(before)
    assert {file: file.stat().st_mtime_ns for file in before} == before
    assert as_csv(table(ran), COLUMNS) == csv_of(path, tmp_path / "whole")


@pytest.mark.parametrize("harm", ["cut", "flipped", "empty", "other"])
def test_a_damaged_result_is_worked_out_again(tmp_path: Path, harm: str) -> None:
    path, state = put(tmp_path), tmp_path / "state"
    whole = csv_of(path, state)
    first, *rest = stored(state)
    data = first.read_bytes()
    hurt = {
        "cut": data[: len(data) // 2], "flipped": data[:-3] + bytes([data[-3] ^ 1]) + data[-2:], "empty": b"",
        "other": data[:32] + data[32:].replace(b'"seen":', b'"seem":'),
    }[harm]  # fmt: skip
    assert hurt != data
    first.write_bytes(hurt)
    untouched = {file: file.stat().st_mtime_ns for file in rest}
    ran = run(read_plan(path), Store(state), Where(1))
    assert ran.kept == len(rest)
    assert as_csv(table(ran), COLUMNS) == whole
    assert Store(state).fetch(first.name) is not None
    assert {file: file.stat().st_mtime_ns for file in rest} == untouched


def test_failures_are_not_kept(tmp_path: Path) -> None:
    path, state = put(tmp_path, "version: 1\nvenues: [broken.yaml]\nscenes: [act.yaml]\n"), tmp_path / "state"
    csv_of(path, state)
    assert stored(state) == []


def test_results_of_another_program_are_not_ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, state = put(tmp_path), tmp_path / "state"
    csv_of(path, state)
    ours = here().name
    monkeypatch.setattr("sightline.__version__", "99.0")
    assert here().name != ours
    assert run(read_plan(path), Store(state), Where(1)).kept == 0


def test_a_folder_that_takes_nothing_is_told(tmp_path: Path) -> None:
    from sightline.errors import SightlineError

    (tmp_path / "file").write_text("x", encoding="ascii")
    with pytest.raises(SightlineError, match="Results cannot be kept"):
        run(read_plan(put(tmp_path)), Store(tmp_path / "file" / "state"), Where(1))


def test_a_defect_of_ours_stays_in_its_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from sightline.tour import looking

    plain = looking.Act.meant

    def falls(act: looking.Act) -> Result:
        if act.written.model.venue is not None and act.written.model.venue.use == "front.yaml":
            raise ZeroDivisionError("by nothing")
        return plain(act)

    monkeypatch.setattr(looking.Act, "meant", falls)
    rows = table(run(read_plan(put(tmp_path)), Store(tmp_path / "state"), Where(1)))
    assert [row["error"] is None for row in rows] == [True, True, False, False]
    assert "A defect of this program: ZeroDivisionError" in rows[2]["error"]


def test_points_of_a_tour_are_all_different(tmp_path: Path) -> None:
    points: list[Point] = read_plan(many(tmp_path, 3, 5, draws=4)).points()
    assert len({point.key("p") for point in points}) == len(points)
