"""What a sheet of sizes as built must not say: every line that is wrong is told, with its place and the nearest name."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from sightline.errors import FileError
from sightline.scene.reading import read_as_built, scene_from_text
from sightline.workshop.asbuilt import read_against
from sightline.workshop.asbuiltsizes import sizes_of
from sightline.workshop.bench import Bench, bench_of
from tests.workshop.test_asbuilt import PLATE, WIDTH


@pytest.fixture(scope="module")
def plate() -> Bench:
    return bench_of(scene_from_text(PLATE))


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("sizes: {covers[0].rectangle.widht: {measured: 1 m}}", "valid YAML"),
        ("sizes:\n  covers[0].rectangle.widht: {measured: 1 m}", "did you mean 'covers[0].rectangle.width'?"),
        ("sizes:\n  zzz: {measured: 1 m}", "The scene has no size 'zzz'; write the sheet anew"),
        (
            "sizes:\n  covers[0].at[0]: {planned: 1 cm, measured: 2 cm}",
            "when the plan was 1 cm, and the scene now says 0 m",
        ),
        ("sizes:\n  covers[0].rectangle.width: {measured: 1}", "has no unit"),
        ("sizes:\n  covers[0].rectangle.width: {measured: 0 m}", "too small"),
        ("sizes:\n  covers[0].rectangle.width: {measured: -1 m}", "too small"),
        ("sizes:\n  covers[0].rectangle.width: {measured: 20 km}", "no unit of length"),
        ("sizes:\n  covers[0].rectangle.width: {measured: 20000 m}", "too large"),
        ("sizes:\n  covers[0].rectangle.width: {measured: 2-1 m}", "more to less"),
        ("sizes:\n  covers[0].rectangle.width: {measured: [1 m]}", "One plain value"),
        ("sizes:\n  covers[0].rectangle.width: {planned: unknown}", "planned is never unknown"),
        ("sizes:\n  covers[0].rectangle.width: 1 m", "Keys and values belong here"),
        ("sizes:\n  covers[0].rectangle.width: {mesured: 1 m}", "did you mean 'measured'?"),
        ("sizes:\n  a: {}\n  a: {}", "written twice"),
        ("sizes: 3 m", "belong here"),
        ("ticks:\n  E21: {saw: yes}", "The scene has no eye 'E21'; did you mean 'E"),
        ("ticks:\n  back row: {saw: yes}", "The scene has no eye 'back row'; the first is 'E-20'"),
        ("ticks:\n  E1: {saw: perhaps}", "neither yes nor no"),
        ("ticks:\n  E1: {saw: yes, camera: [1 m]}", "missing"),
        ("ticks:\n  E1: {saw: yes, camera: 1 m}", "list belongs here"),
        ("by: !!python/object:os.system x", "tags"),
        ("by: " + "A" * 41, "at most 40 characters"),
        ("others: 1", "There is no key 'others'"),
        ("sizes: &a {x: *a}", "without end"),
    ],
)
def test_what_a_sheet_must_not_say(plate: Bench, tmp_path: Path, lines: str, said: str) -> None:
    path = tmp_path / "sheet.yaml"
    path.write_text(f"version: 1\nas built: plate\n{lines}\n", encoding="utf-8")
    with pytest.raises(FileError) as caught:
        read_against(read_as_built(path), "plate", sizes_of(plate), [f"E{k}" for k in range(-20, 21)])
    assert said in str(caught.value)
    assert f"{path}:" in str(caught.value)


def test_all_that_is_wrong_is_told_at_once(plate: Bench, tmp_path: Path) -> None:
    path = tmp_path / "sheet.yaml"
    lines = f"sizes:\n  {WIDTH}: {{measured: 1}}\n  nothing: {{measured: 1 m}}\nticks:\n  E99: {{saw: yes}}\n  E1: {{saw: 7}}\n"
    path.write_text(f"version: 1\nas built: plate\n{lines}", encoding="utf-8")
    with pytest.raises(FileError) as caught:
        read_against(read_as_built(path), "plate", sizes_of(plate), [f"E{k}" for k in range(-20, 21)])
    assert [problem.place.line for problem in caught.value.problems] == [4, 5, 7, 8]


def test_thousands_of_wrong_lines_are_told_in_a_moment(plate: Bench, tmp_path: Path) -> None:
    path = tmp_path / "sheet.yaml"
    lines = "".join(f"  covers[{n}].rectangle.widht: {{measured: 1 m}}\n" for n in range(9_000))
    path.write_text(f"version: 1\nas built: plate\nsizes:\n{lines}", encoding="utf-8")
    started = time.process_time()
    with pytest.raises(FileError) as caught:
        read_against(read_as_built(path), "plate", sizes_of(plate), [f"E{k}" for k in range(100_000)])
    # A bound against running away, not of speed: it takes about a second.
    assert time.process_time() - started < 20
    assert len(caught.value.problems) == 9_000
