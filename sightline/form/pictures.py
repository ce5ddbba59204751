"""The small picture beside each question: line drawings of our own, with what is asked for in the accent colour.

Boxes are seen over the performer's shoulder, so that the performer's left is left; plans have the audience below.
"""

from __future__ import annotations

from html import escape

from sightline.form.bodies import body_picture


def picture(name: str) -> str:
    """An SVG element for a picture name; the frame alone for a name that has none."""
    if name.startswith("body-") and name != "body-mass":
        return body_picture(name.removeprefix("body-"))
    inside = _PICTURES.get(name, "")
    return svg(inside)


def svg(inside: str, view: str = "0 0 120 120") -> str:
    return f'<svg viewBox="{view}" aria-hidden="true" focusable="false">{inside}</svg>'


def line(x1: float, y1: float, x2: float, y2: float, css: str = "") -> str:
    cls = f' class="{css}"' if css else ""
    return f'<path{cls} d="M{x1:g} {y1:g}L{x2:g} {y2:g}"/>'


def dim(x1: float, y1: float, x2: float, y2: float, tick: float = 4) -> str:
    """A measured length: a line in the accent colour with a tick square to it at each end."""
    length = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5, 1e-9)
    nx, ny = -(y2 - y1) / length * tick, (x2 - x1) / length * tick
    ends = "".join(f"M{x - nx:.1f} {y - ny:.1f}L{x + nx:.1f} {y + ny:.1f}" for x, y in ((x1, y1), (x2, y2)))
    return f'<path class="hi" d="M{x1:g} {y1:g}L{x2:g} {y2:g}{ends}"/>'


def path(d: str, css: str = "") -> str:
    cls = f' class="{css}"' if css else ""
    return f'<path{cls} d="{d}"/>'


def oval(cx: float, cy: float, rx: float, ry: float | None = None, css: str = "", more: str = "") -> str:
    cls = f' class="{css}"' if css else ""
    return f'<ellipse{cls} cx="{cx:g}" cy="{cy:g}" rx="{rx:g}" ry="{rx if ry is None else ry:g}"{more}/>'


def label(x: float, y: float, text: str, css: str = "") -> str:
    return f'<text x="{x:g}" y="{y:g}" class="{css}">{escape(text)}</text>'


def _box(lean: int = 1, is_open: bool = False) -> str:
    """A box over the shoulder: its back wall near, its side on the right (lean 1) or left (-1) in sight."""
    left, right, dx = (18, 78, 24) if lean > 0 else (42, 102, -24)
    side = right if lean > 0 else left
    near = path(f"M{left} 52H{right}V102H{left}Z", "skin")
    top = path(f"M{left} 52L{left + dx} 30H{right + dx}L{right} 52Z", "" if is_open else "skin")
    wall = path(f"M{side} 52L{side + dx} 30V80L{side} 102Z", "skin")
    inside = path(f"M{left} 52L{left + dx} 30V40M{left + dx} 40L{right + dx - 8} 40", "thin") if is_open else ""
    return top + near + wall + inside


def _back(hole: str, more: str = "") -> str:
    """The back wall, straight on."""
    return path("M12 26H108V98H12Z", "skin") + hole + more


_ROUND = oval(60, 62, 20, css="hole")
_SLOT = '<rect class="hole" x="32" y="44" width="56" height="36" rx="18"/>'
_MIDDLE = path("M60 26V98M12 62H108", "thin dash")
_OFF = oval(44, 50, 12, css="hole") + path("M40 50h8M44 46v8", "thin")


def _side(box: str = "") -> str:
    """The performer from the side, facing the audience on the right, and the floor."""
    body = oval(34, 20, 8, 9, "skin") + path("M28 31Q24 50 28 66L28 108H44M28 66L40 66M38 31Q43 48 40 66L40 104", "")
    return line(6, 110, 116, 110, "thin") + body + path("M34 36L46 58L66 56") + (box or _held(0))


def _held(turn: int) -> str:
    return f'<rect class="skin" x="64" y="42" width="36" height="28" transform="rotate({turn} 82 56)"/>'


def _above(box_x: float = 60) -> str:
    """The performer from above, facing up the picture."""
    shoulders = oval(60, 92, 26, 9, "skin") + oval(60, 92, 9, 10, "skin") + path("M57 82L60 78L63 82")
    return shoulders + path(f"M{box_x - 24:g} 26H{box_x + 24:g}V62H{box_x - 24:g}Z", "skin")


def _owl(x: float, y: float, size: float = 1.0) -> str:
    s = size
    return (
        path(f"M{x - 13 * s:g} {y - 24 * s:g}L{x - 9 * s:g} {y - 19 * s:g}"
             f"Q{x:g} {y - 24 * s:g} {x + 9 * s:g} {y - 19 * s:g}"
             f"L{x + 13 * s:g} {y - 24 * s:g}Q{x + 19 * s:g} {y + 4 * s:g} {x + 9 * s:g} {y + 18 * s:g}H{x - 9 * s:g}"
             f"Q{x - 19 * s:g} {y + 4 * s:g} {x - 13 * s:g} {y - 24 * s:g}Z", "skin")
        + oval(x - 5 * s, y - 10 * s, 4 * s) + oval(x + 5 * s, y - 10 * s, 4 * s)
        + path(f"M{x - 2 * s:g} {y - 5 * s:g}L{x:g} {y - 1 * s:g}L{x + 2 * s:g} {y - 5 * s:g}")
    )  # fmt: skip


def _scale(thing: str) -> str:
    return thing + path("M28 84H92L86 96H34Z", "skin") + path("M44 96V108H76V96") + path("M52 102h16", "hi")


def _plan(more: str = "") -> str:
    """A house: stage above, rows of seats below, the centre line and the plaster line."""
    rows = "".join(
        path(f"M{20 - 4 * i} {74 + 12 * i}Q60 {86 + 13 * i} {100 + 4 * i} {74 + 12 * i}", "seats") for i in range(3)
    )
    stage = path("M22 14H98V56Q60 64 22 56Z", "skin")
    return stage + path("M60 8V112M16 44H104", "thin dash") + rows + label(88, 25, "SL") + label(32, 25, "SR") + more


_CROSS = path("M72 24l8 8M80 24l-8 8", "hi")


def _chairs(colours: tuple[str, str, str]) -> str:
    out = ""
    for x, css in zip((12, 48, 84), colours, strict=True):
        out += path(f"M{x} 44V74H{x + 24}M{x} 74V98M{x + 24} 74V98", css)
    return out


def _eye(x: float, y: float, css: str = "hi") -> str:
    return path(f"M{x - 14:g} {y:g}q14 -13 28 0q-14 13 -28 0z", css) + oval(x, y, 4, css=css)


def _heads(over: str) -> str:
    return oval(28, 92, 12, css="skin") + oval(60, 84, 12, css="skin") + oval(92, 92, 12, css="skin") + over


def _arm(more: str) -> str:
    return (
        path("M30 20Q24 24 26 34L46 74Q52 82 62 78L98 62Q104 58 100 53Q97 50 92 52L62 64L44 28Q40 18 30 20Z", "skin")
        + more
    )


_HAND = path(
    "M2 10Q0 2 6 2H18Q22 2 22 6Q22 9 18 9H14L26 12Q29 14 27 17Q30 19 28 22Q30 25 27 27L12 30Q4 30 2 22Z", "hi skin"
)

_PALM = oval(80, 46, 6, css="hi") + path("M76 46h8M80 42v8", "thin")

_PICTURES: dict[str, str] = {
    "title": path("M26 18H94V102H26Z", "skin") + path("M40 42H80", "hi") + path("M40 58H80M40 70H80M40 82H66", "thin"),
    "hide": (
        oval(60, 22, 11, 13, "skin") + path("M54 35V40Q40 42 37 50L40 96H80L83 50Q80 42 66 40V35", "skin")
        + path("M83 50Q94 66 88 84") + path("M37 50Q26 66 32 84", "hi dash")
        + label(22, 104, "left") + label(98, 104, "right")
    ),
    "tables": (
        oval(38, 28, 9, 11, "skin") + path("M24 102Q22 50 38 44Q54 50 52 102", "skin")
        + oval(82, 24, 9, 11, "skin") + path("M66 102Q60 46 82 40Q104 46 98 102", "skin")
    ),
    "body-mass": _scale(path("M46 84V60Q48 44 60 42Q72 44 74 60V84", "skin") + oval(60, 30, 9, 11, "skin")),
    "box-width": _box() + dim(18, 112, 78, 112),
    "box-depth": _box() + dim(86, 108, 110, 86),
    "box-height": _box() + dim(9, 52, 9, 102),
    "box-wall": (
        path("M14 20H106V28H22V112H14Z", "skin") + path("M22 112V28H106V20H14V112") + dim(14, 70, 22, 70)
        + path("M32 70H62", "hi") + label(80, 74, "mm", "hit")
    ),
    "box-top": path("M18 52L42 30H102L78 52Z", "hi") + _box(1, True) + path("M18 52L42 30H102L78 52Z", "hi"),
    "box-mass": _scale(path("M38 46H82V84H38Z", "skin") + path("M38 46L46 38H90L82 46M90 38V78L82 84")),
    "opening-shape": (
        _back(oval(32, 62, 13, css="hi") + '<rect class="hi" x="50" y="52" width="24" height="20" rx="10"/>'
              '<rect class="hi" x="80" y="50" width="22" height="24"/>')
    ),
    "opening-diameter": _back(_ROUND, dim(40, 62, 80, 62)),
    "opening-width": _back(_SLOT, dim(32, 62, 88, 62)),
    "opening-height": _back(_SLOT, dim(60, 44, 60, 80)),
    "opening-across": _back(_OFF, _MIDDLE + dim(44, 84, 60, 84)),
    "opening-up": _back(_OFF, _MIDDLE + dim(26, 50, 26, 62)),
    "at-ahead": _side() + line(34, 32, 34, 92, "thin dash") + dim(34, 88, 82, 88) + line(82, 56, 82, 92, "thin dash"),
    "at-up": _side() + oval(82, 56, 2, css="hi") + dim(82, 56, 82, 110),
    "at-tilt": _side(_held(18)) + path("M58 51H112", "thin dash") + path("M108 51A30 30 0 0 1 106 66", "hi"),
    "at-left": _above(46) + line(60, 20, 60, 110, "thin dash")
    + line(46, 14, 46, 62, "thin dash") + dim(46, 14, 60, 14),
    "visible-hand": _box() + '<g transform="translate(34 98) scale(.95) rotate(-8)">' + _HAND + "</g>",
    "hand-wall": _box(-1) + f'<g transform="translate(16 58)">{_HAND}</g>',
    "hand-across": _back("", _MIDDLE + _PALM + dim(60, 84, 80, 84) + label(88, 114, "you >")),
    "hand-up": _back("", _MIDDLE + _PALM + dim(34, 46, 34, 62) + label(88, 114, "you >")),
    "hand-elbow": _arm(
        path("M36 30L55 70L94 54", "thin dash") + path("M55 70L66 93", "thin dash")
        + path("M61 83A15 15 0 0 0 69 64", "hi")
    ),
    "seams": _arm(path("M36 26L54 68Q58 74 66 70L94 58", "hi dash")),
    "grip-left": _above() + line(60, 20, 60, 68, "thin dash") + oval(50, 44, 5, css="hi") + dim(50, 14, 60, 14),
    "grip-back": _above() + line(30, 44, 94, 44, "thin dash") + oval(60, 54, 5, css="hi") + dim(98, 44, 98, 54),
    "grip-up": _side() + line(60, 56, 106, 56, "thin dash") + oval(82, 48, 5, css="hi") + dim(108, 48, 108, 56),
    "puppet-height": _owl(54, 64, 1.9) + dim(104, 18, 104, 98),
    "puppet-mass": _scale(_owl(60, 60, 1.3)),
    "venue": _plan(path("M22 14H98V56Q60 64 22 56Z", "hi")),
    "mark-x": _plan(_CROSS + dim(60, 37, 76, 37)),
    "mark-y": _plan(_CROSS + dim(66, 28, 66, 44)),
    "facing": (
        oval(60, 42, 26, 10, "skin", ' transform="rotate(-24 60 42)"') + oval(60, 42, 9, css="skin")
        + line(60, 42, 60, 108, "thin dash") + path("M60 42L87 102M87 102L76 93M87 102L90 88", "hi")
        + path("M60 78A36 36 0 0 0 75 75", "hi") + path("M8 114Q60 122 112 114", "seats")
    ),
    "heads": _heads(oval(60, 20, 8, css="hi") + path("M60 28V50M28 80L60 24M92 80L60 24", "hi dash")),
    "require": _chairs(("hi", "", "")) + _eye(24, 26) ,
    "eye-kind": _eye(60, 40) + path("M40 76H80V100H40Z", "skin") + oval(60, 88, 8) + path("M80 82L94 76V100L80 94"),
    "eye-x": _plan(_eye(84, 92) + dim(60, 108, 84, 108)),
    "eye-y": _plan(_eye(84, 96) + dim(84, 44, 84, 86)),
    "eye-up": (
        line(6, 108, 114, 108, "thin") + path("M8 108V92H50V108", "skin") + _eye(88, 46)
        + line(50, 92, 100, 92, "thin dash") + dim(88, 54, 88, 92)
    ),
}  # fmt: skip
