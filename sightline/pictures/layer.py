"""What one plan shows: the verdicts of one secret, of all together, or of one beat; or what there is to spare."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.sight.check import Finding, VerdictArray

# The colour scale runs over leaks of this angular size, in equal ratios.
SMALLEST_ARCMIN, LARGEST_ARCMIN = 2.0, 600.0
# And over margins of these angles.
SMALLEST_DEG, LARGEST_DEG = 0.5, 60.0


@dataclass(frozen=True)
class Layer:
    """What one panel shows: verdicts (e,) and sizes in arcmin (e,) of one secret or of all together.

    With `margin_deg` (e,), NaN where it is not known, it shows how much the hidden ones have to spare instead.
    `missable_arcmin`: the largest leak that could lie between the samples for an eye it is hidden from, where known.
    """

    title: str
    verdict: VerdictArray
    size_arcmin: FloatArray
    margin_deg: FloatArray | None = None
    missable_arcmin: float | None = None

    @property
    def shows(self) -> bool:
        """Whether it is worth a plan of its own: somebody sees, or has less to spare than the scale's end."""
        if self.margin_deg is None:
            return bool(self.verdict.any())
        return bool((~(self.margin_deg >= LARGEST_DEG)).any())

    @property
    def seen(self) -> int:
        return int((self.verdict == 2).sum())

    @property
    def said(self) -> str:
        """What a small plan says under its title."""
        if self.margin_deg is not None:
            hidden = self.margin_deg[self.verdict == 0]
            known = hidden[~np.isnan(hidden)]
            return f"least {known.min():.1f} deg to spare" if len(known) else "nobody has any to spare"
        faint = int((self.verdict == 1).sum())
        return f"{self.seen} can see it" + (f", {faint} faintly" if faint else "")

    def beside(self, eye: int) -> str:
        """What is written beside a named seat."""
        from sightline.pictures.verdicts import size_words

        if self.verdict[eye] > 0:
            size = float(self.size_arcmin[eye])
            return size_words(size) if size > 0 else "seen by somebody"
        if self.margin_deg is not None and not np.isnan(self.margin_deg[eye]):
            return f"{self.margin_deg[eye]:.1f} deg to spare"
        return ""


def layers(finding: Finding, margin: bool = False) -> list[Layer]:
    """All secrets together first, then each by itself."""
    least = finding.least_margin() if margin else None
    single = [layer_of(finding, name, margin) for name in finding.secrets]
    known = [layer.missable_arcmin for layer in single if layer.missable_arcmin is not None]
    together = Layer(
        "Any secret", finding.worst_verdict(), finding.size_of_leak(), least, max(known) if known else None
    )
    return [together, *single] if len(single) != 1 else single


def layer_of(finding: Finding, name: str, margin: bool = False) -> Layer:
    """One secret by name."""
    found = finding.secrets[name]
    title = name[:1].upper() + name[1:]
    hidden = found.verdict == 0
    down = math.degrees(float(found.sighting.missable_rad[hidden].max())) * 60 if hidden.any() else None
    return Layer(title, found.verdict, found.size_arcmin, found.margin_deg if margin else None, down)
