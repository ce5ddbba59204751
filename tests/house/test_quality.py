"""A house judged by itself: clearances, angles and blocked seats of halls worked out by hand; the command."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.house.quality import rows_of, seat_quality
from sightline.house.references import reference_points
from sightline.house.rows import c_value
from sightline.sight.houseview import look_at
from tests.house.venues import house_of, venue_of

# references of the relation: rows.py. Rows 0.8 m apart behind a stage edge at y = 0, focus on the floor there.
HALL = """\
stage: {{kind: proscenium, height: 1 m, width: 30 m, depth: 6 m}}
seats: [{{block: pit, rows: {rows}, seats: 9, first row: {first} m, row spacing: 0.8 m, seat width: 0.5 m, {more}}}]
looks at: [0 m, 0 m, 1.2 m]
"""


def hall(first: float, more: str, rows: int = 2) -> str:
    return HALL.format(first=first, more=more, rows=rows)


def test_the_c_value_of_two_rows_is_the_published_one() -> None:
    """D 10 m, R 2.0 m, T 0.8 m, N 0.30 m -> C 0.129630 m (=7/54), for every seat of a straight row and edge."""
    text = hall(10, "floor: 0.88 m, rise: 30 cm")
    found = seat_quality(house_of(text), venue_of(text))
    np.testing.assert_allclose(found.c_m[9:], 7 / 54, atol=1e-9)
    assert np.all(np.isnan(found.c_m[:9]))
    # Rows that are staggered see over the same row.
    staggered = hall(10, "floor: 0.88 m, rise: 30 cm, stagger: yes")
    np.testing.assert_allclose(seat_quality(house_of(staggered), venue_of(staggered)).c_m[10:-1], 7 / 54, atol=1e-9)


def test_the_rear_eyes_distance_is_not_taken() -> None:
    """The pitfall: with the rear eye's own D and R the same rows would come to 120.7 mm."""
    text = hall(10, "floor: 0.88 m, rise: 30 cm")
    assert not np.any(np.isclose(seat_quality(house_of(text), venue_of(text)).c_m, 0.1207, atol=5e-4))


def test_rows_solved_for_a_clearance_have_it() -> None:
    """The row-height recursion: R0 1.2, D0 5, T 0.8, C 0.12 -> eyes 1.2, 1.5312, 1.878952, ... and the clearance in each."""
    text = hall(5, "floor: 0.08 m, c value: 120 mm, focus: [0 m, 0 m, 0 m]", rows=6)
    house = house_of(text)
    quality = seat_quality(house, venue_of(text))
    rows = rows_of(house, quality)
    heights = [house.positions_m[row.members[4], 2] for row in rows]
    np.testing.assert_allclose(heights, [1.2, 1.5312, 1.878952, 2.241249, 2.616519, 3.003497], atol=1e-6)
    for before, row in zip(heights, rows[1:], strict=False):
        assert row.c_least_m == pytest.approx(0.12, abs=1e-9)
        assert row.rise_m == pytest.approx(row.rise_for_120_mm_m)
        assert row.rise_m == pytest.approx(house.positions_m[row.members[4], 2] - before)
        assert row.rise_for_60_mm_m is not None
        assert row.rise_for_60_mm_m < row.rise_for_120_mm_m  # type: ignore[operator]


def test_flat_floor_is_blocked() -> None:
    """Flat floor, focus below the eyes: D 4 m, T 0.9 m, R 0.3 m, N 0 -> C -0.055102 m."""
    text = hall(4, "floor: -0.82 m, rise: 0 m").replace("0.8 m, seat", "0.9 m, seat")
    np.testing.assert_allclose(seat_quality(house_of(text), venue_of(text)).c_m[9:], -0.055102, atol=5e-7)


def test_angles_of_a_seat() -> None:
    """Eye 10 m up and 30 m off looks down 18.4349 deg (plus.maths.org); 1.2 m up, 3 m off a 1 m stage, up 21.181 deg."""
    far = "stage: {kind: proscenium, height: 1 m, width: 9 m, depth: 6 m}\neyes: [{id: a, at: [0 m, -30 m, 10 m]}]"
    assert seat_quality(house_of(far), venue_of(far)).down_deg[0] == pytest.approx(18.4349, abs=5e-5)
    front = far.replace("-30 m, 10 m", "-3 m, 0.2 m")
    found = seat_quality(house_of(front), venue_of(front))
    assert found.up_deg[0] == pytest.approx(21.181, abs=5e-4)
    side = far.replace("[0 m, -30 m, 10 m]", "[3 m, -3 m, 0 m]")
    assert seat_quality(house_of(side), venue_of(side)).side_deg[0] == pytest.approx(45.0)


@pytest.mark.parametrize("kind", ["round", "floor"])
def test_the_focus_of_a_pitch_is_its_nearest_edge(kind: str) -> None:
    text = f"stage: {{kind: {kind}, radius: 3 m}}\neyes: [{{id: a, at: [6 m, -8 m, 1.2 m]}}]"
    found = seat_quality(house_of(text), venue_of(text))
    assert found.distance_m[0] == pytest.approx(10 - 3, abs=0.002)
    np.testing.assert_allclose(found.focus_m[0], [1.8, -2.4, 0.0], atol=0.05)


def test_a_seat_behind_a_column_is_blocked_and_no_other() -> None:
    text = """\
    stage: {kind: proscenium, height: 1 m, width: 12 m, depth: 6 m}
    scenery: [{name: column, column: {radius: 0.2 m, height: 5 m}, at: [0 m, -3 m, -1 m]}]
    eyes: [{id: behind, at: [0 m, -9 m, 0.2 m]}, {id: beside, at: [4 m, -9 m, 0.2 m]}]
    looks at: [0 m, 1 m, 1.2 m]
    reference points: [[0 m, 1 m, 1.2 m], [3 m, 1 m, 1.2 m]]
    """
    house, venue = house_of(text), venue_of(text)
    view = look_at(house, reference_points(venue), heads=False)
    assert view.by_scenery.tolist() == [[True, False], [False, False]]
    assert view.by_heads is None


def test_heads_are_cover_only_when_asked() -> None:
    """A person straight in front on a flat floor hides a point at eye height; nobody hides it from the first row."""
    text = """\
    stage: {kind: floor}
    eyes: [{id: front, at: [0 m, -5 m, 1.2 m], kind: seated}, {id: rear, at: [0 m, -6 m, 1.2 m], kind: seated}]
    looks at: [0 m, 0 m, 1.2 m]
    """
    house, venue = house_of(text), venue_of(text)
    points = reference_points(venue)
    assert not look_at(house, points, heads=False).by_scenery.any()
    seen = look_at(house, points, heads=True)
    assert seen.by_heads is not None
    assert seen.by_heads.tolist() == [[False], [True]]


def test_points_that_all_should_see_lie_on_what_is_played_on() -> None:
    stage = "stage: {kind: proscenium, width: 12 m, depth: 6 m, proscenium: {opening: 8 m, height: 5 m}}\n"
    arch = venue_of(stage + "looks at: [0 m, 1 m, 1 m]")
    np.testing.assert_allclose(reference_points(arch), [[0, 1, 1], [-2, 1, 1], [2, 1, 1]])
    np.testing.assert_allclose(reference_points(venue_of("looks at: [1 m, 0 m, 1 m]")), [[1, 0, 1]])


def venue_json(*words: str) -> dict[str, Any]:
    done = CliRunner().invoke(app, ["venue", *words, "--json"])
    assert done.exit_code == 0, done.exception
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_the_playhouse_as_a_document() -> None:
    found = venue_json("proscenium-420")
    assert found["whole"]["eyes"] == 420
    assert sum(level["eyes"] for level in found["levels"].values()) == 420
    assert sum(row["eyes"] for row in found["rows"]) == 420
    assert found["wheelchair"] == ["stalls P1", "stalls P25"]
    assert found["companions"] == ["stalls P23", "stalls P3"]
    assert "does not apply to theatres" in found["bands"]["scope"]
    assert found["heads_count"] is False
    assert found["whole"]["blocked_by_heads"] is None
    stalls = [row for row in found["rows"] if row["level"] == "stalls"]
    assert [row["row"] for row in stalls] == list("ABCDEFGHJKLMNP")
    assert stalls[0]["c_least_m"] is None
    # Solved for 60 mm on the centre line; nearer the side the edge of the stage is nearer.
    assert all(0.055 < row["c_least_m"] <= row["c_median_m"] < 0.0605 for row in stalls[1:])
    assert venue_json("proscenium-420", "--heads")["whole"]["blocked_by_heads"] is not None


def test_the_words_name_the_bands_and_that_no_theatre_must_keep_them() -> None:
    said = CliRunner().invoke(app, ["venue", "thrust-220"]).stdout
    assert "EN 13200-1:2019 says that it does not apply to theatres" in said
    assert "Shepherd" in said
    assert "Time-Saver Standards" in said
    assert "Other people's heads are not counted" in said
    assert "Wheelchair places (2): front A1, front A12" in said
    assert "local code decide" in said


@pytest.mark.parametrize(("name", "kind"), [("proscenium-420", "png"), ("thrust-220", "svg"), ("street-circle", "pdf")])
def test_the_picture_is_the_same_every_time(tmp_path: Path, name: str, kind: str) -> None:
    made = []
    for n in range(2):
        path = tmp_path / f"{n}.{kind}"
        assert CliRunner().invoke(app, ["venue", name, "--out", str(path), "--heads"]).exit_code == 0
        made.append(path.read_bytes())
    assert made[0] == made[1]
    assert len(made[0]) > 20_000


def test_a_venue_nobody_is_in_says_so(tmp_path: Path) -> None:
    (tmp_path / "bare.yaml").write_text("version: 1\nname: Bare\n", encoding="utf-8")
    done = CliRunner().invoke(app, ["venue", str(tmp_path / "bare.yaml")])
    assert done.exit_code == 0, done.exception
    assert "Nobody sits or stands" in done.stdout
    picture = CliRunner().invoke(app, ["venue", str(tmp_path / "bare.yaml"), "--out", str(tmp_path / "b.png")])
    assert picture.exit_code == 0, picture.exception


def test_an_unknown_venue_gets_the_nearest_name() -> None:
    done = CliRunner().invoke(app, ["venue", "thrust-20"])
    assert "did you mean 'thrust-220'" in str(done.exception)


def test_clearance_and_line_agree_for_seats_of_a_curved_house() -> None:
    """Where a row is straight ahead, C by the relation is C by the line from the rear eye to its focus."""
    text = hall(10, "floor: 0.88 m, rise: 30 cm, curve: {radius: 20 m}", rows=4)
    house = house_of(text)
    quality = seat_quality(house, venue_of(text))
    for i in np.flatnonzero(~np.isnan(quality.c_m)):
        eye, front = house.positions_m[i], house.positions_m[int(quality.front[i])]
        to = quality.focus_m[i] - eye
        share = float((front - eye)[:2] @ to[:2] / (to[:2] @ to[:2]))
        line = eye[2] + share * to[2]
        assert line - front[2] == pytest.approx(quality.c_m[i], abs=0.002)
        assert not math.isnan(c_value(10.0, 2.0, 0.8, 0.3))
