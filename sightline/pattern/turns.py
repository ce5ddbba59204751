"""Ways over a limb's skin as share and angle (k, 2): made even, and rounded to the digits in which a scene says them."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray

SHARE_DIGITS, DEG_DIGITS = 4, 1


def evened(way: FloatArray, window: int, ring: bool) -> FloatArray:
    """Each point put in the middle of its neighbours; ends stay, a ring has none."""
    if window <= 1:
        return way
    column, half = (0 if ring else 1), window // 2
    out, value = way.copy(), way[:, column]
    if ring:
        round_ = value[:-1]
        near = [np.roll(round_, k) for k in range(-half, half + 1)]
        out[:-1, column] = np.mean(near, axis=0)
        out[-1, column] = out[0, column]
        return out
    padded = np.concatenate([np.full(half, value[0]), value, np.full(half, value[-1])])
    out[:, column] = np.convolve(padded, np.ones(window) / window, mode="valid")
    return out


def rounded(turns: FloatArray) -> FloatArray:
    """In the digits in which a scene says them: a ten-thousandth of the length, a tenth of a degree."""
    deg = np.round(np.degrees(turns[:, 1]), DEG_DIGITS)
    out = np.column_stack([np.clip(np.round(turns[:, 0], SHARE_DIGITS), 0.0, 1.0), np.radians(deg)])
    return out[np.concatenate([[True], np.any(np.diff(out, axis=0) != 0, axis=1)])]
