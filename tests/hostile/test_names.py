"""Names with markup in everything that is printed and written: they stay names, and nothing else."""

from __future__ import annotations

import importlib
import io
import json
import os
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.errors import FileError
from sightline.house.export import venue_files
from sightline.scene.document import read_text
from sightline.scene.editing import Edit, EditError, edited, quoted
from sightline.scene.reading import scene_from_text
from sightline.tour.folder import _free, _slug
from sightline.tour.point import edits_of, in_line
from tests.hostile.conftest import Run, refused
from tests.hostile.names import NAMES, REFUSED, scene
from tests.hostile.seeds import ACT, furnish
from tests.house.venues import house_of, venue_of


class _Page(HTMLParser):
    """The elements of a page with their attributes, and all its text but scripts."""

    def __init__(self, text: str):
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.scripts: list[str] = []
        self.inside = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self.inside = tag

    def handle_endtag(self, tag: str) -> None:
        self.inside = ""

    def handle_data(self, data: str) -> None:
        (self.scripts if self.inside == "script" else self.words).append(data)


def check_page(text: str, names: list[str]) -> None:
    """No element, attribute or script that came from a name; the names are there as text or in the page's data."""
    page = _Page(text)
    assert [a for _, attributes in page.elements for a in attributes if a.startswith("on")] == []
    assert not any((attributes.get("src") or "") == "x" for _, attributes in page.elements)
    assert "alert(1)" not in re.sub(r"\s", "", "".join(page.scripts[1:]))
    json.loads(page.scripts[0])
    assert text.count("</script>") == len([tag for tag, _ in page.elements if tag == "script"])
    held = " ".join(page.words) + page.scripts[0]
    for name in names:
        assert name in held or json.dumps(name, ensure_ascii=False)[1:-1].replace("<", "\\u003c") in held, name


def check_svg(data: bytes) -> str:
    """A picture of well-formed XML without scripts or links; gives its text."""
    root = ElementTree.fromstring(data)
    for element in root.iter():
        assert element.tag.rpartition("}")[2] not in ("script", "foreignObject", "a", "iframe")
        for key, value in element.attrib.items():
            assert not key.rpartition("}")[2].startswith("on")
            # A view is an image that is held in the picture itself.
            assert not key.endswith("href") or value.startswith(("#", "data:image/png;base64,"))
    return "\n".join(text for text in root.itertext() if text)


@pytest.fixture
def hostile(sandbox: Path) -> Path:
    path = sandbox / "hostile.yaml"
    path.write_text(scene(), encoding="utf-8")
    return path


def test_printed_names_are_what_they_are(hostile: Path, command: Run) -> None:
    ended = command("check", hostile.name, "--no-margins")
    assert ended.code == 0, ended.err
    assert [name for name in NAMES.values() if name not in ended.out] == []
    assert all(c.isprintable() or c == "\n" for c in ended.out + ended.err)
    report = json.loads(command("check", hostile.name, "--no-margins", "--json").out)
    assert [eye["id"] for eye in report["eyes"]] == [*NAMES.values()]
    assert set(report["secrets"]) == set(NAMES.values())


def test_the_form_and_the_plan(hostile: Path, sandbox: Path, command: Run) -> None:
    assert command("form", hostile.name, "--out", "form.html").code == 0
    check_page((sandbox / "form.html").read_text(encoding="utf-8"), [NAMES["script"]])
    assert command("map", hostile.name, "--out", "map.svg").code == 0
    assert command("view", hostile.name, "--eye", NAMES["rich"], "--out", "view.svg").code == 0
    check_svg((sandbox / "map.svg").read_bytes())
    check_svg((sandbox / "view.svg").read_bytes())


def test_the_packet(sandbox: Path, command: Run) -> None:
    (sandbox / "few.yaml").write_text(scene(4), encoding="utf-8")
    ended = command("packet", "few.yaml", "--out", "new", seconds=60)
    assert ended.code == 0, ended.err
    for path in (sandbox / "new").rglob("*"):
        if path.suffix == ".html":
            check_page(path.read_text(encoding="utf-8"), [*NAMES.values()][:4])
        elif path.suffix == ".svg":
            check_svg(path.read_bytes())
    assert any("<img" in text or "</script>" in text for text in pdf_texts(sandbox / "new")), "no name came so far"


def pdf_texts(folder: Path) -> Iterator[str]:
    """The text of each PDF below a folder; none of them may hold a script, a launch or a link to a file."""
    pypdfium2: Any = importlib.import_module("pypdfium2")

    for path in sorted(folder.rglob("*.pdf")):
        data = path.read_bytes()
        assert not re.search(rb"/(JavaScript|JS|Launch|EmbeddedFile)\b", data)
        document = pypdfium2.PdfDocument(data)
        try:
            pages = [page for page in document]
            texts = [page.get_textpage() for page in pages]
            yield "\n".join(text.get_text_range() for text in texts)
            for part in (*texts, *pages):
                part.close()
        finally:
            document.close()


def test_shop_drawings() -> None:
    """Words on a drawing, as SVG, DXF and PDF."""
    import ezdxf.recover

    pypdfium2: Any = importlib.import_module("pypdfium2")

    from sightline.drawings.drawing import Drawing, Stroke, Words
    from sightline.drawings.dxf import dxf_of
    from sightline.drawings.lettering import drawable
    from sightline.drawings.pdf import sheet_pdf
    from sightline.drawings.svg import svg_of

    names = [*NAMES.values()]
    square = Stroke(np.array([(0.0, 0.0), (180.0, 0.0), (180.0, 200.0), (0.0, 200.0)]), "cut", closed=True)
    words = [Words(name, (10.0, 10.0 + 8 * k), "words", 2.5) for k, name in enumerate(names)]
    drawing = Drawing(NAMES["script"], 180.0, 200.0, [square], words)
    shown = check_svg(svg_of(drawing))
    assert [name for name in names if name not in shown] == []
    document, auditor = ezdxf.recover.read(io.BytesIO(dxf_of(drawing)))
    assert not auditor.errors
    space: Any = document.modelspace()
    texts = [text.plain_text() for text in space.query("TEXT")]
    # The codes of that format are held apart by a space.
    together = [text.replace(" ", "") for text in texts]
    assert [name for name in names if name.replace(" ", "") not in together] == []
    pdf = pypdfium2.PdfDocument(sheet_pdf(drawing))
    read = "".join(page.get_textpage().get_text_range() for page in pdf)
    assert [name for name in names if drawable(name).isascii() and drawable(name) not in read] == []


@pytest.mark.parametrize("kind", REFUSED)
def test_names_that_could_steer_are_refused_everywhere(kind: str, sandbox: Path, command: Run) -> None:
    """In a title, a secret, an eye, and in tables beside the scene."""
    name = REFUSED[kind]
    for old in ("title: An act", "name: plate", "id: E1"):
        key, _, _ = old.partition(":")
        (sandbox / "s.yaml").write_text(ACT.replace(old, f"{key}: {quoted(name)}"), encoding="utf-8")
        refused(command("check", "s.yaml", "--json"), "printable characters")
    if "\n" in name or "\0" in name:
        return
    (sandbox / "e.csv").write_text(f"id,x_m,y_m,z_m\n{name},0,-5,1\n", encoding="utf-8", newline="")
    (sandbox / "s.yaml").write_text(
        ACT.replace("eyes: [{id: E1, at: [0 m, -5 m, 1.2 m]}]", "eyes: [{csv: e.csv}]"), encoding="utf-8"
    )
    refused(command("check", "s.yaml", "--json"), "printable characters")


def test_free_notes_cannot_steer_either(sandbox: Path, command: Run) -> None:
    """Notes may have lines of their own; what reaches a terminal or a paper is printable all the same."""
    note = 'accepted: [{seats: [E1], sees: x, by: y, date: z, note: "a\\e[2J\\x9b2J\\u202eb"}]\n'
    (sandbox / "s.yaml").write_text(ACT + note, encoding="utf-8")
    ended = command("check", "s.yaml", "--no-margins")
    assert all(c.isprintable() or c == "\n" for c in ended.out + ended.err)
    told = command("check", "s.yaml", "--no-margins", "--json").out
    assert all(c.isprintable() or c == "\n" for c in told), "JSON is printed to terminals too"


@given(st.text(max_size=12))
@settings(max_examples=300, deadline=None)
def test_any_text_is_written_as_yaml_and_read_back(text: str) -> None:
    if any(0xD800 <= ord(c) < 0xE000 for c in text):
        return
    node: Any = yaml.compose(f"{{a: {quoted(text)}, b: 1}}")
    assert node.value[0][1].value == text
    if text.strip() and "\0" not in text:
        tree = read_text(f"a: {{b: {in_line(text)}, c: [{in_line(text)}]}}\n", "x").tree
        assert tree == {"a": {"b": text, "c": [text]}}


@pytest.mark.parametrize("name", NAMES)
def test_a_hostile_key_of_a_tour_stays_a_key(name: str) -> None:
    """It is refused by its name, or written as one key; it never becomes another place of the scene."""
    try:
        text = edited(ACT, [Edit((NAMES[name],), "1 m"), Edit(("title",), "t")])
    except EditError:
        return
    tree = read_text(text, "x").tree
    assert set(tree) == {*read_text(ACT, "x").tree, NAMES[name]}
    with pytest.raises(FileError, match="There is no key"):
        scene_from_text(text)


def test_a_change_that_breaks_the_text_is_told_by_the_next() -> None:
    with pytest.raises(EditError):
        edited(ACT, [Edit(("title",), "{"), Edit(("detail",), "1 cm")])
    assert edits_of({"a": "]"})[0].value == '"]"'


def test_a_venue_of_hostile_names_is_written_and_read_back(sandbox: Path) -> None:
    """Blocks, scenery and meshes; two meshes of one name in two folders stay two files, none leaves the folder."""
    names = [*NAMES.values()]
    seats = ", ".join(
        f"{{block: {quoted(name)}, rows: 1, seats: 2, first row: {4 + 2 * k} m}}" for k, name in enumerate(names)
    )
    meshes = "{name: a, mesh: x/flat.obj, at: [0 m, 0 m, 0 m]}, {name: b, mesh: y/FLAT.obj, at: [0 m, 0 m, 0 m]}"
    text = f"version: 1\nname: {quoted(NAMES['yaml'])}\nseats: [{seats}]\nscenery: [{meshes}]\n"
    house = house_of(text)
    files = venue_files(read_text(text, "v").tree, house, "new", {"x/flat.obj": b"1", "y/FLAT.obj": b"2"}, 0.0)
    assert len({name.casefold() for name in files}) == len(files) == 4
    assert all(os.path.basename(name) == name for name in files)
    again = read_text(files["new.yaml"].decode(), "new.yaml").tree
    assert {files[piece["mesh"]] for piece in again["scenery"]} == {b"1", b"2"}
    read = house_of(files["new.yaml"].decode(), files)
    assert [eye.id for eye in read.eyes] == [eye.id for eye in house.eyes]
    assert venue_of(files["new.yaml"].decode()).name == NAMES["yaml"]


FILE_NAMES = [
    *NAMES.values(),
    "..",
    ".",
    "/",
    "\\",
    "a/../b",
    "CON",
    "nul.txt",
    "x" * 200,
    "A",
    "a",
    "Ａ",
    "ß",
    "SS",
    " ",
    "-rf",
    "~",
]


def test_folders_made_of_names_stay_where_they_are() -> None:
    """As a tour makes them: below the folder, of plain letters, never two of one name, not even where case is lost."""
    taken: set[str] = set()
    made = [_free(f"{_slug(a)}/{_slug(b)}", taken) for a in FILE_NAMES for b in FILE_NAMES[:4]]
    assert len({name.casefold() for name in made}) == len(made)
    for name in made:
        assert re.fullmatch(r"[a-z0-9-]{1,70}/[a-z0-9-]{1,70}", name), name
        assert not name.startswith("-")
        assert {"con", "nul", "aux", "prn", "com1", "lpt1"}.isdisjoint(name.split("/")), "no folder on some systems"


def test_a_tour_of_hostile_names_stays_in_its_folder(sandbox: Path, command: Run) -> None:
    names = [NAMES[key] for key in ("path", "script", "reserved", "rich")]
    stops = ", ".join(f"{{use: small.yaml, name: {quoted(name)}}}" for name in names)
    (sandbox / "small.yaml").write_text(
        "version: 1\nname: h\neyes: [{id: E, at: [0 m, -5 m, 1.2 m]}]\n", encoding="utf-8"
    )
    (sandbox / "tour.yaml").write_text(f"version: 1\nvenues: [{stops}]\nscenes: [act.yaml]\n", encoding="utf-8")
    ended = command("tour", "tour.yaml", "--out", "new", "--workers", "1")
    assert ended.code == 0, ended.err
    assert {name for name in ended.written if not name.startswith("given/new")} <= {"given", "."}
    assert all(c.isprintable() or c == "\n" for c in ended.out + ended.err)


def test_furnished_scenes_are_good(tmp_path: Path) -> None:
    furnish(tmp_path)
    assert scene_from_text(scene()).model.title == NAMES["script"]
