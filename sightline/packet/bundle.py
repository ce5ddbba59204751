"""Arrays as text that a page can carry: deflated, base64, unpacked by the browser's own stream."""

from __future__ import annotations

import base64
import zlib
from typing import Any

import numpy as np
from numpy.typing import NDArray


def packed(array: NDArray[Any]) -> str:
    """The array's bytes, row by row, little end first."""
    straight = np.ascontiguousarray(array.astype(array.dtype.newbyteorder("<"), copy=False))
    return base64.b64encode(zlib.compress(straight.tobytes(), 9)).decode("ascii")


def short(values: Any, digits: int) -> list[float]:
    """Plain numbers of so many decimals, for JSON; whole ones without a point."""
    out = []
    for value in np.asarray(values, dtype=float).ravel().tolist():
        rounded = round(value, digits)
        out.append(int(rounded) if rounded == int(rounded) else rounded)
    return out
