"""What an eye notices, at the thresholds themselves and a tenth either side of them."""

from __future__ import annotations

import math

import pytest

from sightline.sight.noticing import Acuity, acuity, line_noticed, spot_noticed, sways


def test_the_published_thresholds() -> None:
    """One line pair at 1 arcmin is 2 arcmin (Johnson, from memory); half an arcsec for a line (Hecht & Mintz 1939, from
    memory); a bare point notices what acuity resolves."""
    assert acuity("seated", None) == Acuity(2.0, 0.5)
    assert acuity("point", None) == Acuity(1.0, 0.5)
    assert acuity("wheelchair", None, 3.0, 0.7) == Acuity(3.0, 0.7)
    assert acuity("point", None, 3.0) == Acuity(3.0, 0.5)


@pytest.mark.parametrize("kind", ["phone", "camera"])
def test_a_camera_goes_by_its_pixels(kind: str) -> None:
    """Two pixels for a spot, a tenth of one (6 arcsec of an arcmin) for a line; an unknown camera misses nothing."""
    assert acuity(kind, 1.5) == Acuity(3.0, 9.0)
    assert acuity(kind, None) == Acuity(0.0, 0.0)
    assert acuity(kind, 1.5, 40.0, 40.0) == Acuity(3.0, 9.0)


@pytest.mark.parametrize("contrast", [1.0, 0.25, 0.04])
def test_a_spot_by_size_and_contrast(contrast: float) -> None:
    """Contrast times area is constant, so the diameter goes by one over the root of contrast."""
    eye = Acuity(2.0, 0.5)
    least = 2.0 / math.sqrt(contrast)
    assert spot_noticed(least, contrast, eye)
    assert spot_noticed(1.1 * least, contrast, eye)
    assert not spot_noticed(0.9 * least, contrast, eye)


def test_no_contrast_is_believed_below_a_fiftieth() -> None:
    eye = Acuity(2.0, 0.5)
    least = 2.0 / math.sqrt(0.02)
    for contrast in (0.02, 0.01, 0.0):
        assert spot_noticed(1.1 * least, contrast, eye)
        assert not spot_noticed(0.9 * least, contrast, eye)
        assert line_noticed(1.1 * 0.5 / 60 / 0.02, 10.0, contrast, eye)
        assert not line_noticed(0.9 * 0.5 / 60 / 0.02, 10.0, contrast, eye)


def test_what_has_no_size_is_not_noticed_even_by_a_camera_that_misses_nothing() -> None:
    everything = Acuity(0.0, 0.0)
    assert not spot_noticed(0.0, 1.0, everything)
    assert spot_noticed(1e-9, 1.0, everything)
    assert not line_noticed(1.0, 0.0, 1.0, everything)
    assert line_noticed(1e-9, 1e-9, 1.0, everything)


@pytest.mark.parametrize("contrast", [1.0, 0.1])
def test_a_line_by_contrast_times_width(contrast: float) -> None:
    """0.5 arcsec at full contrast; width in arcmin."""
    eye, least = Acuity(2.0, 0.5), 0.5 / 60.0 / contrast
    assert line_noticed(1.1 * least, 4.0, contrast, eye)
    assert not line_noticed(0.9 * least, 4.0, contrast, eye)
    assert not line_noticed(0.9 * least, 400.0, contrast, eye)
    assert line_noticed(0.5, 4.0, 1.0, Acuity(2.0, 30.0))


def test_a_line_shorter_than_summation_is_a_spot_of_its_area() -> None:
    """From 4 arcmin on it is a line; below, its area must be that of a disc of the spot's size."""
    eye = Acuity(2.0, 0.5)
    assert line_noticed(0.02, 4.0, 1.0, eye)
    assert not line_noticed(0.02, 3.999, 1.0, eye)
    # A disc 2 arcmin wide has an area of pi square arcmin.
    run = 3.5
    assert line_noticed(1.1 * math.pi / run, run, 1.0, eye)
    assert not line_noticed(0.9 * math.pi / run, run, 1.0, eye)


def test_people_sway_and_cameras_do_not() -> None:
    assert all(sways(kind) for kind in ("seated", "standing", "child", "floor child", "wheelchair"))
    assert not any(sways(kind) for kind in ("point", "phone", "camera"))
