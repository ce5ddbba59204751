"""A kept move as a file: what is read, what is refused and where."""

from __future__ import annotations

from pathlib import Path

import pytest

from sightline.errors import FileError
from sightline.scene.kept import KeptMove
from sightline.scene.reading import read_kept

GOOD = 'version: 1\nscene: "The Night Courier"\nmark: [0.5 m, -0.25 m]\nfacing: 35 deg\nnote: "no: really"\n'


def read(text: str, folder: Path) -> KeptMove:
    path = folder / "kept.yaml"
    path.write_text(text, encoding="utf-8")
    return read_kept(path).model


def test_it_is_read(tmp_path: Path) -> None:
    kept = read(GOOD, tmp_path)
    assert (kept.scene, kept.mark, kept.note) == ("The Night Courier", (0.5, -0.25), "no: really")
    assert kept.facing == pytest.approx(0.6108652)
    assert (kept.initials, kept.date) == ("", "")


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("35 deg", "35", "has no unit"),
        ("0.5 m", "0.5", "has no unit"),
        ("version: 1", "version: 7", "not one of the choices"),
        ("note:", "nota:", "did you mean 'note'"),
        ('scene: "The Night Courier"\n', "", "'scene' is missing"),
        ("mark: [0.5 m, -0.25 m]\n", "", "'mark' is missing"),
        ("no: really", "x" * 2001, "note"),
        ("-0.25 m", "nan m", "mark"),
        ("35 deg", "4000 deg", "too large"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(tmp_path: Path, was: str, now: str, said: str) -> None:
    with pytest.raises(FileError) as caught:
        read(GOOD.replace(was, now), tmp_path)
    assert "kept.yaml:" in str(caught.value)
    assert said in str(caught.value)
