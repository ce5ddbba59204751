"""Open papers: nothing in them, on them or round them says or shows how the act works; and what they say is right."""

from __future__ import annotations

import ast
import math
import re
import zlib
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from sightline.blocking.clock import Clock, Hour, Post, Ray, Spot
from sightline.blocking.ring import DISTANCES_M, GROUPS
from sightline.packet import audiencepicture, opening, openwording
from sightline.packet.brief import Brief
from sightline.packet.openfacts import OpenFacts
from sightline.packet.opening import open_facts
from sightline.packet.openpapers import KINDS
from sightline.packet.openwords import first_telling, telling_words
from sightline.packet.packet import Packet, packet_of
from sightline.packet.paper import LeftOut
from sightline.scene.reading import scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.check import Thresholds, check
from sightline.staging.stage import put_together
from sightline.workshop.bench import Bench
from tests.conftest import REPOSITORY, mended_as_drawn

PAPERS = """\
papers:
  company: Rook and Daughters
  contact: 0000 000 000
  status: mock-up checked
  times: {start: '19:30', running: 12 min, sets: 3, rest: 45 min}
  open: {about: A night courier with a passenger., power: none, suits: [Foyers]}
accepted: [{seats: [stalls A1], sees: an edge of the lining, by: AB, date: 2026-05-01}]
"""
SEATS = """\
venue:
  name: Small House
  held seats: [stalls B3, stalls B4]
  seats: [{block: stalls, level: stalls, rows: 3, seats: 10, first row: 4 m, wheelchair: [C1]}]
"""
# Names that no list of words knows, so that only the scene itself can tell that they are of the working.
OWN = (("inner seam", "Quillon"), ("wrist seam", "Tamarack"), ("second strap", "Oriflamme"))
SMALL = "\nnoticing: {sway: no}\n"


def scene_text(title: str = "The Night Courier") -> str:
    text = (
        mended_as_drawn()
        .replace("venue: {use: proscenium-420}", SEATS)
        .replace("title: The Night Courier", f"title: {title}")
    )
    for old, new in OWN:
        assert f"name: {old}" in text
        text = text.replace(f"name: {old}", f"name: {new}")
    return text + SMALL + PAPERS


def clock(clean_deg: float, far_deg: float) -> Clock:
    """Clean from 1.5 m on to `clean_deg` at either side, from 3 m on to `far_deg`."""
    rays = []
    for k in range(36):
        bearing = math.remainder(math.radians(10 * k), 2 * math.pi)
        side = abs(math.degrees(bearing)) - 1e-6
        nearest = 1.5 if side < clean_deg else 3.0 if side < far_deg else None
        clean = tuple(nearest is not None and d >= nearest for d in DISTANCES_M)
        rays.append(Ray(bearing, clean, nearest, None, None, None, None))
    hours = tuple(Hour(hour, None, rays[group[0]], None, None) for hour, group in GROUPS)
    whole = clean_deg >= 180
    posts = () if whole else (Post(math.radians(90), 1.0, 2.0), Post(math.radians(-90), 1.0, 2.0))
    return Clock((0.0, 1.0), 0.0, tuple(rays), hours, (), Spot(math.radians(-10), 2.0, {}), posts)


def brief_of(text: str, found: Clock | None = None) -> Brief:
    written = scene_from_text(text)
    bench = Bench(written, put_together(written))
    finding = check(bench.staged.moment())
    brief = Brief(bench, finding, Thresholds(), "secret-arm.yaml")
    brief.__dict__["clock"] = found or clock(40, 70)
    return brief


@pytest.fixture(scope="module")
def brief() -> Brief:
    return brief_of(scene_text())


@pytest.fixture(scope="module")
def packet(brief: Brief) -> Packet:
    return packet_of(brief, KINDS)


def haystacks(name: str, data: bytes) -> Iterator[tuple[str, str]]:
    """Everything of a PDF in which a word could stand: (where, text)."""
    import pypdfium2  # type: ignore[import-untyped]

    yield "name", name
    document = pypdfium2.PdfDocument(data)
    for k, page in enumerate(document):
        yield f"page {k + 1}", page.get_textpage().get_text_range()
    for key, value in document.get_metadata_dict().items():
        yield f"property {key}", value
    yield "outline", " ".join(str(entry) for entry in document.get_toc())
    # Outside of streams: objects, alternative text, names of attachments. Streams: unpacked, pictures left out.
    yield "objects", re.sub(rb"stream\r?\n.*?endstream", b"", data, flags=re.DOTALL).decode("latin-1")
    for found in re.finditer(rb"<<((?:(?!endobj).)*?)>>\s*stream\r?\n(.*?)\r?\nendstream", data, flags=re.DOTALL):
        if b"/Subtype /Image" in found[1] or b"/Length1" in found[1]:
            continue
        packed = b"/FlateDecode" in found[1]
        yield "stream", (zlib.decompress(found[2]) if packed else found[2]).decode("latin-1")


def telling(packet: Packet, words: tuple[str, ...]) -> list[str]:
    out = []
    for paper in packet.papers:
        assert paper.kind.openness == "open"
        for where, text in haystacks(paper.kind.path, paper.data):
            word = first_telling(text, words)
            if word:
                out.append(f"{paper.kind.path}: {where}: {word}")
    return out


def test_all_of_them_are_there(packet: Packet) -> None:
    assert packet.missing == ()
    assert [paper.kind.path for paper in packet.papers] == [
        "open/act-sheet.pdf", "open/front-of-house.pdf", "open/client-box-office.pdf", "open/photographer.pdf",
    ]  # fmt: skip
    assert packet.papers[0].pages == 1


def test_nothing_in_them_tells_the_working(brief: Brief, packet: Packet) -> None:
    words = telling_words(brief.scene, brief.moment)
    assert {"Quillon", "Tamarack", "Oriflamme", "harness", "false limb", "hidden"} & set(words) >= {
        "Quillon",
        "Tamarack",
        "Oriflamme",
    }
    assert telling(packet, words) == []
    for paper in packet.papers:
        assert b"/EmbeddedFile" not in paper.data
        assert b"/Alt" not in paper.data.replace(b"/Alternate", b"")
        assert b"sightline:" not in paper.data


@pytest.mark.parametrize("word", ["the hidden arm", "a Quillon", "its rigging", "false_limb"])
def test_a_planted_word_is_found(brief: Brief, monkeypatch: pytest.MonkeyPatch, word: str) -> None:
    """The search sees what stands on a page, past the gathering of the facts."""
    monkeypatch.setattr(openwording, "LATECOMERS_STAND", f"Where nobody sees {word}.")
    import sightline.packet.fronthouse as fronthouse

    monkeypatch.setattr(fronthouse, "LATECOMERS_STAND", openwording.LATECOMERS_STAND)
    made = packet_of(brief, [kind for kind in KINDS if kind.name == "front of house"])
    assert any(": page 1: " in found for found in telling(made, telling_words(brief.scene, brief.moment)))


def test_a_property_and_a_name_are_searched(brief: Brief, packet: Packet) -> None:
    words = telling_words(brief.scene, brief.moment)
    data = packet.papers[0].data.replace(b"/Subject (OPEN. For everybody.)", b"/Subject (OPEN. A false arm.)  ")
    assert data != packet.papers[0].data
    assert any(where == "property Subject" and first_telling(text, words) for where, text in haystacks("a.pdf", data))
    assert any(where == "name" and first_telling(text, words) for where, text in haystacks("open/hidden-arm.pdf", data))


@pytest.mark.parametrize(
    ("title", "more", "word"),
    [
        ("The Hidden Arm", "", "hidden"),
        ("The Night Courier", "  production: Quillon and Co\n", "Quillon"),
        ("The Night Courier", "  drawn by: the rig shop\n", "rig"),
        ("The Night Courier", "  open: {latecomers: wait till the false limb is off}\n", "false"),
    ],
)
def test_the_scenes_own_words_are_looked_over(brief: Brief, title: str, more: str, word: str) -> None:
    text = "version: 1\npapers:\n  company: x\n" + more
    said = scene_from_text(text).model.papers
    scene = brief.scene.model_copy(update={"title": title, "papers": said})
    with pytest.raises(LeftOut, match=f"'{word}'"):
        open_facts(with_scene(brief, scene))


def test_a_public_name_helps(brief: Brief) -> None:
    said = brief.scene.papers.model_copy(update={"production": "The Night Courier"})
    other = with_scene(brief, brief.scene.model_copy(update={"title": "The Hidden Arm", "papers": said}))
    made = packet_of(other, [kind for kind in KINDS if kind.name == "photographer"])
    assert telling(made, telling_words(other.scene, other.moment)) == []
    assert made.manifest["title"] == "The Hidden Arm"  # The list is for the company.


def with_scene(brief: Brief, scene: Scene) -> Brief:
    bench = replace(brief.bench, written=replace(brief.bench.written, model=scene))
    other = Brief(bench, brief.finding, brief.thresholds, brief.scene_name)
    other.__dict__["clock"] = brief.clock
    return other


def test_sheets_know_open_facts_only() -> None:
    """No file that draws an open sheet can reach the brief, the finding, the scene or the moment."""
    closed = {"brief", "opening", "pagedata", "preset", "wording"}
    for name in (
        "openfacts",
        "openwording",
        "actsheet",
        "fronthouse",
        "clientsheet",
        "photographer",
        "pitchplan",
        "seatranges",
    ):
        tree = ast.parse((REPOSITORY / f"sightline/packet/{name}.py").read_text(encoding="utf-8"))
        modules = {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
        mine = {module for module in modules if module.startswith("sightline.")}
        assert not {
            m for m in mine if m.split(".")[1] in ("scene", "sight", "staging", "moment", "workshop", "figure", "props")
        }, name
        assert not {m.split(".")[2] for m in mine if m.startswith("sightline.packet.")} & closed, name


def test_the_picture_is_clean(brief: Brief) -> None:
    """Taken from a place that sees nothing, and no point of it lies on a secret; one that shows any is not taken."""
    picture = audiencepicture.audience_picture(brief)
    assert picture is not None
    assert picture.pixels.std() > 0.05
    worst = brief.finding.worst_verdict()
    assert all(worst[eye] == 0 for eye in audiencepicture.clean_eyes(brief.finding))


def test_a_picture_that_shows_is_not_taken(brief: Brief, monkeypatch: pytest.MonkeyPatch) -> None:
    """From where a secret is in the open the points of the picture say so."""
    from sightline.pictures.camera import framing
    from sightline.pictures.cast import trace

    finding = brief.finding
    secret = next(s for s in (*finding.moment.still.secrets, *finding.moment.poses[0].secrets) if s.kind == "limb")
    # From straight upstage of it, inside the cape: nothing of the act stands between.
    middle = secret.mesh.vertices.mean(axis=0)
    points = secret.mesh.vertices
    shown = []
    for away in ([0, 0.25, 0.1], [0.25, 0, 0], [-0.25, 0, 0], [0, 0, -0.3]):
        camera = framing(middle + np.array(away), points, (160, 120))
        shown.append(audiencepicture.tells(trace(finding.looked.scenery.covers(0), camera, 1), finding))
    assert any(shown)
    monkeypatch.setattr(audiencepicture, "tells", lambda *_: True)
    monkeypatch.setattr(audiencepicture, "SIZE", (96, 72))
    assert audiencepicture.audience_picture(brief) is None


def test_the_facts_are_right(brief: Brief) -> None:
    facts = open_facts(brief)
    assert [seats.text for seats in facts.held] == ["Stalls B 3-4"]
    assert [seats.text for seats in facts.wheelchair] == ["Stalls C 1"]
    assert (facts.seats, facts.seated, facts.running, facts.rest) == (30, True, "12 min", "45 min")
    assert facts.stop_phrase
    assert "stalls A1" not in {each.seats.text for each in facts.restricted}


def test_seats_that_see_are_restricted_and_accepted_ones_are_not(brief: Brief) -> None:
    finding = brief.finding
    eyes = [eye.id for eye in brief.moment.eyes]
    name = next(iter(finding.secrets))
    verdict = finding.secrets[name].verdict.copy()
    seen = ["stalls A1", "stalls A2", "stalls A4", "stalls C1"]
    verdict[[eyes.index(seat) for seat in seen]] = 2
    other = Brief(
        brief.bench,
        replace(finding, secrets={**finding.secrets, name: replace(finding.secrets[name], verdict=verdict)}),
        brief.thresholds,
        "x",
    )
    other.__dict__["clock"] = brief.clock
    found = [(each.seats.text, each.reason) for each in open_facts(other).restricted]
    assert ("Stalls A 2, 4", opening.NOT_AS_MEANT) in found
    assert ("Stalls C 1", opening.CHAIRS) in found
    assert not any("A 1" in text for text, reason in found if reason == opening.NOT_AS_MEANT)


def test_where_the_audience_may_be() -> None:
    found = clock(40, 70)
    assert opening._ring(found) == 1.5
    assert opening._ring(clock(30, 70)) == 3.0
    assert opening._ring(clock(20, 30)) == opening.LEAST_RING_M
    assert opening._front(found, 1.5) == pytest.approx((-math.radians(40), math.radians(40)))
    assert opening._farther(found, 1.5) == pytest.approx((3.0, -math.radians(70), math.radians(70)))
    assert not opening._surrounded(found, 1.5)
    assert opening._surrounded(clock(180, 180), 1.5)
    assert opening._front(clock(-1, -1), 1.5) is None


def text_of(data: bytes) -> str:
    import pypdfium2

    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data))


def test_what_must_stand_on_them(packet: Packet) -> None:
    text = {paper.kind.name: text_of(paper.data) for paper in packet.papers}
    for name, said in text.items():
        assert "OPEN" in said, name
        assert "MOCK-UP CHECKED" in said, name
        assert ".yaml" not in said, name
    for words in (
        "running time",
        "pitch",
        "doors",
        "changing room",
        "handler",
        "What does not work",
        "Not surrounded without a wall",
        "fee",
        "insurance",
        "contact",
    ):
        assert words in text["act"], words
    for words in (
        "19:30",
        "Latecomers",
        "Standing place",
        "Stalls B 3-4",
        "Stop phrase",
        "without a new check",
        "Filming",
        "opened by",
        "in private, before doors",
    ):
        assert words in text["front of house"].replace("\r\n", " "), words


def test_a_very_talkative_act_sheet_is_one_page(brief: Brief) -> None:
    from sightline.packet.actsheet import act_sheet

    facts = replace(open_facts(brief), suits=("Foyers and halls " * 8,) * 12, not_for=("Rain and wind " * 9,) * 12)
    assert len(act_sheet(facts, None, "letter")) == 1


def test_the_same_bytes(brief: Brief, packet: Packet) -> None:
    again = packet_of(brief, [kind for kind in KINDS if kind.name in ("client", "photographer")])
    assert [paper.data for paper in again.papers] == [packet.papers[2].data, packet.papers[3].data]


def test_facts_are_plain(brief: Brief) -> None:
    """Nothing in the facts can carry more than words and sizes."""

    def plain(value: object) -> bool:
        if isinstance(value, tuple):
            return all(plain(each) for each in value)
        return (
            value is None
            or isinstance(value, (str, int, float, bool))
            or type(value).__name__ in ("SeatRange", "Restricted")
        )

    facts: OpenFacts = open_facts(brief)
    assert all(plain(value) for value in vars(facts).values())


@pytest.mark.parametrize(
    "changes",
    [
        {
            "seated": False,
            "seats": 0,
            "held": (),
            "restricted": (),
            "wheelchair": (),
            "posts": ((1.0, 1.3), (3.1, 1.3)),
            "handlers": 3,
        },
        {"seated": False, "surrounded": True, "front_rad": (-3.0, 3.0), "farther": None, "photo": None},
        {"seated": False, "front_rad": None, "farther": None, "photo": None, "handlers": 0},
        {"pitch_m": (14.0, 11.0), "turning_m": 2.0, "seated": False, "ring_m": 6.0},
        {"running": "", "start": "", "sets": "", "rest": "", "stop_phrase": "x" * 200, "title": "W" * 200},
    ],
)
def test_they_are_drawn_whatever_is_known(brief: Brief, changes: dict[str, object]) -> None:
    from sightline.packet.clientsheet import client_sheet
    from sightline.packet.fronthouse import front_of_house
    from sightline.packet.photographer import photographer_sheet

    facts = replace(open_facts(brief), **changes)  # type: ignore[arg-type]
    sheets = [*front_of_house(facts, "letter"), client_sheet(facts, "a4"), photographer_sheet(facts, "a4")]
    assert all(1 <= len(each.pages) <= 2 for each in sheets)
    assert sheets[1].scale


def test_a_seat_that_sees_at_any_beat_is_restricted(brief: Brief) -> None:
    from types import SimpleNamespace

    beats = scene_from_text("version: 1\nblocking: {beats: [{at: 0 s}, {at: 4 s, facing: 20 deg}]}\n").model.blocking
    other = with_scene(brief, brief.scene.model_copy(update={"blocking": beats}))
    eyes = brief.moment.eyes
    verdict = np.zeros((2, len(eyes)), dtype=np.int8)
    verdict[1, [eye.id for eye in eyes].index("stalls B7")] = 2
    other.__dict__["rehearsal"] = SimpleNamespace(eyes=eyes, any_verdict=verdict)
    assert ("Stalls B 7", opening.NOT_AS_MEANT) in [
        (each.seats.text, each.reason) for each in open_facts(other).restricted
    ]
