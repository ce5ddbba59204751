"""All that is written on the inside of every piece, so that it is cut once, glued to the right partner, and worn the right way."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray
from sightline.pattern.arrows import UP, Way, nearest_piece, write_grain, write_way
from sightline.pattern.flatshape import inward_sign, polygon_of, seen_from_inside
from sightline.pattern.marked import MarkedPiece, Ring
from sightline.pattern.notches import SPACING_M, EdgeMarks, ease_words, edge_marks
from sightline.pattern.pattern import Pattern
from sightline.pattern.piece import Edge, Piece
from sightline.pattern.writing import LEAST_M, Line, Writing

INSIDE = "INSIDE: this side in, the other side out"
INSIDE_ROWS = (
    [INSIDE],
    ["INSIDE: this side in,", "the other side out"],
    ["INSIDE:", "this side in,", "other side out"],
)
# Sizes of marks and words, largest first. Common practice, no source.
TICK_M = 0.006
NUMBER_M = (0.004, LEAST_M)
SIDE_M = (0.040, 0.032, 0.025, 0.020, 0.016, 0.0125, 0.010, 0.008)
WORDS_M = (0.006, 0.005, 0.004, 0.0035, LEAST_M)
FOLD_M = 0.015
# Characters of a name that are written on a piece.
LONGEST = 60
DART_RING_M = 0.002
# The letters of the side are at most this share of the square root of a piece's area, so that the rest has room.
SIDE_SHARE = 0.10
# Two outlines farther apart than this when one is turned over are no fold.
FOLD_OFF_M = 0.0005
# Sizes to try, as shares of the largest, and whether a fold is drawn.
SCALES = ((1.0, True), (0.7, True), (0.5, True), (0.35, True), (0.35, False), (0.2, False), (0.1, False))


def mark(pattern: Pattern, ways: Sequence[Way] = (UP,), spacing_m: float = SPACING_M) -> tuple[MarkedPiece, ...]:
    """Every piece with its marks. Marks of seams lie about `spacing_m` apart (see notches.py).

    Raises SightlineError for a piece that overlaps itself or an edge without partner, ValueError for a piece that is
    not seen from its inside (its words would come out mirrored).
    """
    edges = edge_marks(pattern, spacing_m)
    by_facing = {way.name: nearest_piece(pattern.pieces, way) for way in ways}
    return tuple(
        _marked(piece, pattern.limb, pattern.skin.side, [m for m in edges if m.piece == piece.number], ways, by_facing)
        for piece in pattern.pieces
    )


def _marked(
    piece: Piece, limb: str, side: Side, edges: Sequence[EdgeMarks], ways: Sequence[Way], nearest: dict[str, int]
) -> MarkedPiece:
    if not seen_from_inside(piece):
        raise ValueError(f"piece {piece.number} lies with its outside up; its marks would be mirrored")
    polygon = polygon_of(piece)
    # Smaller and smaller until all has room; else the try that leads least words outside.
    tries: list[Writing] = []
    for scale, folded in SCALES:
        writing = Writing(polygon, scale)
        _written(writing, piece, limb, side, edges, ways, nearest, folded)
        tries.append(writing)
        if not writing.leaders:
            break
    # The side of the body weighs most: a limb that was built twice for one side is the dearest fault.
    writing = min(tries, key=lambda tried: sum(20 if led.saying == "side" else 1 for led in tried.leaders))
    notches = tuple(notch for marks in edges for notch in marks.notches)
    intervals = tuple(interval for marks in edges for interval in marks.intervals)
    return MarkedPiece(
        piece, limb, side, np.asarray(piece.flat[piece.outline]), notches, intervals, tuple(writing.ticks),
        tuple(writing.arrows), tuple(writing.rings), tuple(writing.folds), tuple(writing.letters), tuple(writing.leaders),
    )  # fmt: skip


def _written(
    writing: Writing, piece: Piece, limb: str, side: Side, edges: Sequence[EdgeMarks], ways: Sequence[Way],
    nearest: dict[str, int], folded: bool,
) -> None:  # fmt: skip
    spot = writing.room.widest_spot()
    # What must stand at its place first, then by what a builder misses most.
    darts = _rings(writing, piece)
    if folded:
        _fold(writing, [at for _, at in darts])
    _seam_marks(writing, edges)
    for _, at in darts:
        if not writing.words("dart end", "dart", NUMBER_M, at, 0.025):
            writing.lead("dart end", "dart", at)
    _names(writing, piece, limb, side, spot)
    write_grain(writing, spot)
    for way in ways:
        write_way(writing, piece, way, nearest[way.name] == piece.number, spot)
    _edge_names(writing, piece)


def _seam_marks(writing: Writing, edges: Sequence[EdgeMarks]) -> None:
    inner = [
        (notch, writing.tick(notch.number, notch.at_m, notch.inward, TICK_M)) for m in edges for notch in m.notches
    ]
    for notch, end in inner:
        if not writing.words(str(notch.number), "notch", NUMBER_M, end + 0.004 * notch.inward, 0.010, turns="0"):
            writing.lead(f"mark {notch.number}", "notch", notch.at_m)
    for interval in (i for m in edges for i in m.intervals):
        said = ease_words(interval.ease_m)
        if said and not writing.words(
            said, "ease", (0.0035, LEAST_M), interval.middle_m + 0.005 * interval.inward, 0.020
        ):
            ends = " to ".join("end" if n is None else str(n) for n in (interval.start, interval.end))
            writing.lead(f"{said}, {ends}", "ease", interval.middle_m)


def dart_ends(piece: Piece) -> list[tuple[str, FloatArray]]:
    """The darts that end within the piece: name, and where (2,) on the table both edges meet."""
    sides: dict[str, list[Edge]] = {}
    for edge in piece.edges:
        if edge.kind == "dart":
            sides.setdefault(edge.seam, []).append(edge)
    out = []
    for name, pair in sides.items():
        ends = [{int(edge.nodes[0]), int(edge.nodes[-1])} for edge in pair]
        for k, one in enumerate(ends):
            out += [(name, piece.flat[node]) for other in ends[k + 1 :] for node in sorted(one & other)]
    return out


def _rings(writing: Writing, piece: Piece) -> list[tuple[str, FloatArray]]:
    darts = dart_ends(piece)
    for name, at in darts:
        writing.rings.append(Ring(name, (float(at[0]), float(at[1])), DART_RING_M))
        size = 2 * DART_RING_M + 0.001
        writing.room.take_box(float(at[0]) - size / 2, float(at[1]) - size / 2, size, size)
    return darts


def _names(writing: Writing, piece: Piece, limb: str, side: Side, spot: FloatArray) -> None:
    name, limb = (text if len(text) <= LONGEST else text[: LONGEST - 3] + "..." for text in (piece.name, limb))
    count = f"{piece.number} of {piece.of}"
    largest = SIDE_SHARE * float(writing.polygon.area) ** 0.5 * writing.scale
    for height in (h for h in SIDE_M if h <= largest or h == SIDE_M[-1]):
        for turns in ("0", "90"):
            for rows in INSIDE_ROWS:
                lines = [
                    Line(side.upper(), 1.0, "side"), Line(name, 0.4, "name"), Line(limb, 0.3, "limb"), Line(count, 0.4, "count"),
                    *(Line(text, 0.25, "inside") for text in rows),
                ]  # fmt: skip
                if writing.block(lines, height, spot, turns=turns):
                    return
    # Too narrow for the block: each line where it fits, in as many lines as it has words. The number comes first: with
    # it, what is written beside the piece or under the sheet can be found.
    written = writing.words(count, "count", WORDS_M, spot, most_lines=2)
    if not written and not writing.words(str(piece.number), "count", WORDS_M, spot):
        writing.lead(count, "count", spot)
    if not writing.words(side.upper(), "side", (*SIDE_M, *WORDS_M), spot):
        writing.lead(side.upper(), "side", spot)
    if not writing.words(INSIDE, "inside", WORDS_M, spot, most_lines=4):
        writing.lead(INSIDE, "inside", spot)
    if not writing.words(name, "name", WORDS_M, spot, most_lines=3):
        writing.lead(name, "name", spot)
    if not writing.words(limb, "limb", WORDS_M, spot, most_lines=3):
        writing.lead(limb, "limb", spot)


def _fold(writing: Writing, darts: Sequence[FloatArray]) -> None:
    """A piece that is its own mirror image about an upright line has a fold there; foam is not folded, so the line is
    only begun at both ends. It serves a cover cut from the same pattern, and to check a cut piece against itself."""
    from shapely import LineString
    from shapely.affinity import scale

    polygon = writing.polygon
    low_x, low_y, high_x, high_y = polygon.bounds
    middle = (low_x + high_x) / 2
    turned = scale(polygon, -1.0, 1.0, origin=(middle, 0.0))
    if polygon.exterior.hausdorff_distance(turned.exterior) > FOLD_OFF_M:
        return
    crossing = LineString([(middle, low_y - 1.0), (middle, high_y + 1.0)]).intersection(polygon)
    if crossing.geom_type != "LineString" or crossing.length < 3 * FOLD_M:
        return
    ends = sorted(y for _, y in crossing.coords)
    for at, way in ((ends[0], 1.0), (ends[1], -1.0)):
        # The end of a dart in the middle says where the fold is.
        if any(float(np.hypot(dart[0] - middle, dart[1] - at)) < 0.005 for dart in darts):
            continue
        line = np.array([[middle, at + way * 0.002], [middle, at + way * (0.002 + FOLD_M)]])
        writing.folds.append(line)
        writing.room.take_line(line, 0.001)
    writing.words("fold", "fold", NUMBER_M, np.array([middle, ends[1] - FOLD_M]), 0.015, turns="90")


def _edge_names(writing: Writing, piece: Piece) -> None:
    """What each edge is, where there is room; the numbers say it without."""
    for edge in piece.edges:
        if edge.kind == "dart":
            continue
        points = piece.flat[edge.nodes]
        walked = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
        middle = np.array([np.interp(walked[-1] / 2, walked, points[:, k]) for k in range(2)])
        run = points[-1] - points[0]
        step = points[min(len(points) // 2 + 1, len(points) - 1)] - points[max(len(points) // 2 - 1, 0)]
        size = float(np.linalg.norm(step))
        inward = np.array([-step[1], step[0]]) / size * inward_sign(piece, edge) if size > 0 else np.zeros(2)
        turns = "90" if abs(run[1]) > abs(run[0]) else "0"
        writing.words(edge.seam, "edge", (0.004, LEAST_M), middle + 0.010 * inward, 0.035, turns=turns)
