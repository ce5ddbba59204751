"""What a plan takes for granted of people and cameras: how small a thing they notice, and how far they lean.

The usual figures are those of `sightline/sight/noticing.py`, where their sources are (a test holds them together); this
package comes before it and may not ask it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sightline.house.eyes import Eye
from sightline.scene.scene import Noticing

USUAL_SPOT_ARCMIN, USUAL_POINT_ARCMIN, USUAL_LINE_ARCSEC, USUAL_RUN_ARCMIN = 2.0, 1.0, 0.5, 4.0
USUAL_PIXELS = 2.0
USUAL_APART_MM, USUAL_LEAN_MM = 63.0, 50.0
CAMERAS = frozenset({"phone", "camera"})


def noticing_notes(said: Noticing, eyes: Iterable[Eye], lines: bool) -> Iterator[str]:
    """The thresholds in force, a sentence each, the scene's own marked as such.

    `lines`: whether a secret of the scene is a line: a seam, a strap, a dart.
    """
    watching = list(eyes)
    if said.sway:
        yield (
            "People sway: the worst of five head positions counts (the usual figures: eyes "
            f"{USUAL_APART_MM:g} mm apart, {USUAL_LEAN_MM:g} mm of lean)."
        )
    else:
        yield "People hold their heads still, as the scene says (noticing: sway): one head position counts."
    if said.spot_arcmin is None:
        spot = f"{USUAL_SPOT_ARCMIN:g} arcmin (a bare point: {USUAL_POINT_ARCMIN:g} arcmin), the usual figures"
    else:
        spot = f"{said.spot_arcmin:g} arcmin, as the scene says (noticing: spot arcmin; usual: {USUAL_SPOT_ARCMIN:g})"
    yield f"A moving secret counts as seen however small; a still one from {spot}, and larger where it stands out less."
    if lines:
        if said.line_arcsec is None:
            line = f"{USUAL_LINE_ARCSEC:g} arcsec, the usual figure,"
        else:
            line = (
                f"{said.line_arcsec:g} arcsec, as the scene says (noticing: line arcsec; usual: {USUAL_LINE_ARCSEC:g}),"
            )
        yield (
            f"A seam or another line counts as seen where contrast times width reaches {line} over a run of at least "
            f"{USUAL_RUN_ARCMIN:g} arcmin; a shorter one is judged as a spot."
        )
    if any(eye.kind in CAMERAS for eye in watching):
        yield (
            f"A phone or camera shows what covers {USUAL_PIXELS:g} of its pixels, and a line from a tenth of one; where its pixels "
            "are not said, whatever reaches it counts as seen."
        )
