"""How well a false limb's skin or sleeve matches the real one in a photograph beside a white card: a word for the scene.

Colours are sRGB (IEC 61966-2-1) divided by the card, so that exposure and the lamp's tint fall out to a first order. Two
answers are asked and the worse is taken: contrast of luminance, |Y1 - Y2| / max, as the scene's contrast is meant; and the
colour difference CIEDE2000 (CIE 142-2001; formula as in Sharma, Wu and Dalal 2005, Color Res. Appl. 30:21, from memory).
A camera bends tones and mixes lamps: from a photo, rough.
"""

from __future__ import annotations

import io
import math
import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.scene.fields import CONTRAST_WORDS

Lab = tuple[float, float, float]
Picture = NDArray[np.float32]

# sRGB to XYZ of D65, rows X, Y, Z (IEC 61966-2-1, from memory).
RGB_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
# Up to which CIEDE2000 a word holds; about 1 is the least that is told side by side. Common practice, no source.
DIFFERENCE_WORDS = {"matched": 2.0, "close": 4.0, "visible": 12.0, "strong": 25.0, "stark": math.inf}
# Half the side of a picked square, as a share of the shorter side of the picture; at least two pixels.
PICK_SHARE, LEAST_PICK = 0.01, 2
# A card as bright as this is burnt out, one darker than this is no white card; an area that varies more is no even one.
BURNT, LEAST_WHITE, UNEVEN = 0.985, 0.2, 0.25
MOST_PIXELS = 60_000_000


@dataclass(frozen=True)
class Match:
    """`contrast` of luminance 0..1, `difference` CIEDE2000, the word for the scene, and what to be wary of."""

    contrast: float
    difference: float
    word: str
    warnings: tuple[str, ...]


def match(
    picture: FloatArray | Picture, real: tuple[int, int], false: tuple[int, int], white: tuple[int, int]
) -> Match:
    """`picture` (down, across, 3) in 0..1 as stored; places are pixels from the upper left (x, y). Raises SightlineError."""
    areas = {name: area(picture, at, name) for name, at in (("real", real), ("false", false), ("white", white))}
    linear = {name: linear_rgb(pixels).mean(axis=0) for name, pixels in areas.items()}
    card = linear["white"]
    if float(card.min()) < LEAST_WHITE**2.2:
        raise SightlineError("What was picked as white is dark; pick the white card, in the same light as both limbs.")
    shown = {name: linear[name] / card for name in ("real", "false")}
    if max(float(luminance(rgb)) for rgb in shown.values()) > 1.0:
        raise SightlineError(
            "A limb is brighter than the white card; photograph the card in the same light, turned the same way."
        )
    a, b = (float(luminance(shown[name])) for name in ("real", "false"))
    contrast = abs(a - b) / max(a, b, 1e-6)
    difference = ciede2000(lab(shown["real"]), lab(shown["false"]))
    return Match(contrast, difference, word_of(contrast, difference), tuple(_wary(areas)))


def word_of(contrast: float, difference: float) -> str:
    """The worse of the two words; doubt counts against the match."""
    words = list(CONTRAST_WORDS)
    by_contrast = next((k for k, word in enumerate(words) if contrast <= CONTRAST_WORDS[word]), len(words) - 1)
    by_difference = next(k for k, word in enumerate(words) if difference <= DIFFERENCE_WORDS[word])
    return words[max(by_contrast, by_difference)]


def area(picture: FloatArray | Picture, at: tuple[int, int], name: str) -> FloatArray:
    """The pixels (n, 3) of a small square about a place. Raises SightlineError for one outside."""
    down, across = picture.shape[:2]
    x, y = at
    if not (0 <= x < across and 0 <= y < down):
        raise SightlineError(
            f"--{name} {x},{y} is outside the picture, which is {across} pixels across and {down} down."
        )
    half = max(LEAST_PICK, round(PICK_SHARE * min(across, down)))
    square = picture[max(y - half, 0) : y + half + 1, max(x - half, 0) : x + half + 1, :3]
    return square.astype(float).reshape(-1, 3)


def _wary(areas: dict[str, FloatArray]) -> list[str]:
    out = []
    if float(areas["white"].mean(axis=0).max()) > BURNT:
        out.append("The white card is burnt out, so the figures are too low or too high: photograph it darker.")
    for name in ("real", "false"):
        y = luminance(linear_rgb(areas[name]))
        if float(y.std()) > UNEVEN * max(float(y.mean()), 1e-6):
            out.append(f"The area picked on the {name} limb is not even: pick one without seam, shine or shadow.")
    return out


def linear_rgb(srgb: FloatArray) -> FloatArray:
    """Light from stored values (..., 3), both 0..1 (IEC 61966-2-1)."""
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)


def luminance(linear: FloatArray) -> FloatArray:
    return np.asarray(linear @ RGB_XYZ[1])


def lab(linear: FloatArray) -> Lab:
    """CIE 1976 L*a*b* of linear RGB (3,), white at (1, 1, 1) (CIE 15; from memory)."""
    ratio = (RGB_XYZ @ linear) / RGB_XYZ.sum(axis=1)
    x, y, z = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29).tolist()
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def ciede2000(one: Lab, other: Lab) -> float:
    """The colour difference with all three weights 1."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    # A greyer a axis near neutral.
    c7 = ((math.hypot(a1, b1) + math.hypot(a2, b2)) / 2) ** 7
    g = 0.5 * (1 - math.sqrt(c7 / (c7 + 25.0**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0 for a, b in ((a1, b1), (a2, b2)))
    # Hues are compared and averaged the short way round; a grey has none.
    grey = c1 * c2 == 0
    turn = 0.0 if grey else math.remainder(h2 - h1, 360.0)
    if turn == -180.0:
        turn = 180.0
    middle = h1 + h2 if grey else (h1 + turn / 2) % 360
    dl, dc, dh = l2 - l1, c2 - c1, 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn) / 2)
    lm, cm = (l1 + l2) / 2, (c1 + c2) / 2
    t = (
        1 - 0.17 * _cos(middle - 30) + 0.24 * _cos(2 * middle) + 0.32 * _cos(3 * middle + 6) - 0.20 * _cos(4 * middle - 63)
    )  # fmt: skip
    sl = 1 + 0.015 * (lm - 50) ** 2 / math.sqrt(20 + (lm - 50) ** 2)
    sc, sh = 1 + 0.045 * cm, 1 + 0.015 * cm * t
    around = 30 * math.exp(-(((middle - 275) / 25) ** 2))
    rt = -2 * math.sqrt(cm**7 / (cm**7 + 25.0**7)) * math.sin(math.radians(2 * around))
    return math.sqrt(max((dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rt * (dc / sc) * (dh / sh), 0.0))


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def read_picture(data: bytes, name: str) -> Picture:
    """(down, across, 3) in 0..1 of a PNG or JPEG. Raises SightlineError where it is none, or too large."""
    from matplotlib.image import imread
    from PIL import Image

    kind = "png" if data.startswith(b"\x89PNG") else "jpeg" if data.startswith(b"\xff\xd8") else None
    if kind is None:
        raise SightlineError(f"'{name}' is no picture this reads; save it as PNG or JPEG.")
    try:
        with warnings.catch_warnings():
            # A tiny file that would fill the memory is refused by the reader with a warning.
            warnings.simplefilter("error")
            with Image.open(io.BytesIO(data), formats=(kind,)) as header:
                across, down = header.size
            if across * down > MOST_PIXELS:
                raise SightlineError(
                    f"'{name}' has more than {MOST_PIXELS // 1_000_000} million pixels; make it smaller."
                )
            pixels = np.asarray(imread(io.BytesIO(data), format=kind))
    except SightlineError:
        raise
    except Exception as error:
        # Readers of a foreign format fail in any way they like; all of it means the same to the user.
        raise SightlineError(
            f"'{name}' cannot be read as a picture; open it, save it again as PNG and try once more."
        ) from error
    if pixels.ndim == 2:
        pixels = np.broadcast_to(pixels[..., None], (*pixels.shape, 3))
    # In single precision and in place: a large photo must not fill the memory.
    scaled = pixels[..., :3].astype(np.float32, copy=False)
    if pixels.dtype == np.uint8:
        scaled /= 255.0
    return scaled
