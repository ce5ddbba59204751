"""The papers of a packet: what stands on them, that plans are to scale, and that the folder is whole or not there."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import zlib
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.cli.work import finding_of, thresholds
from sightline.errors import SightlineError
from sightline.packet.brief import Brief
from sightline.packet.packet import Packet, packet_of
from sightline.packet.paper import FOOTERS, SIZES_MM
from sightline.packet.papers import chosen, kinds, names
from sightline.packet.scaleplan import FEET, METRIC, scale_for
from sightline.packet.stagemanager import _plan
from sightline.packet.walk import shortest
from sightline.packet.write import MANIFEST, foreign_files, refuse, write_packet
from sightline.scene.reading import read_scene, scene_from_text
from sightline.sight.fieldcache import FieldCache
from sightline.workshop.bench import bench_of
from tests.conftest import REPOSITORY
from tests.drawings.raster import opened, texts
from tests.packet.scenes import plain

# Craft notes, section 6: a plan is measured with a scale rule; half a millimetre in 25 cm.
SCALE_TOLERANCE = 0.002
PX_PER_MM = 20.0
# What needs no minutes: the rest of a packet's papers is made in the slow test below.
QUICK = ["director", "stage manager", "match", "emergency", "data"]


def brief_of(text_or_path: str | Path, paper: str = "a4", margins: bool = False, folder: Path = REPOSITORY) -> Brief:
    if isinstance(text_or_path, Path):
        written = read_scene(text_or_path, None)
        name = text_or_path.name
    else:
        name = "plain.yaml"
        written = scene_from_text(text_or_path, name, folder, folder)
    bench = bench_of(written)
    finding = finding_of(written, bench.staged, margins=margins)
    return Brief(bench, finding, thresholds(bench.scene), name, paper, FieldCache())  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def pitch() -> Packet:
    return packet_of(brief_of(REPOSITORY / "examples/courier-pitch-mended.yaml"), chosen(QUICK))


@pytest.fixture(scope="module")
def stage_manager() -> Callable[[str], bytes]:
    made: dict[str, bytes] = {}

    def of(paper: str) -> bytes:
        if paper not in made:
            brief = brief_of(REPOSITORY / "examples/courier-stage-beats.yaml", paper)
            made[paper] = packet_of(brief, chosen(["stage manager"])).papers[0].data
        return made[paper]

    return of


def pdfs(packet: Packet) -> list[tuple[str, bytes]]:
    return [(paper.kind.path, paper.data) for paper in packet.papers if paper.kind.ending == "pdf"]


def test_every_page_says_what_it_is(pitch: Packet) -> None:
    """Footer, status and sheet stand on every page as text; the properties say open or closed, too."""
    assert len(pdfs(pitch)) == 4
    for paper in pitch.papers:
        if paper.kind.ending != "pdf":
            continue
        said = texts(paper.data)
        assert len(said) == paper.pages
        for number, page in enumerate(said, 1):
            assert FOOTERS[paper.kind.openness] in page, paper.kind.path
            assert "PLANNED" in page
            assert f"{number} of {paper.pages}" in page
            assert "courier-pitch-mended.yaml" in page
        with opened(paper.data) as document:
            kept = document.get_metadata_dict()
        assert kept["Subject"].startswith(paper.kind.openness.upper())
        assert not kept.get("CreationDate")


def test_one_font_family_is_embedded(pitch: Packet) -> None:
    """Bundled, open-licensed, and inside the file: every font descriptor has its file and one family's name."""
    for path, data in pdfs(pitch):
        inside = data + b"".join(_inflated(part) for part in re.findall(rb"stream\r?\n(.*?)endstream", data, re.DOTALL))
        found = re.findall(rb"/FontName\s*/(?:[A-Z]{6}\+)?([A-Za-z-]+)", inside)
        assert found, path
        assert {name.split(b"-")[0] for name in found} == {b"DejaVuSans"}, path
        assert inside.count(b"/FontFile2") >= len(set(found)), path
        assert b"/Type3" not in inside


def _inflated(part: bytes) -> bytes:
    try:
        return zlib.decompress(part)
    except zlib.error:
        return b""


def test_same_scene_same_bytes(pitch: Packet) -> None:
    again = packet_of(brief_of(REPOSITORY / "examples/courier-pitch-mended.yaml"), chosen(QUICK))
    assert again.files() == pitch.files()


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_plan_is_at_its_scale(stage_manager: Callable[[str], bytes], paper: str) -> None:
    """The dark and light bar, from its pixels, is as long as the scale in the title block says; so is the check bar."""
    data = stage_manager(paper)
    said = texts(data)[0]
    divisor = int(re.findall(r"1:(\d+)", said)[-1])
    assert divisor in ([*METRIC] if paper == "a4" else [d for d, _ in FEET])
    with opened(data) as document:
        page = document[0]
        wide, tall = (value / 72 * 25.4 for value in page.get_size())
        grey = np.asarray(page.render(scale=PX_PER_MM * 25.4 / 72, grayscale=True).to_numpy()).squeeze()
    assert (tall, wide) == pytest.approx(SIZES_MM[paper], abs=0.1)  # type: ignore[index]
    length = _bar_mm(grey)
    unit = 1.0 if paper == "a4" else 0.3048
    whole = int(_bar_words(said).split()[0])
    assert length == pytest.approx(whole * unit * 1000 / divisor, rel=SCALE_TOLERANCE)


def test_a_metre_of_the_plan_is_as_long_as_its_bar() -> None:
    """Of the axes that are drawn in: the tapes' hooks of the house, 9.6 m apart, lie 192 mm apart at 1:50."""
    brief = brief_of(REPOSITORY / "examples/courier-stage-beats.yaml")
    page, words = _plan(brief, brief.blocked)
    assert words == "1:50"
    plan = next(axes for axes in page.figure.axes if axes is not page.axes)
    page.figure.canvas.draw()
    hooks = plan.transData.transform([brief.blocked.tapes.a_m, brief.blocked.tapes.b_m, (0.0, 0.0), (0.0, 1.0)])
    mm = hooks / page.figure.dpi * 25.4
    assert mm[1, 0] - mm[0, 0] == pytest.approx(192.0, rel=SCALE_TOLERANCE)
    assert mm[3, 1] - mm[2, 1] == pytest.approx(20.0, rel=SCALE_TOLERANCE)


def _bar_words(said: str) -> str:
    """The bar's own number: it stands behind the bar's nought."""
    return re.findall(r"^0 (\d+ (?:m|ft))\s*$", said, re.MULTILINE)[0]


def _bar_mm(grey: np.ndarray) -> float:
    """The longest solid band that is dark over 0.8 mm of height: the scale bar, its light parts framed in ink."""
    # The title block at the foot has boxes of its own.
    dark = (grey < 150)[: -int(38 * PX_PER_MM)]
    # Its outline runs unbroken along the foot of the bar, and it is the only such line with a filled part above it.
    tall = int(1.0 * PX_PER_MM)
    best = 0
    for row in range(tall, len(dark)):
        line = np.flatnonzero(np.diff(np.concatenate([[0], dark[row].astype(int), [0]])))
        for start, end in line.reshape(-1, 2):
            if end - start < 20 * PX_PER_MM or end - start > 62 * PX_PER_MM:
                continue
            block = dark[row - tall : row, start:end]
            share = block.mean()
            if 0.35 < share < 0.75 and block[:, : int(2 * PX_PER_MM)].mean() > 0.9:
                best = max(best, end - start)
    assert best, "there is no scale bar on the page"
    return best / PX_PER_MM


@pytest.mark.parametrize(
    ("size", "paper", "divisor"),
    [((5.0, 4.0), "a4", 25), ((10.0, 7.0), "a4", 50), ((20.0, 10.0), "a4", 100), ((5.0, 4.0), "letter", 24),
     ((10.0, 7.0), "letter", 48), ((1e6, 1e6), "a4", METRIC[-1])],
)  # fmt: skip
def test_the_largest_standard_scale_that_fits(size: tuple[float, float], paper: str, divisor: int) -> None:
    assert scale_for(np.array(size), (230.0, 170.0), paper).divisor == divisor  # type: ignore[arg-type]


def test_a_scene_of_plain_shapes_gets_what_makes_sense() -> None:
    packet = packet_of(brief_of(plain()), chosen([n for n in names() if n != "page"]))
    made = {paper.kind.stem for paper in packet.papers}
    assert {"director", "house-walk", "seats", "scene"} <= made
    left = {missing.kind.stem: missing.why for missing in packet.missing}
    assert {"stage-manager", "builder", "performer", "dresser", "emergency-doff", "match-sheet"} <= set(left)
    assert all(why.endswith(".") for why in left.values())
    assert {entry["path"]: entry["why"] for entry in packet.manifest["left_out"]}["closed/builder.pdf"]


def test_the_manifest_lists_every_file(pitch: Packet) -> None:
    files = pitch.files()
    listed = json.loads(files[MANIFEST])
    assert {entry["path"] for entry in listed["files"]} == set(files) - {MANIFEST}
    for entry in listed["files"]:
        assert entry["sha256"] == hashlib.sha256(files[entry["path"]]).hexdigest()
        assert entry["path"].startswith(f"{entry['openness']}/")
        assert entry["for"]
    assert listed["headline"]["eyes"] == 35
    assert listed["assumptions"]
    assert listed["not_checked"]


def test_no_two_papers_have_one_path() -> None:
    paths = [kind.path for kind in kinds()]
    assert len(set(paths)) == len(paths)


def test_seats_are_a_table_that_runs_nothing() -> None:
    """What a stranger named `=...` is text to a spreadsheet; the figures are those of the check."""
    text = plain().replace("id: A1,", "id: \"=HYPERLINK('x')\",").replace("name: card,", "name: '@card',")
    brief = brief_of(text)
    seats = next(p.data for p in packet_of(brief, chosen(["data"])).papers if p.kind.stem == "seats")
    rows = list(csv.DictReader(io.StringIO(seats.decode())))
    assert len(rows) == 45
    assert rows[0]["id"] == "'=HYPERLINK('x')"
    assert "'@card: verdict" in rows[0]
    seen = [row["worst"] == "seen" for row in rows]
    assert seen == (brief.finding.worst_verdict() == 2).tolist()
    assert 0 < sum(seen) < 45
    assert float(rows[0]["y_m"]) == pytest.approx(-4.0)
    cells = [cell for row in rows for cell in row.values()]
    assert not [c for c in cells if re.match(r"[=@]|[+-](?!\d)", c)]


def test_the_solid_says_which_are_secret() -> None:
    import trimesh

    brief = brief_of(plain())
    data = next(p.data for p in packet_of(brief, chosen(["data"])).papers if p.kind.ending == "glb")
    scene: Any = trimesh.load(io.BytesIO(data), file_type="glb")
    assert {"SECRET card", "SECRET cord", "screen"} <= set(scene.geometry)
    for name, mesh in scene.geometry.items():
        assert mesh.visual.material.name == name
        assert mesh.visual.material.metallicFactor == 0.0
    # glTF's y is up and z towards the audience: the screen, 40 cm downstage at 1.2 m, comes before the card.
    assert scene.geometry["screen"].centroid == pytest.approx([0.0, 1.2, 0.4], abs=1e-6)


def test_the_shortest_walk() -> None:
    """A row walked end to end, whatever order it is given in; a level is left once only."""
    x = np.array([3.0, 0.0, 2.0, 5.0, 1.0])
    order = shortest(np.column_stack([x, 0 * x, 0 * x]), [""] * 5)
    assert sorted([x[order[0]], x[order[-1]]]) == [0.0, 5.0]
    assert abs(np.diff(x[order])).sum() == pytest.approx(5.0)
    levels = ["stalls", "balcony", "stalls", "balcony", "stalls"]
    walked = [levels[k] for k in shortest(np.column_stack([x, 0 * x, 0 * x]), levels)]
    assert sum(a != b for a, b in pairwise(walked)) == 1


FILES = {"closed/a.pdf": b"a", "open/b.pdf": b"b"}


def listing(files: dict[str, bytes]) -> dict[str, bytes]:
    said = {"made_by": "sightline packet", "files": [{"path": name} for name in files]}
    return files | {MANIFEST: json.dumps(said).encode()}


def inside(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_packet_is_replaced_whole_and_only_with_force(tmp_path: Path) -> None:
    out = tmp_path / "packet"
    write_packet(out, listing(FILES), False)
    assert inside(out) == listing(FILES)
    with pytest.raises(SightlineError, match="already there"):
        write_packet(out, listing({"closed/c.pdf": b"c"}), False)
    assert inside(out) == listing(FILES)
    write_packet(out, listing({"closed/c.pdf": b"c"}), True)
    assert inside(out) == listing({"closed/c.pdf": b"c"})
    assert [p.name for p in tmp_path.iterdir()] == ["packet"]


def test_foreign_files_are_never_deleted(tmp_path: Path) -> None:
    out = tmp_path / "packet"
    write_packet(out, listing(FILES), False)
    (out / "open" / "notes.txt").write_text("mine")
    assert foreign_files(out) == ["open/notes.txt"]
    with pytest.raises(SightlineError, match=r"notes\.txt"):
        refuse(out, True)
    with pytest.raises(SightlineError):
        write_packet(out, listing({"closed/c.pdf": b"c"}), True)
    assert (out / "open" / "notes.txt").read_text() == "mine"
    other = tmp_path / "other"
    other.mkdir()
    (other / MANIFEST).write_text('{"files": [{"path": "holiday.jpg"}]}')
    (other / "holiday.jpg").write_text("mine")
    with pytest.raises(SightlineError, match=r"holiday\.jpg"):
        refuse(other, True)


@pytest.mark.parametrize(("out", "said"), [
    (".", "no name for a packet's folder"), ("..", "no name for a packet's folder"), ("/", "no name for a packet's folder"),
    ("x" * 300, "File name too long"), ("gone/packet", "no folder 'gone'"),
])  # fmt: skip
def test_a_name_that_is_no_folder_is_refused_before_any_work(
    out: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    # Even where the folder itself is an older packet.
    for name, data in listing(FILES).items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(data)
    with pytest.raises(SightlineError, match=said):
        write_packet(Path(out), listing(FILES), True)
    assert inside(tmp_path) == listing(FILES)


def test_a_long_name_is_written_all_the_same(tmp_path: Path) -> None:
    out = tmp_path / ("ä" * 120)
    write_packet(out, listing(FILES), False)
    assert inside(out) == listing(FILES)


@pytest.mark.parametrize("there", [False, True])
def test_a_failing_write_leaves_what_was_there(tmp_path: Path, there: bool) -> None:
    out = tmp_path / "packet"
    if there:
        write_packet(out, listing(FILES), False)
    # A name longer than any file system takes fails in the middle of the writing.
    bad = {"closed/new.pdf": b"new", f"closed/{'x' * 300}.pdf": b""}
    with pytest.raises(SightlineError, match="cannot be written"):
        write_packet(out, listing(bad), True)
    assert out.exists() is there
    assert not there or inside(out) == listing(FILES)
    assert [p.name for p in tmp_path.iterdir()] == (["packet"] if there else [])


def test_the_old_packet_comes_back_if_the_new_one_cannot_take_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a disk that cannot exchange two folders in one step."""
    out = tmp_path / "packet"
    write_packet(out, listing(FILES), False)
    monkeypatch.setattr("sightline.scene.wholefiles.exchanged", lambda one, other: False)
    real = Path.rename

    def rename(self: Path, target: Path) -> Path:
        if self.name.endswith(".part"):
            raise OSError(28, "No space left on device")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(SightlineError, match="No space left"):
        write_packet(out, listing({"closed/c.pdf": b"c"}), True)
    assert inside(out) == listing(FILES)
    assert [p.name for p in tmp_path.iterdir()] == ["packet"]


def test_the_command(tmp_path: Path) -> None:
    scene = tmp_path / "cards.yaml"
    scene.write_text(plain(), encoding="utf-8")
    out = tmp_path / "packet"
    run = CliRunner().invoke(app, ["packet", str(scene), "--out", str(out), "--only", "data", "--json"])
    assert run.exit_code == 0, run.output
    listed = json.loads(run.stdout)
    assert listed == json.loads((out / MANIFEST).read_text(encoding="utf-8"))
    again = CliRunner().invoke(app, ["packet", str(scene), "--out", str(out), "--only", "data"])
    assert again.exit_code == 1
    assert isinstance(again.exception, SightlineError)
    wrong = CliRunner().invoke(app, ["packet", str(scene), "--out", str(tmp_path / "p"), "--only", "directer"])
    assert "did you mean 'director'" in str(wrong.exception)
    assert CliRunner().invoke(app, ["packet", str(scene), "--out", str(out), "--paper", "a3"]).exit_code == 2


def test_status_and_title_block_come_from_the_scene() -> None:
    said = "papers:\n  company: Tin Lantern\n  production: 'Show $1 & <b>'\n  revision: C\n  date: 3 May\n  status: as built\n"
    packet = packet_of(brief_of(plain() + said), chosen(["director"]))
    for page in texts(packet.papers[0].data):
        for word in ("Tin Lantern", "Show $1 & <b>", "C", "3 May", "AS BUILT"):
            assert word in page
    assert packet.manifest["status"] == "AS BUILT"


def test_the_first_plan_says_what_the_beats_add() -> None:
    brief = brief_of(plain())
    first = texts(packet_of(brief, chosen(["director"])).papers[0].data)[0]
    at_some_time = int((brief.rehearsal.any_verdict == 2).any(axis=0).sum())
    # More than from the mark alone: the plan of one mark would lead to think better of the act than it is.
    assert at_some_time > int((brief.finding.worst_verdict() == 2).sum()) > 0
    assert f"Over the beats {at_some_time} of 45 can at some time." in " ".join(first.split())
    alone = texts(packet_of(brief_of(plain(blocking="")), chosen(["director"])).papers[0].data)
    assert "Over the beats" not in " ".join(alone)


def test_papers_look_at_the_beats_as_often_as_rehearse() -> None:
    from inspect import signature

    from sightline.cli.rehearse import rehearse
    from sightline.packet.brief import FPS

    assert signature(rehearse).parameters["fps"].default == FPS


def test_letters_are_text_not_shapes(pitch: Packet) -> None:
    said = "\n".join(texts(dict(pdfs(pitch))["closed/stage-manager.pdf"]))
    for word in ("Spike table", "Cue sheet", "Preset", "Running sheet", "Show report", "front wall DS"):
        assert word in said
