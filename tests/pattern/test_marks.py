"""Marks that meet across every seam, words that stay inside the piece, and arrows that point the right way."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from typing import Any

import numpy as np
import pytest

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.arrows import UP, Way
from sightline.pattern.flatshape import polygon_of, ways_on
from sightline.pattern.lettering import ABOVE, BELOW, balanced, words_width
from sightline.pattern.marked import MarkedPiece
from sightline.pattern.marks import INSIDE, mark
from sightline.pattern.notches import INTERVAL_M, INTERVAL_SHARE, TOTAL_M, ease_words, edge_marks, notch_shares
from sightline.pattern.piece import Edge, Piece
from sightline.pattern.writing import LEAST_M
from tests.pattern.testpieces import ell, panels, pattern_of, polygon_piece, rectangle, with_dart

WAYS = (UP, Way("THUMB", np.array([0.8, -0.6, 0.0])), Way("PALM", np.array([0.0, 1.0, 0.0])))


def comb() -> Piece:
    """Teeth of 14 mm: room for words nowhere but in the spine."""
    points = [(0.0, 0.0)]
    for k in range(6):
        points += [(0.03 * k + 0.014, 0.0), (0.03 * k + 0.014, 0.1), (0.03 * k + 0.03, 0.1), (0.03 * k + 0.03, 0.0)]
    points += [(0.18 + 0.014, 0.0), (0.18 + 0.014, 0.14), (0.0, 0.14)]
    return polygon_piece(np.array(points), name="comb")


ZOO: dict[str, list[Piece]] = {
    "two panels": panels(2),
    "one panel": panels(1),
    "cylinder": panels(2, 0.05, 0.05, 0.3),
    "four narrow panels": panels(4, 0.03, 0.02, 0.24),
    "ell": [ell()],
    "dart": [with_dart()],
    "strip": [rectangle(0.03, 0.2)],
    "sliver": [rectangle(0.006, 0.2)],
    "tab": [rectangle(0.012, 0.02)],
    "comb": [comb()],
    "large": [rectangle(0.9, 0.5)],
}


@pytest.mark.parametrize("length_m", [0.004, 0.03, 0.08, 0.125, 0.3, 1.0])
def test_marks_do_not_meet_end_for_end(length_m: float) -> None:
    """Turned end for end, every mark lies half an interval beside the next one of its partner."""
    shares = notch_shares(length_m, 0.05)
    interval = 1.0 / (len(shares) + 1)
    off = np.abs(shares[:, None] - (1.0 - shares)[None, :]).min(axis=1)
    assert off == pytest.approx(interval / 2, abs=1e-12)
    # Evenly spaced marks would meet: the measure can fail.
    even = np.arange(1, len(shares) + 1) * interval
    assert np.abs(even[:, None] - (1.0 - even)[None, :]).min(axis=1) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("length_m", "count"), [(0.01, 1), (0.05, 1), (0.1, 1), (0.15, 2), (0.28, 5), (0.5, 9)])
def test_marks_are_about_fifty_millimetres_apart(length_m: float, count: int) -> None:
    assert len(notch_shares(length_m)) == count


@pytest.mark.parametrize("spacing_m", [0.0, -0.05, 0.005, 2.0])
def test_a_spacing_of_no_use_is_refused(spacing_m: float) -> None:
    with pytest.raises(SightlineError, match="of no use"):
        mark(pattern_of(panels(2)), spacing_m=spacing_m)


@pytest.mark.parametrize("name", ["two panels", "one panel", "cylinder", "four narrow panels", "dart"])
def test_marks_meet_on_the_limb(name: str) -> None:
    """Both marks of a number are one place of the limb, and each number is one pair in the whole pattern."""
    pieces = {piece.number: piece for piece in ZOO[name]}
    places: dict[int, list[FloatArray]] = {}
    for marks in edge_marks(pattern_of(ZOO[name])):
        piece = pieces[marks.piece]
        nodes = piece.edges[marks.edge].nodes
        walked = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(piece.flat[nodes], axis=0), axis=1))])
        for notch in marks.notches:
            at = np.array([np.interp(notch.along_m, walked, piece.vertices[nodes, k]) for k in range(3)])
            places.setdefault(notch.number, []).append(at)
    assert sorted(places) == list(range(1, len(places) + 1))
    for pair in places.values():
        assert len(pair) == 2
        if name != "dart":  # a dart's edges lie apart until it is closed
            assert np.linalg.norm(pair[0] - pair[1]) < 1e-5


@pytest.mark.parametrize("name", ["two panels", "one panel", "cylinder", "four narrow panels", "dart"])
def test_intervals_measured_on_the_flat_pieces(name: str) -> None:
    """Measured anew from the marks' own places: straight edges, so the distance between marks is the interval."""
    by_joint: dict[int, list[list[float]]] = {}
    pieces = {piece.number: piece for piece in ZOO[name]}
    for marks in edge_marks(pattern_of(ZOO[name])):
        nodes = pieces[marks.piece].edges[marks.edge].nodes
        flat = pieces[marks.piece].flat
        stops = [flat[nodes[0]], *(n.at_m for n in marks.notches), flat[nodes[-1]]]
        measured = [float(np.linalg.norm(b - a)) for a, b in pairwise(stops)]
        assert measured == pytest.approx([i.length_m for i in marks.intervals], abs=1e-9)
        assert all(interval.ease_m == 0.0 for interval in marks.intervals)
        by_joint.setdefault(marks.joint, []).append(measured)
    for one, other in by_joint.values():
        for a, b in zip(one, other, strict=True):
            assert abs(a - b) <= max(INTERVAL_M, INTERVAL_SHARE * (a + b) / 2)
        assert abs(sum(one) - sum(other)) <= TOTAL_M


def stretched(share: float) -> list[Piece]:
    one, two = panels(2)
    return [one, replace(two, flat=two.flat * (1.0 + share))]


# The seam of the frustum 60 -> 35 over 280 mm is 281.1 mm long: 0.4 and 0.6 mm are 0.9 and 1.1 x the figure's neighbours.
@pytest.mark.parametrize(("more_m", "told"), [(0.00045, False), (0.00055, True), (0.008, True)])
def test_ease_is_told_on_both_pieces(more_m: float, told: bool) -> None:
    length = float(np.hypot(0.280, 0.025))
    made = mark(pattern_of(stretched(more_m / length)))
    for one, two in zip(
        [i for i in made[0].intervals if i.seam == "seam 1"],
        [i for i in made[1].intervals if i.seam == "seam 1"],
        strict=True,
    ):
        assert (one.ease_m != 0.0) is told
        assert one.ease_m == -two.ease_m
        assert (two.ease_m > 0.0) is told
        assert (one.start, one.end) == (two.start, two.end)
    total = sum(i.ease_m for i in made[1].intervals if i.seam == "seam 1")
    assert total == pytest.approx(more_m if told else 0.0, abs=1e-9)
    written = [[le.text for le in piece.letters if le.saying == "ease"] for piece in made]
    if told:
        # Two seams of six intervals, the last ones 0.75 of the others.
        assert len(written[0]) == len(written[1]) == 12
        assert all(text.startswith("ease -") for text in written[0])
        assert all(text.startswith("ease +") for text in written[1])
    else:
        assert written == [[], []]


@pytest.mark.parametrize(
    ("ease_m", "words"), [(0.002, "ease +2 mm"), (-0.0013, "ease -1.3 mm"), (0.00004, None), (0.0, None)]
)
def test_ease_in_words(ease_m: float, words: str | None) -> None:
    assert ease_words(ease_m) == words


def drawn(piece: MarkedPiece) -> dict[str, Any]:
    """Everything on a piece as shapes, by names that say what it is."""
    from shapely import LineString, Point, box

    out: dict[str, Any] = {}
    for k, letters in enumerate(piece.letters):
        x, y, wide, high = letters.box()
        out[f"letters {k} {letters.text}"] = box(x, y, x + wide, y + high)
    for k, tick in enumerate(piece.ticks):
        out[f"tick {k} {tick.number}"] = LineString(tick.points)
    for k, arrow in enumerate(piece.arrows):
        out[f"arrow {k} {arrow.name}"] = LineString([arrow.tail_m, arrow.tip_m])
    for k, ring in enumerate(piece.rings):
        out[f"ring {k} {ring.name}"] = Point(ring.centre_m).buffer(ring.radius_m)
    for k, fold in enumerate(piece.folds):
        out[f"fold {k}"] = LineString(fold)
    return out


@pytest.mark.parametrize("name", ZOO)
def test_words_lie_inside_and_apart(name: str) -> None:
    for piece in mark(pattern_of(ZOO[name]), WAYS):
        polygon = polygon_of(piece.piece)
        shapes = drawn(piece)
        for what, shape in shapes.items():
            if what.startswith(("letters", "arrow", "fold")):
                assert shape.within(polygon), what
                # A tick begins on the cut, and a dart's ring lies round its end; nothing else comes near.
                assert shape.distance(polygon.exterior) > 0.0015, what
        for (one, a), (other, b) in combinations(shapes.items(), 2):
            if "letters" in one + other:
                assert not a.intersects(b), f"{one} on {other}"
        assert all(letters.height_m >= LEAST_M for letters in piece.letters)


@pytest.mark.parametrize("name", ZOO)
def test_every_piece_says_what_it_must(name: str) -> None:
    for piece in mark(pattern_of(ZOO[name], "right", "false right arm"), WAYS):
        said = (
            " ".join(letters.text for letters in piece.letters) + " | " + " | ".join(led.text for led in piece.leaders)
        )
        number = f"{piece.piece.number} of {piece.piece.of}"
        assert number in said or str(piece.piece.number) in said
        for words in ("RIGHT", piece.piece.name, "THUMB", "PALM", "UP", "INSIDE:", "GRAIN"):
            assert words in said, words
        assert "LEFT" not in said
        for notch in piece.notches:
            written = [le for le in piece.letters if le.saying == "notch" and le.text == str(notch.number)]
            assert written or f"mark {notch.number}" in said


@pytest.mark.parametrize("name", ["two panels", "one panel", "cylinder", "ell", "dart", "large", "strip"])
def test_ordinary_pieces_need_no_leader(name: str) -> None:
    for piece in mark(pattern_of(ZOO[name]), WAYS):
        assert piece.leaders == ()
        side = next(letters for letters in piece.letters if letters.saying == "side")
        # The side of the body is the largest word on the piece.
        assert side.height_m >= max(letters.height_m for letters in piece.letters)
        assert " ".join(le.text for le in piece.letters if le.saying == "inside") == INSIDE


def test_a_sliver_leads_its_words_outside() -> None:
    (made,) = mark(pattern_of(ZOO["sliver"]), WAYS)
    assert made.leaders
    assert "GRAIN" in {arrow.name for arrow in made.arrows} or any("GRAIN" in led.text for led in made.leaders)


def on_limb(piece: Piece, at: tuple[float, float]) -> FloatArray:
    """Where on the limb a place of the table is, by the triangle that holds it."""
    flat = piece.flat[piece.faces]
    a, b, c = flat[:, 0], flat[:, 1], flat[:, 2]
    det = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    p = np.array(at) - a
    u = (p[:, 0] * (c[:, 1] - a[:, 1]) - p[:, 1] * (c[:, 0] - a[:, 0])) / det
    v = (p[:, 1] * (b[:, 0] - a[:, 0]) - p[:, 0] * (b[:, 1] - a[:, 1])) / det
    k = int(np.argmax(np.minimum(np.minimum(u, v), 1 - u - v)))
    shares = np.array([1 - u[k] - v[k], u[k], v[k]])
    return np.asarray(shares @ piece.vertices[piece.faces[k]])


@pytest.mark.parametrize("name", ["two panels", "one panel", "cylinder", "ell"])
def test_arrows_point_their_way_on_the_limb(name: str) -> None:
    """From tail to tip of an arrow, on the limb, one goes the way it names; the grain goes up to the shoulder."""
    ways = {way.name: way.direction for way in WAYS} | {"GRAIN": np.array([0.0, 0.0, 1.0])}
    seen = set()
    for piece in mark(pattern_of(ZOO[name]), WAYS):
        for arrow in piece.arrows:
            step = on_limb(piece.piece, arrow.tip_m) - on_limb(piece.piece, arrow.tail_m)
            assert step @ ways[arrow.name] > 0.4 * np.linalg.norm(step), arrow
            seen.add(arrow.name)
    assert {"GRAIN", "UP"} <= seen


def test_a_ring_marks_the_side_itself() -> None:
    """On the nearest piece of a cylinder the ring lies where the surface faces the thumb; opposite, the words say so."""
    thumb = Way("THUMB", np.array([0.0, 1.0, 0.0]))
    near, far = mark(pattern_of(panels(2, 0.05, 0.05, 0.3)), (thumb,))
    assert [le.text for le in near.letters if le.saying == "way"] == ["THUMB: this side"]
    assert [le.text for le in far.letters if le.saying == "way"] == ["THUMB: far side"]
    place = on_limb(near.piece, near.rings[0].centre_m)
    assert place[1] / 0.05 > 0.9


def test_ways_keep_their_length_on_a_cylinder() -> None:
    """A rolled-out cylinder stretches nothing: the part along the surface and the part across make up the whole."""
    piece = panels(1, 0.05, 0.05, 0.3, columns=97)[0]
    along, facing = ways_on(piece, np.array([0.6, 0.0, 0.8]))
    assert (along**2).sum(axis=1) + facing**2 == pytest.approx(np.ones(len(facing)), abs=2e-3)


def test_a_piece_seen_from_outside_is_refused() -> None:
    piece = ell()
    mirrored = replace(piece, flat=piece.flat * [-1.0, 1.0], outline=piece.outline[::-1].copy())
    with pytest.raises(ValueError, match="outside up"):
        mark(pattern_of([mirrored]))


def test_a_piece_that_overlaps_itself_is_refused() -> None:
    piece = rectangle(0.2, 0.2)
    crossed = replace(piece, flat=np.array([[0, 0], [0.2, 0.2], [0.2, 0], [0.01, 0.25]]), faces=piece.faces[:, ::-1])
    crossed = replace(crossed, faces=np.array([[0, 1, 2]]))
    with pytest.raises(SightlineError, match="overlaps itself"):
        mark(pattern_of([crossed]))


def test_an_edge_without_partner_is_refused() -> None:
    one, _ = panels(2)
    with pytest.raises(SightlineError, match="no partner"):
        mark(pattern_of([one]))


def test_a_dart_has_its_end_and_its_marks() -> None:
    (made,) = mark(pattern_of([with_dart()]))
    assert [ring.centre_m for ring in made.rings if ring.name == "dart 1"] == [(0.1, 0.1)]
    assert any(le.text == "dart end" for le in made.letters)
    assert [notch.number for notch in made.notches] == [1, 1]
    # Both marks go away from the slit, into the foam.
    assert made.notches[0].inward[0] < -0.9
    assert made.notches[1].inward[0] > 0.9


def test_fold_only_where_both_halves_are_alike() -> None:
    assert len(mark(pattern_of(panels(2)))[0].folds) == 2
    assert mark(pattern_of([ell()]))[0].folds == ()
    # Three quarters of a millimetre more on one side is no fold.
    off = polygon_piece(np.array([[0, 0], [0.2, 0], [0.2, 0.2], [0.1015, 0.3], [0, 0.2]]))
    even = polygon_piece(np.array([[0, 0], [0.2, 0], [0.2, 0.2], [0.1, 0.3], [0, 0.2]]))
    assert mark(pattern_of([off]))[0].folds == ()
    assert len(mark(pattern_of([even]))[0].folds) == 2


def test_seams_crossed_by_another_are_numbered_through() -> None:
    """One seam in two stretches: every number still is one pair."""
    four = panels(4)
    renamed = [
        replace(p, edges=tuple(replace(e, seam="round") if e.kind == "seam" else e for e in p.edges)) for p in four
    ]
    numbers = [notch.number for piece in mark(pattern_of(renamed)) for notch in piece.notches]
    assert sorted(numbers) == sorted(2 * list(range(1, len(numbers) // 2 + 1)))


def test_the_same_marks_every_time() -> None:
    one, two = (mark(pattern_of(panels(2)), WAYS) for _ in range(2))
    assert [p.letters for p in one] == [p.letters for p in two]
    assert [p.arrows for p in one] == [p.arrows for p in two]


@pytest.mark.parametrize("family", ["DejaVu Sans"])
def test_letters_are_no_wider_than_taken(family: str) -> None:
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    font = FontProperties(family=family)
    capital = TextPath((0, 0), "H", size=100, prop=font).get_extents().height
    characters = "".join(chr(c) for c in range(33, 127) if chr(c) != "$") + "éßøŠ"
    for text in [*characters, INSIDE, "GRAIN: to the shoulder", "ease +2.5 mm", "upper outer", "12 of 14", "WWWMMM@@"]:
        # One by one between two strokes, so that the room that a letter keeps free beside it is in.
        extents = TextPath((0, 0), f"I{text}I", size=100, prop=font).get_extents()
        assert extents.width <= words_width(f"I{text}I", capital) * 1.001, text
        own = TextPath((0, 0), text, size=100, prop=font).get_extents()
        if text in "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789,;:+-":
            assert own.y0 >= -BELOW * capital
            assert own.y1 <= (1.0 + ABOVE) * capital


def test_lines_are_balanced() -> None:
    assert balanced("one two three four", 2) == ["one two", "three four"]
    assert balanced("one", 3) == ["one"]
    assert " ".join(balanced(INSIDE, 3)) == INSIDE


def test_edges_of_the_test_pieces_are_what_they_say() -> None:
    """The panels' sector: arm-like cone of references.md section 12, radii and angle by the formulas there."""
    (piece,) = panels(1, 310.06 / 2 / np.pi / 1000, 175.92 / 2 / np.pi / 1000, 0.26788, columns=97)
    radii = np.linalg.norm(piece.flat, axis=1)
    assert radii.max() == pytest.approx(0.6211587, rel=5e-4)
    assert radii.min() == pytest.approx(0.3524293, rel=5e-4)
    assert isinstance(piece.edges[0], Edge)
