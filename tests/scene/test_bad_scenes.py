"""Every bad file through the command: one sentence and its place on stderr, code 1, no traceback, nothing written."""

from __future__ import annotations

import os
import re
import struct
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sightline.cli.main import main
from tests.scene.zoo import EYES, PLAIN, SECRET, TEXTS, plain

SQUARE = "v 0 0 0\nv 1 0 0\nv 1 0 1\nv 0 0 1\n"


@pytest.fixture
def strangers(tmp_path: Path) -> Path:
    """A folder for the scene with the meshes of strangers in it, and one outside it."""
    folder = tmp_path / "scene"
    (folder / "sub").mkdir(parents=True)
    (folder / "sub.obj").mkdir()
    texts = {
        "words.obj": "This is not a mesh.\n", "words.txt": "No mesh.\n", "empty.obj": "",
        "flat.obj": "v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n", "nan.obj": "v nan 0 0\nv 1 0 0\nv 1 0 1\nf 1 2 3\n",
        "index.obj": SQUARE + "f 1 2 9\n", "huge.obj": "v 0 0 0\nv 20000 0 0\nv 20000 0 20000\nf 1 2 3\n",
        "claims.ply": "ply\nformat binary_little_endian 1.0\nelement vertex 999999999\nproperty float x\n"
        "property float y\nproperty float z\nelement face 9\nproperty list uchar int vertex_indices\nend_header\n",
    }  # fmt: skip
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="ascii")
    noise = bytes((i * 97 + 13) % 256 for i in range(4000))
    (folder / "noise.stl").write_bytes(noise)
    (folder / "noise.glb").write_bytes(b"glTF" + noise)
    (folder / "claims.stl").write_bytes(b"\0" * 80 + struct.pack("<I", 2**32 - 1))
    (tmp_path / "outside.obj").write_text(SQUARE + "f 1 2 3\n", encoding="ascii")
    (tmp_path / "eyes.csv").write_text("id,x_m,y_m,z_m\nE1,0,-5,0\n", encoding="ascii")
    (tmp_path / "hall.yaml").write_text("version: 1\n" + EYES, encoding="ascii")
    (folder / "link.obj").symlink_to(tmp_path / "outside.obj")
    return folder


def run(monkeypatch: pytest.MonkeyPatch, *words: str) -> int:
    """The command as typed; its exit code."""
    monkeypatch.setattr(sys, "argv", ["sightline", *words])
    try:
        main()
    except SystemExit as ended:
        return int(ended.code or 0)
    return 0


def files_in(folder: Path) -> list[tuple[str, int]]:
    return sorted((str(path.relative_to(folder)), path.lstat().st_size) for path in folder.rglob("*"))


def check_refused(
    path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], says: str, where: str | None
) -> str:
    monkeypatch.chdir(path.parent)
    before, started = files_in(path.parent.parent), time.monotonic()
    code = run(monkeypatch, "check", str(path), "--json")
    out, err = capsys.readouterr()
    assert time.monotonic() - started < 10
    assert code == 1, err
    assert out == ""
    assert "Traceback" not in err
    assert says in err
    assert all(c.isprintable() or c == "\n" for c in err), "a control character reaches the terminal"
    assert len(err) < 3000
    assert re.search(rf"{re.escape(str(path))}:{where or r'[0-9]+:[0-9]+'}\b", err), err
    assert files_in(path.parent.parent) == before
    return err


@pytest.mark.parametrize("name", TEXTS)
def test_refused(
    name: str, strangers: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    marked, says = TEXTS[name]
    before, found, after = marked.partition("§")
    where = f"{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}" if found else None
    path = strangers / "scene.yaml"
    path.write_text(before + after, encoding="utf-8")
    err = check_refused(path, monkeypatch, capsys, says, where)
    if name == "grip out of reach":
        assert re.search(r"[1-9][0-9]* mm short", err), err


def test_the_zoo_is_bad_for_its_own_reason(
    strangers: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The plain scene that the bad ones are made of is good."""
    path = strangers / "scene.yaml"
    path.write_text(PLAIN, encoding="utf-8")
    assert run(monkeypatch, "check", str(path), "--json") == 0
    assert '"verdict": "seen"' in capsys.readouterr().out


@pytest.mark.parametrize(
    "kind", ["too large", "huge", "binary", "NUL", "UTF-16", "missing", "a folder", "a pipe", "a device"]
)
def test_not_a_scene_file(
    kind: str, strangers: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = strangers / "scene.yaml"
    if kind in ("too large", "huge"):
        with path.open("wb") as file:
            # Sparse: it takes no room on the disk.
            file.truncate(2_000_001 if kind == "too large" else 50_000_000_000)
    elif kind == "a folder":
        path.mkdir()
    elif kind == "a pipe":
        os.mkfifo(path)
    elif kind == "a device":
        path.symlink_to("/dev/zero")
    elif kind != "missing":
        path.write_bytes(
            {"binary": b"\x89PNG\r\n\x1a\n\0\0\xff\xfe", "NUL": b"version: 1\n\0", "UTF-16": PLAIN.encode("utf-16")}[
                kind
            ]
        )
    says = {"too large": "the most that is read is 2 MB", "huge": "the most that is read is 2 MB",
            "binary": "not a text file", "NUL": "NUL", "UTF-16": "not a text file", "missing": "is not there",
            "a folder": "folder"}  # fmt: skip
    check_refused(path, monkeypatch, capsys, says.get(kind, "must be an ordinary file"), "1:1")


THREE = {
    "three values": plain("secrets: [{name: t, disc: {radius: §10}, §kolor: red}]",
                          "eyes: [{id: E1, at: [0 m, §-5 kg, 0 m]}]"),
    "a key twice and two values": plain("detail: 1 cm", "§detail: 2 cm", "secrets: [{name: t, disc: {radius: §-1 m}}]",
                                        "eyes: [{id: E1, at: [0 m, §5, 0 m]}]"),
    "three meshes": plain("covers: [{name: a, mesh: §gone.obj}]", "must see: [{name: b, mesh: §lost.obj}]",
                          "secrets: [{name: t, mesh: §flat.obj}]", EYES),
}  # fmt: skip


@pytest.mark.parametrize("name", THREE)
def test_three_faults_are_told_at_once(
    name: str, strangers: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = strangers / "scene.yaml"
    path.write_text(THREE[name].replace("§", ""), encoding="utf-8")
    places = [
        f"{number}:{match.start() - line[: match.start()].count('§') + 1}"
        for number, line in enumerate(THREE[name].splitlines(), 1)
        for match in re.finditer("§", line)
    ]
    err = check_refused(path, monkeypatch, capsys, "", places[0])
    assert [place for place in places if f"scene.yaml:{place}:" not in err] == []


@pytest.mark.parametrize(
    "name", ["<script>alert(1)</script>", "[bold red]x[/]", "{{ 7*7 }}", "%s{0}", "'; --", "日本 ☃"]
)
def test_markup_in_a_name_stays_what_it_is(
    name: str, strangers: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = strangers / "scene.yaml"
    path.write_text(
        PLAIN.replace("name: target", f"name: {name!r}" if "'" not in name else f'name: "{name}"'), encoding="utf-8"
    )
    assert run(monkeypatch, "check", str(path)) == 0
    assert name in capsys.readouterr().out
    path.write_text(path.read_text(encoding="utf-8") + f'? "{name}"\n: 1\n', encoding="utf-8")
    check_refused(path, monkeypatch, capsys, f"There is no key '{name}'", "4:3")


def test_the_installed_command_ends_the_same(strangers: Path) -> None:
    """Once through a process of its own."""
    path = strangers / "scene.yaml"
    path.write_text("version: 1\n" + SECRET + "eyes: [{id: E1, at: [0 m, 5, 0 m]}]\n", encoding="utf-8")
    ended = subprocess.run(
        [sys.executable, "-m", "sightline", "check", str(path)], capture_output=True, text=True, timeout=60
    )
    assert (ended.returncode, ended.stdout) == (1, "")
    assert f"{path}:3:27" in ended.stderr
    assert "Traceback" not in ended.stderr
