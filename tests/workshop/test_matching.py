"""The match of two colours in a photo: the published difference, and pictures whose answer is known."""

from __future__ import annotations

import io

import numpy as np
import pytest

from sightline.errors import SightlineError
from sightline.scene.fields import CONTRAST_WORDS
from sightline.workshop.matching import DIFFERENCE_WORDS, ciede2000, lab, linear_rgb, match, read_picture, word_of

# Sharma, Wu and Dalal 2005, Color Res. Appl. 30:21, table 1; numbers from memory. Given to four decimals.
SHARMA = [
    ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
    ((50.0, 2.8361, -74.0200), (50.0, 0.0, -82.7485), 3.4412),
    ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0000),
    ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ((50.0, 2.4900, -0.0010), (50.0, -2.4900, 0.0009), 7.1792),
    ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
    ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ((50.0, 2.5, 0.0), (50.0, 3.2592, 0.3350), 1.0000),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
]
PLACES = 6e-5


@pytest.mark.parametrize(("one", "other", "published"), SHARMA)
def test_the_published_differences(
    one: tuple[float, float, float], other: tuple[float, float, float], published: float
) -> None:
    assert ciede2000(one, other) == pytest.approx(published, abs=PLACES)
    assert ciede2000(other, one) == pytest.approx(published, abs=PLACES)


def test_lightness_by_hand() -> None:
    """L* of 18.4 % grey is 50 (CIE 15: 116 * 0.184^(1/3) - 16), of white 100; both without colour."""
    lightness, a, b = lab(np.full(3, 0.184186))
    assert (lightness, a, b) == pytest.approx((50.0, 0.0, 0.0), abs=1e-3)
    assert lab(np.ones(3)) == pytest.approx((100.0, 0.0, 0.0), abs=1e-9)


def srgb(linear: np.ndarray) -> np.ndarray:
    return np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)


def photo(real: list[float], false: list[float], light: list[float]) -> np.ndarray:
    """Three patches of known reflectance under a lamp of known colour: the picture in 0..1, stored as a camera would."""
    picture = np.zeros((60, 180, 3))
    for k, reflectance in enumerate((real, false, [1.0, 1.0, 1.0])):
        picture[:, 60 * k : 60 * k + 60] = np.array(reflectance) * light
    return srgb(picture)


AT = ((30, 30), (90, 30), (150, 30))


@pytest.mark.parametrize("light", [[0.8, 0.8, 0.8], [0.3, 0.3, 0.3], [0.8, 0.6, 0.35]])
@pytest.mark.parametrize(
    ("factor", "word"),
    [(1.0, "matched"), (0.97, "matched"), (0.92, "close"), (0.75, "visible"), (0.5, "strong"), (0.2, "stark")],
)
def test_how_much_darker_gives_the_word_under_any_lamp(light: list[float], factor: float, word: str) -> None:
    """Skin of 0.40, 0.25, 0.18 and one `factor` as bright: the contrast is 1 - factor whatever the lamp."""
    skin = np.array([0.40, 0.25, 0.18])
    found = match(photo(skin.tolist(), (skin * factor).tolist(), light), *AT)
    assert found.contrast == pytest.approx(1 - factor, abs=1e-9)
    assert found.word == word


def test_another_hue_of_the_same_brightness_is_no_match() -> None:
    skin = np.array([0.40, 0.25, 0.18])
    other = np.array([0.25, 0.30, 0.18])
    other *= (skin @ [0.2126, 0.7152, 0.0722]) / (other @ [0.2126, 0.7152, 0.0722])
    found = match(photo(skin.tolist(), other.tolist(), [0.8, 0.8, 0.8]), *AT)
    assert found.contrast < 1e-9
    assert found.word in ("strong", "stark")


def test_the_words_are_those_of_the_scene() -> None:
    assert list(DIFFERENCE_WORDS) == list(CONTRAST_WORDS)
    for word, value in CONTRAST_WORDS.items():
        assert word_of(value, 0.0) == word


def test_what_cannot_be_trusted_is_told() -> None:
    picture = photo([0.4, 0.3, 0.2], [0.4, 0.3, 0.2], [1.2, 1.2, 1.2]).clip(0, 1)
    assert "burnt out" in match(picture, *AT).warnings[0]
    picture = photo([0.4, 0.3, 0.2], [0.4, 0.3, 0.2], [0.8, 0.8, 0.8])
    picture[::2, :60] *= 0.3
    assert "not even" in match(picture, *AT).warnings[0]
    with pytest.raises(SightlineError, match="white is dark"):
        match(photo([0.4, 0.3, 0.2], [0.4, 0.3, 0.2], [0.02, 0.02, 0.02]), *AT)
    with pytest.raises(SightlineError, match="brighter than the white card"):
        match(picture, AT[2], AT[1], (90, 5))
    with pytest.raises(SightlineError, match="outside the picture"):
        match(picture, (180, 30), AT[1], AT[2])


def test_a_picture_is_read_and_what_is_none_is_refused() -> None:
    from matplotlib.image import imsave

    made = photo([0.4, 0.3, 0.2], [0.2, 0.3, 0.2], [0.8, 0.8, 0.8])
    for kind, near in (("png", 0.003), ("jpeg", 0.03)):
        buffer = io.BytesIO()
        imsave(buffer, made, format=kind)
        assert np.abs(read_picture(buffer.getvalue(), "a")[30, [30, 90, 150]] - made[30, [30, 90, 150]]).max() < near
        with pytest.raises(SightlineError, match="cannot be read"):
            read_picture(buffer.getvalue()[:60], "a")
    for data in (b"", b"GIF89a", b"version: 1"):
        with pytest.raises(SightlineError, match="no picture"):
            read_picture(data, "a")


def test_linear_is_undone() -> None:
    values = np.linspace(0, 1, 101)
    assert np.abs(srgb(linear_rgb(values)) - values).max() < 1e-6
