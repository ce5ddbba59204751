"""How high the upper arm is held, against the bands of posture guidance."""

from __future__ import annotations

from typing import Literal

# Static upper-arm raise, degrees from hanging: EN 1005-4 as quoted second-hand in the craft notes; the table itself was
# not read.
GOOD_DEG, BRIEF_DEG = 20.0, 60.0
SOURCE = "EN 1005-4, second-hand"

Band = Literal["good", "brief", "no"]
WORDS: dict[Band, str] = {
    "good": "good to hold",
    "brief": "to be supported, or held only briefly",
    "no": "not to be held",
}


def band(raise_deg: float) -> Band:
    """0 to 20 deg good; to 60 deg if supported or brief; above that no."""
    return "good" if raise_deg <= GOOD_DEG else "brief" if raise_deg <= BRIEF_DEG else "no"
