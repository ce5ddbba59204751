"""Pictures of the body sheet: a figure, a hand or a foot with the tape in the accent colour, drawn close to it."""

from __future__ import annotations

_FIGURE = (
    '<path class="skin" d="M57 22V26Q50 27 47 30L41 48L38 62L36.5 73H41L43 62L46.5 48L50 38V50L49 62L50 82L51 106'
    "L47 110.500H57L58 84L60 64L62 84L63 110.500H73L69 106L70 82L71 62L70 50V38L73.5 48L77 62L79 73H83.500L82 62L79 48"
    'L73 30Q70 27 63 26V22Z"/><ellipse class="skin" cx="60" cy="16" rx="6.6" ry="8"/>'
)
_HAND = (
    '<path class="skin" d="M47 116V98Q40 92 40 78V44Q40 39 44.5 39Q49 39 49 44V62V28'
    "Q49 23 53.7 23Q58.5 23 58.5 28V60V22Q58.5 17 63 17Q67.5 17 67.5 22V62V30Q67.5 25 72 25Q76.5 25 76.5 30V72"
    'L86 60Q90 56 93.5 59Q96 62 93 67L79 92Q75 98 74 101V116"/>'
)
_FIST = (
    '<path class="skin" d="M46 116V94Q36 84 38 62Q40 46 62 46Q84 46 84 64V84Q84 92 76 96V116"/>'
    '<path class="thin" d="M50 48V72M61 46V72M72 47V72M44 74Q66 68 84 78"/>'
)
_FOOT = (
    '<path class="skin" d="M56 108Q44 108 45 92Q48 70 40 52Q34 30 44 20Q50 14 56 18Q74 20 80 36Q84 50 76 70'
    'Q70 84 70 96Q68 108 56 108Z"/>'
)

Spot = tuple[float, float]

# measure -> (from, to) of a straight tape, and the part of the figure that is shown: x, y, side of the square.
_STRAIGHT: dict[str, tuple[Spot, Spot, tuple[float, float, float]]] = {
    "height": ((95, 8), (95, 110.5), (0, 0, 120)),
    "eye_height": ((95, 15), (95, 110.5), (0, 0, 120)),
    "shoulder_height": ((95, 28), (95, 110.5), (0, 0, 120)),
    "inside_leg": ((60, 64), (60, 110.5), (28, 52, 64)),
    "head_height": ((74, 8), (74, 24), (40, 0, 40)),
    "shoulder_breadth": ((47, 29), (73, 29), (36, 4, 48)),
    "shoulder_elbow": ((43.5, 29), (37.5, 48), (22, 22, 56)),
    "elbow_wrist": ((37.5, 48), (34.5, 62), (22, 22, 56)),
}
# measure -> centre and radii of the ring that the tape makes, its turn in degrees, and the part shown.
_ROUND: dict[str, tuple[float, float, float, float, float, tuple[float, float, float]]] = {
    "head": (60, 13, 7.2, 1.6, 0, (40, 0, 40)),
    "neck": (60, 24.5, 3.8, 1.1, 0, (40, 4, 40)),
    "armscye": (49, 33, 2.4, 6, 12, (32, 14, 48)),
    "chest": (60, 36, 11, 2.4, 0, (34, 14, 52)),
    "waist": (60, 49, 10.4, 2.2, 0, (34, 24, 52)),
    "hip": (60, 59, 11.2, 2.4, 0, (34, 34, 52)),
    "biceps": (46.6, 40, 3.2, 1.1, 14, (24, 22, 44)),
    "elbow": (43.8, 48, 3.0, 1.0, 14, (24, 28, 44)),
    "forearm": (42, 55, 3.0, 1.0, 10, (24, 32, 44)),
    "wrist": (40.5, 62, 2.8, 1.0, 8, (24, 38, 44)),
    "thigh": (54.2, 66, 5.2, 1.6, 0, (34, 48, 48)),
    "knee": (54, 82, 4.4, 1.4, 0, (34, 58, 48)),
    "calf": (54.3, 92, 4.2, 1.3, 0, (34, 66, 48)),
    "ankle": (54.2, 104.5, 3.8, 1.2, 0, (34, 72, 48)),
}


def body_picture(name: str) -> str:
    """The SVG for a measure of the body sheet; the bare figure for one that is not known."""
    if name in _STRAIGHT:
        start, end, view = _STRAIGHT[name]
        return _svg(_FIGURE + _helpers(start, end) + _tape(start, end, view[2] / 30), view)
    if name in _ROUND:
        cx, cy, rx, ry, turn, view = _ROUND[name]
        ring = f'<ellipse class="hi" cx="{cx}" cy="{cy}" rx="{rx}" ry="{ry}" transform="rotate({turn} {cx} {cy})"/>'
        return _svg(_FIGURE + ring, view)
    whole, tall = (0.0, 0.0, 120.0), (0.0, 4.0, 116.0)
    if name in ("across_shoulder_front", "across_shoulder_back"):
        bend = 33 if name.endswith("front") else 26.5
        side = f'<text x="60" y="44">{name.rsplit("_", 1)[1]}</text>'
        face = '<path class="thin" d="M57.5 15h1M61.5 15h1M58 19.500h4"/>' if name.endswith("front") else ""
        ends = '<path class="hi" d="M47 27V31M73 27V31"/>'
        return _svg(_FIGURE + face + f'<path class="hi" d="M47 29Q60 {bend} 73 29"/>{ends}{side}', (36, 4, 48), "small")
    if name == "hand_length":
        return _svg(
            _HAND + '<path class="thin dash" d="M40 102H82M63 17H104"/>' + _tape((104, 17), (104, 102), 4), whole
        )
    if name == "hand_breadth":
        return _svg(_HAND + _tape((39, 66), (77.5, 66), 4), whole)
    if name == "hand_girth":
        return _svg(_HAND + '<ellipse class="hi" cx="58.2" cy="66" rx="20.5" ry="6"/>', whole)
    if name == "hand_girth_over_thumb":
        return _svg(_FIST + '<ellipse class="hi" cx="61" cy="74" rx="26" ry="7"/>', whole)
    if name == "foot_length":
        return _svg(
            _FOOT + '<path class="thin dash" d="M50 17H102M56 108H102"/>' + _tape((102, 17), (102, 108), 4), tall
        )
    if name == "foot_breadth":
        return _svg(_FOOT + _tape((37, 42), (81.5, 42), 4), tall)
    return _svg(_FIGURE, whole)


def _tape(start: Spot, end: Spot, tick: float) -> str:
    (x1, y1), (x2, y2) = start, end
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    nx, ny = -(y2 - y1) / length * tick, (x2 - x1) / length * tick
    ends = "".join(f"M{x - nx:.2f} {y - ny:.2f}L{x + nx:.2f} {y + ny:.2f}" for x, y in (start, end))
    return f'<path class="hi" d="M{x1:g} {y1:g}L{x2:g} {y2:g}{ends}"/>'


def _helpers(start: Spot, end: Spot) -> str:
    """Dashed lines from the figure out to a tape that hangs beside it."""
    if start[0] != end[0] or start[0] == 60:
        return ""
    return "".join(f'<path class="thin dash" d="M62 {y:g}H{start[0]:g}"/>' for _, y in (start, end))


def _svg(inside: str, view: tuple[float, float, float], css: str = "") -> str:
    x, y, side = view
    cls = f' class="{css}"' if css else ""
    return f'<svg{cls} viewBox="{x:g} {y:g} {side:g} {side:g}" aria-hidden="true" focusable="false">{inside}</svg>'
