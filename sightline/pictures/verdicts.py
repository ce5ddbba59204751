"""What one eye sees, in words for a picture."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from sightline.sight.check import VERDICTS, Finding


def size_words(arcmin: float) -> str:
    """An angle as people say it: 6', or 1.4 deg."""
    return f"{arcmin:.1f}'" if arcmin < 10 else f"{arcmin:.0f}'" if arcmin < 60 else f"{arcmin / 60:.1f} deg"


def shown(finding: Finding, eye: int) -> list[str]:
    """Names of the secrets of which an eye sees anything, the largest first."""
    names = [name for name, found in finding.secrets.items() if found.verdict[eye] != 0]
    return sorted(
        names, key=lambda n: (-int(finding.secrets[n].verdict[eye]), -float(finding.secrets[n].size_arcmin[eye]))
    )


def seen_words(finding: Finding, eye: int) -> list[str]:
    """One phrase per secret that an eye sees anything of: its name, verdict and size, and the mirror it is seen in."""
    said = []
    for name in shown(finding, eye):
        found = finding.secrets[name]
        via = int(found.sighting.seen.via[eye])
        where = f", in the mirror {finding.moment.mirrors[via].name}" if via >= 0 else ""
        said.append(f"{name} {VERDICTS[found.verdict[eye]]} ({size_words(float(found.size_arcmin[eye]))}{where})")
    return said


def verdict_sentence(finding: Finding, eye: int) -> str:
    """All secrets of one eye in a sentence or two."""
    said = seen_words(finding, eye)
    hidden = [name for name, found in finding.secrets.items() if found.verdict[eye] == 0]
    out = f"{_first_up('; '.join(said))}." if said else ""
    if hidden and not said:
        return f"Every secret is hidden from here, {down_to(finding, eye, hidden)}."
    return out + (f" Hidden, {down_to(finding, eye, hidden)}: {', '.join(hidden)}." if hidden else "")


def down_to(finding: Finding, eye: int, names: Sequence[str]) -> str:
    """`down to 17'`: how large a leak of these secrets could lie between the samples, as this eye would see it."""
    largest = max(float(finding.secrets[name].sighting.missable_rad[eye]) for name in names)
    return f"down to {size_words(math.degrees(largest) * 60)}"


def short_verdict(finding: Finding, eye: int) -> str:
    """The same for a small picture: only what is seen, or that all is hidden."""
    said = seen_words(finding, eye)
    return _first_up("; ".join(said)) if said else "All hidden"


def must_see_sentence(finding: Finding, eye: int) -> str:
    """What should be seen and is, or is not; empty where nothing should."""
    if not finding.must_see:
        return ""
    said = [
        f"{name} {'in clear view' if found.clear[eye] else 'not clear'}" for name, found in finding.must_see.items()
    ]
    return f"To be seen: {', '.join(said)}."


def distance_m(finding: Finding, eye: int) -> float:
    """From an eye to the middle of what is secret."""
    moment = finding.moment
    return float(np.linalg.norm(np.asarray(moment.eyes[eye].position_m) - moment.focus_m))


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]
