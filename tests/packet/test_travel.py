"""The travel sheet and the handover book: boxes in boxes against what is known of them, and what stands on the pages."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from sightline.cli.work import finding_of, thresholds
from sightline.errors import FileError
from sightline.packet.brief import Brief
from sightline.packet.packet import Packet, packet_of
from sightline.packet.papers import chosen
from sightline.scene.reading import scene_from_text
from sightline.workshop.bench import bench_of
from sightline.workshop.packing import Packed, goes_into, pack, through_door, turned_fits
from sightline.workshop.travel import battery_words, trip_of
from tests.drawings.raster import texts
from tests.workshop.test_recast import TEXT

TRAVEL = """\
travel:
  case: 80 x 50 x 50 cm
  door: 76 x 200 cm
  set up: 25 min
  tools: [10-13 mm spanner]
  battery: one 9 V block
  parts:
    - {name: crate, size: 47 x 33 x 31 cm, mass: 2.1 kg}
    - {name: owl, size: 34 x 24 x 20 cm, inside: crate}
    - {name: limb bag, size: 68 x 31 x 12 cm, mass: 0.2 kg, comes off: two screws}
accepted:
  - {seats: [E1], sees: the wrist seam, by: the director, date: 2026-05-01, note: held for the company}
"""
OUT = "venue: {outdoors: {wind limit: gusts of 6-8 m/s, decides: the handler}}\n"


def overlaps(found: Packed) -> bool:
    boxes = [(p.at_m, p.size_m) for p in found.placed]
    return any(
        all(a[k] < c[k] + d[k] - 1e-4 and c[k] < a[k] + b[k] - 1e-4 for k in range(3))
        for i, (a, b) in enumerate(boxes)
        for c, d in boxes[i + 1 :]
    )


def test_eight_half_cubes_fill_a_cube_and_nine_do_not() -> None:
    """Eight cubes of half the side fill a cube exactly; of nine the volumes alone say no."""
    eight = pack([(str(n), (0.5, 0.5, 0.5)) for n in range(8)], (1.0, 1.0, 1.0))
    assert eight.answer == "fits"
    assert not overlaps(eight)
    assert pack([(str(n), (0.5, 0.5, 0.5)) for n in range(9)], (1.0, 1.0, 1.0)).answer == "does not fit"


def test_parts_are_turned() -> None:
    """Three slabs of 1 x 2 x 6 in a case of 2 x 3 x 6 fill it only lying on one side together, each turned alike."""
    found = pack([(name, (6.0, 1.0, 2.0)) for name in "abc"], (2.0, 6.0, 3.0))
    assert found.answer == "fits"
    assert not overlaps(found)
    assert pack([("rod", (7.0, 0.1, 0.1))], (2.0, 6.0, 3.0)).answer == "does not fit"
    assert goes_into((3.0, 1.0, 2.0), (2.0, 3.0, 1.0))


def test_no_way_found_is_no_proof() -> None:
    """Two slabs that leave no room for each other though the volumes would do."""
    found = pack([("a", (3.0, 3.0, 2.0)), ("b", (3.0, 3.0, 2.0))], (3.2, 3.5, 3.9))
    assert found.answer == "no way found"
    assert "by hand" in found.why


def test_a_rectangle_turned_in_a_frame() -> None:
    """A needle goes into a square up to its diagonal; Carver's condition for one with breadth, from both sides."""
    assert turned_fits(math.sqrt(2) - 1e-6, 0.0, 1.0, 1.0)
    assert not turned_fits(math.sqrt(2) + 1e-6, 0.0, 1.0, 1.0)
    # At 45 deg p + q <= a sqrt 2 in a square of side a: p = 1.2, q = 0.2142.
    assert turned_fits(1.2, math.sqrt(2) - 1.2 - 1e-6, 1.0, 1.0)
    assert not turned_fits(1.2, math.sqrt(2) - 1.2 + 1e-4, 1.0, 1.0)
    assert through_door((3.0, 0.5, 0.7), (0.76, 2.0)) == (0.7, 0.5)
    assert through_door((3.0, 2.5, 0.9), (0.76, 2.0)) is None


@pytest.fixture(scope="module")
def made() -> Packet:
    written = scene_from_text(TEXT + TRAVEL + OUT, "act.yaml")
    bench = bench_of(written)
    finding = finding_of(written, bench.staged)
    return packet_of(Brief(bench, finding, thresholds(bench.scene), "act.yaml"), chosen(["travel", "handover"]))


def pages(made: Packet, name: str) -> str:
    paper = next(paper for paper in made.papers if paper.kind.name == name)
    assert paper.kind.openness == "closed"
    return " ".join(" ".join(texts(paper.data)).split())


def test_what_stands_on_the_travel_sheet(made: Packet) -> None:
    said = pages(made, "travel")
    for words in ("CLOSED", "68 x 31 x 12", "2.10 kg (4.6 lb)", "two screws", "Up in 25 min", "10-13 mm spanner",
                  "Ask the airline or carrier", "All of it goes into the case", "Decides: the handler", "Not checked: wet"):  # fmt: skip
        assert words in said, words


def test_what_stands_in_the_handover_book(made: Packet) -> None:
    said = pages(made, "handover")
    for words in ("How it works", "look left", "held for the company", "Out of it, before in it", "Seen on the mark", "5 deg",
                  "please. I need help here", "performer decides"):  # fmt: skip
        assert words in said, words
    titles = [said.index(f"{n}. ") for n in range(1, 6)]
    assert all(a < b for a, b in pairwise(titles))


def test_the_same_scene_the_same_bytes(made: Packet) -> None:
    written = scene_from_text(TEXT + TRAVEL + OUT, "act.yaml")
    bench = bench_of(written)
    brief = Brief(bench, finding_of(written, bench.staged), thresholds(bench.scene), "act.yaml")
    assert packet_of(brief, chosen(["travel"])).papers[0].data == made.papers[0].data


def test_parts_are_guessed_and_said_to_be() -> None:
    trip = trip_of(bench_of(scene_from_text(TEXT + "travel: {case: 90 x 60 x 60 cm}\n")))
    owl = next(item for item in trip.items if item.name == "owl")
    assert owl.inside == "crate"
    assert trip.notes
    assert trip.fits[0].answer == "not known"
    assert "strap" in trip.unsized


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("travel: {case: 60 x 45 cm}\n", "3 sides"),
        ("travel: {case: 60 x 45 x 40}\n", "no side of a size"),
        ("travel: {parts: [{name: a, size: 1 x 1 x 1 m, inside: b}]}\n", "no other part 'b'"),
        ("travel: {parts: [{name: a, size: 1 x 1 x 1 m}, {name: a, size: 1 x 1 x 1 m}]}\n", "named 'a'"),
        ("venue: {outdoors: {wet: no}}\n", "who stops the act"),
    ],
)
def test_bad_input_has_a_place(text: str, word: str) -> None:
    with pytest.raises(FileError, match=word) as caught:
        trip_of(bench_of(scene_from_text(TEXT + text, "act.yaml")))
    assert all(problem.place.file == "act.yaml" for problem in caught.value.problems)


def test_wind_and_wet_are_not_checked_until_entered() -> None:
    before = bench_of(scene_from_text(TEXT)).staged.moment()
    assert any(said.startswith("wind and wet") for said in before.not_checked)
    after = bench_of(scene_from_text(TEXT + OUT)).staged.moment()
    assert any(said.startswith("wet,") for said in after.not_checked)
    assert any("Decides: the handler" in said for said in after.assumptions)
    assert not any("its middle is taken" in said for said in after.assumptions)


def test_nothing_is_claimed_about_carriers() -> None:
    assert battery_words("none") == ["There is no battery."]
    assert any("Ask the airline" in said for said in battery_words(None))
