"""Reading a tour: what it names, what it makes of it, and every way in which it can be wrong."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from sightline.errors import FileError, SightlineError
from sightline.scene.editing import EditError
from sightline.scene.reading import scene_from_text
from sightline.tour.plan import MOST_POINTS, read_plan
from sightline.tour.point import Point, batch_size, batches, in_line
from sightline.tour.swapping import with_venue
from tests.tour.scenes import ACT, HALL, TOUR, put


def test_points_are_in_the_order_of_the_table(tmp_path: Path) -> None:
    plan = read_plan(put(tmp_path, TOUR + "drift: {draws: 2, seed: 1}\n"))
    assert [(p.stop, p.variant, p.draw) for p in plan.points()] == [
        (s, v, d) for s in range(2) for v in range(2) for d in (None, 0, 1)
    ]


WRONG = [
    ("venues: [thrust-221]", "tour.yaml:3:10", "did you mean 'thrust-220'?"),
    ("venues: [hal.yaml]", "tour.yaml:3:10", "There is no venue file 'hal.yaml'; did you mean 'hall.yaml'?"),
    ("venues: []", "tour.yaml:3:9", "This list is empty; a tour needs at least one venue."),
    ("venues: [../hall.yaml]", "tour.yaml:3:10", "outside the scene's folder"),
    ("venues: [hall.yaml, hall.yaml]", "tour.yaml:3:21", "There are two of the name 'hall'"),
    ("scenes: [akt.yaml]", "tour.yaml:4:10", "There is no scene file 'akt.yaml'; did you mean 'act.yaml'?"),
    ("scenes: []", "tour.yaml:4:9", "This list is empty; a tour needs at least one scene."),
    ("variants: []", "tour.yaml:5:11", "This list is empty"),
    ("variants: [{change: {title: x}}]", "tour.yaml:5:12", "needs a name of its own"),
    ("variants: [{name: x, change: {detail: 3}}]", "tour.yaml:5:39", "has no unit"),
    ("variants: [{name: x, change: {detial: 3 mm}}]", "tour.yaml:5:39", "did you mean 'detail'?"),
    ("variants: [{name: x, change: {'covers[7].name': x}}]", "tour.yaml:5:49", "There is no covers[7].name"),
    ("variants: [{name: x, change: {'a[': x}}]", "tour.yaml:5:30", "is no key of a scene"),
    ("variants: [{name: x, scene: nul.yaml}]", "tour.yaml:5:12", "There is no scene file"),
    ("beats: al", "tour.yaml:6:8", "did you mean 'all'?"),
    ("drift: {draws: 9999}", "tour.yaml:7:16", "points; the most is"),
    ("requires: {seen: 0}", "tour.yaml:8:1", "did you mean 'require'?"),
]
LINES = ("version: 1", "title: Autumn", "venues: [hall.yaml]", "scenes: [act.yaml]", "", "", "", "")


@pytest.mark.parametrize(("line", "place", "sentence"), WRONG, ids=[line for line, _, _ in WRONG])
def test_what_is_wrong_is_told_with_its_place(tmp_path: Path, line: str, place: str, sentence: str) -> None:
    number = int(place.split(":")[1])
    lines = [line if n == number else plain for n, plain in enumerate(LINES, 1)]
    if "draws" in line:
        lines[2] = "venues: [" + ", ".join(f"{{use: hall.yaml, name: v{n}}}" for n in range(6)) + "]"
    with pytest.raises(FileError) as error:
        read_plan(put(tmp_path, "\n".join(lines) + "\n"))
    said = str(error.value)
    assert sentence in said
    assert place in said


def test_all_problems_at_once(tmp_path: Path) -> None:
    with pytest.raises(FileError) as error:
        read_plan(put(tmp_path, "version: 1\nvenues: [hal.yaml, thrust-221]\nscenes: [akt.yaml]\n"))
    assert len(error.value.problems) == 3


def test_a_faulty_scene_is_told_with_its_own_place(tmp_path: Path) -> None:
    with pytest.raises(FileError) as error:
        read_plan(put(tmp_path, act=ACT.replace("detail: 20 mm", "detail: 20")))
    assert "act.yaml:12:9" in str(error.value)


def test_too_many_points_are_refused_before_any_work(tmp_path: Path) -> None:
    venues = ", ".join(f"{{use: nowhere.yaml, name: v{n}}}" for n in range(6))
    with pytest.raises(SightlineError, match=f"60,000 points; the most is {MOST_POINTS:,}"):
        read_plan(put(tmp_path, f"version: 1\nvenues: [{venues}]\nscenes: [act.yaml]\ndrift: {{draws: 9999}}\n"))


def test_a_scene_goes_to_another_venue_and_stays_itself() -> None:
    text = with_venue("\n".join([ACT.strip(), "eyes: [{id: X, at: [0 m, -3 m, 1 m]}]", ""]), "venues/it is.yaml")
    assert "# This comment stays." in text
    assert "leaves at home" not in text
    scene = scene_from_text(text).model
    assert scene.venue is not None
    assert scene.venue.use == "venues/it is.yaml"
    assert scene.eyes == []
    assert scene.venue.eyes == []
    assert scene.detail == 0.020


def test_a_scene_in_one_bracket_is_refused() -> None:
    with pytest.raises(EditError, match="lines of keys and values"):
        with_venue("{version: 1, title: x}", "thrust-220")


@pytest.mark.parametrize(
    "value",
    [
        "12 cm",
        "[a, b]",
        "a: b",
        "x # y",
        "",
        "-3 cm",
        "- x",
        "5'10\"",
        "*a",
        ["0 m", "-2 m"],
        {"a": ["1 m", {"b": "c, d"}]},
        "yes: no:",
    ],
)
def test_values_are_spliced_as_they_were_said(value: object) -> None:
    """YAML reads back what was written, also within brackets: the loader that keeps every scalar as its text."""
    assert yaml.load(f"[{in_line(value)}]", Loader=yaml.BaseLoader) == [value]


def test_more_draws_leave_the_other_results_as_they_are(tmp_path: Path) -> None:
    def keys(draws: int) -> list[str]:
        path = put(tmp_path, TOUR + (f"drift: {{draws: {draws}, seed: 1}}\n" if draws else ""))
        return [key_of(point) for point in read_plan(path).points()]

    none, ten, twelve = keys(0), keys(10), keys(12)
    assert set(none) < set(ten) < set(twelve)
    assert len(twelve) == 4 * 13


def key_of(point: Point) -> str:
    return point.key("program")


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("act.yaml", "0.1 m}, two", "0.11 m}, two"), ("hall.yaml", "weight: 3", "weight: 4"), ("tour.yaml", "margins: no", "margins: yes"),
        ("plate.obj", "v 0 0 1", "v 0 0 2"),
    ],
)  # fmt: skip
def test_a_results_name_follows_all_that_it_is_of(tmp_path: Path, name: str, old: str, new: str) -> None:
    (tmp_path / "plate.obj").write_text("v 0 0 1\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", encoding="ascii")
    meshed = ACT.replace("disc: {radius: 0.3 m}", "mesh: plate.obj")
    tour = "version: 1\nvenues: [hall.yaml, front.yaml]\nscenes: [act.yaml]\nmargins: no\n"
    before = [key_of(p) for p in read_plan(put(tmp_path, tour, act=meshed)).points()]
    assert before == [key_of(p) for p in read_plan(tmp_path / "tour.yaml").points()]
    path = tmp_path / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    after = [key_of(p) for p in read_plan(tmp_path / "tour.yaml").points()]
    assert after[0] != before[0]
    # What is no part of the other venue leaves its result as it is.
    assert (after[1] == before[1]) is (name == "hall.yaml")
    assert read_plan(tmp_path / "tour.yaml").points()[0].key("another program") != after[0]


def test_batches_leave_no_hand_idle_and_none_over_fifty() -> None:
    for points in (1, 3, 8, 20, 100, 1000, 40_000):
        for hands in (1, 2, 4, 100, 1000):
            size = batch_size(points, hands)
            tasks = -(-points // size)
            assert 1 <= size <= 50
            assert tasks >= min(points, hands) / 2
            if points >= 10 * hands:
                assert size >= 10


def test_batches_hold_every_point_once(tmp_path: Path) -> None:
    points = read_plan(put(tmp_path, TOUR + "drift: {draws: 30, seed: 1}\n")).points()
    assert [point for part in batches(points, 3) for point in part] == points


def test_a_venue_of_a_subfolder_is_named_from_the_scene(tmp_path: Path) -> None:
    (tmp_path / "houses").mkdir()
    (tmp_path / "acts").mkdir()
    path = put(tmp_path, "version: 1\nvenues: [houses/h.yaml]\nscenes: [acts/a.yaml]\n")
    (tmp_path / "houses/h.yaml").write_text(HALL.lstrip(), encoding="utf-8")
    (tmp_path / "acts/a.yaml").write_text(ACT.lstrip(), encoding="utf-8")
    point = read_plan(path).points()[0]
    assert 'venue: {use: "../houses/h.yaml"}' in point.scene_text()
