"""What `check --watch` goes by: the scene's own file and all that is read for it, by their bytes and not by their dates."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from sightline.cli.sources import Sources

SCENE = """\
version: 1
title: a hall of our own
venue: {use: hall/hall.yaml}
covers: [{name: flat, mesh: {file: flat.obj}}]
"""
HALL = "version: 1\nname: hall\neyes: [{csv: seats.csv}]\n"


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    (tmp_path / "hall").mkdir()
    (tmp_path / "hall" / "hall.yaml").write_text(HALL, encoding="utf-8")
    (tmp_path / "hall" / "seats.csv").write_text("id,x_m,y_m,z_m\nA1,0,-5,1.1\n", encoding="utf-8")
    (tmp_path / "flat.obj").write_text("v 0 0 0\n", encoding="utf-8")
    (tmp_path / "scene.yaml").write_text(SCENE, encoding="utf-8")
    return tmp_path / "scene.yaml"


def test_every_file_that_is_read_is_gone_by(scene: Path) -> None:
    sources = Sources(scene)
    assert sources.count_named() == 3
    assert not sources.changed()
    for path in (scene, *(scene.parent / name for name in ("flat.obj", "hall/hall.yaml", "hall/seats.csv"))):
        path.write_bytes(path.read_bytes() + b"\n")
        assert sources.changed(), path
        assert not sources.changed(), path


def test_a_date_alone_is_no_change_and_an_old_date_hides_none(scene: Path) -> None:
    sources = Sources(scene)
    for path in (scene, scene.parent / "flat.obj"):
        os.utime(path, (1, 1))
        assert not sources.changed()
        had = path.read_bytes()
        path.write_bytes(had.replace(b"v", b"w"))
        os.utime(path, (1, 1))
        assert path.stat().st_size == len(had)
        assert sources.changed()


def test_a_file_that_comes_or_goes_is_a_change(scene: Path) -> None:
    sources, flat = Sources(scene), scene.parent / "flat.obj"
    had = flat.read_bytes()
    flat.unlink()
    assert sources.changed()
    assert not sources.changed()
    assert sources.count_named() == 2
    flat.write_bytes(had)
    assert sources.changed()
    new = SCENE.replace("flat.obj", "other.obj")
    scene.write_text(new, encoding="utf-8")
    assert sources.changed()
    flat.write_bytes(b"nobody reads it now")
    assert not sources.changed()
    (scene.parent / "other.obj").write_bytes(had)
    assert sources.changed()


def test_in_the_middle_of_an_edit_the_files_named_before_count(scene: Path) -> None:
    sources = Sources(scene)
    scene.write_text(SCENE.replace("title: a", "title: ["), encoding="utf-8")
    assert sources.changed()
    (scene.parent / "hall" / "seats.csv").write_text("id,x,y,z\n", encoding="utf-8")
    assert sources.changed()


@pytest.mark.skipif(os.name == "nt", reason="no pipes with names there")
def test_a_pipe_and_a_file_that_names_itself_hold_nothing_up(scene: Path) -> None:
    os.mkfifo(scene.parent / "pipe")
    scene.write_text(
        f"version: 1\ntitle: {scene.name}\nnote: [pipe, /dev/zero, '', '{'x' * 300}', '.']\n", encoding="utf-8"
    )
    sources = Sources(scene)
    assert sources.count_named() == 0
    assert not sources.changed()
