"""Words that an open paper never carries: those of the working, and the scene's own names for what must not be seen."""

from __future__ import annotations

import re
from collections.abc import Iterable

from sightline.moment import Moment
from sightline.scene.scene import Scene

# Whole words and their plurals. `arm` alone is one too: a paper for everybody has no reason to count them.
TELLING = (
    "secret", "hidden", "hide", "hides", "hiding", "conceal", "concealed", "false", "fake", "dummy", "limb", "arm", "forearm",
    "elbow", "rig", "rigging", "harness", "strap", "hook", "seam", "dart", "gimmick", "trick", "illusion", "working", "leak",
    "exposed", "exposure", "verdict", "real hand",
)  # fmt: skip


def telling_words(scene: Scene, moment: Moment) -> tuple[str, ...]:
    """TELLING and every name that the scene gives to a secret, a false limb or a part of the rig."""
    own = [*moment.secret_names(), *(secret.name for secret in scene.secrets)]
    for limb in scene.false_limbs:
        own += [limb.name or f"false {limb.replaces}", *(seam.name for seam in limb.seams)]
    for part in scene.rig:
        own += [str(value.name) for value in vars(part).values() if getattr(value, "name", None)]
    return tuple(dict.fromkeys([*TELLING, *(name.strip() for name in own if name and name.strip())]))


def first_telling(text: str, words: Iterable[str]) -> str | None:
    """The first of the words that the text holds, as a whole word in any case; None where there is none."""
    plain = _plain(text)
    return next((word for word in words if _finder(word).search(plain)), None)


def _plain(text: str) -> str:
    """One kind of gap between words, so that `hidden_arm` and `hidden-arm` are found as well."""
    return re.sub(r"[\s_\-.]+", " ", text)


def _finder(word: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(_plain(word).strip())}s?(?!\w)", re.IGNORECASE)
