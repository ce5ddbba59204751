"""The chosen seams written back into the scene's text, so that check and map see them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.pattern.looks import limb_index
from sightline.pattern.onskin import Skin, size_of
from sightline.pattern.pattern import SeamLine
from sightline.pattern.routing import simplified
from sightline.pattern.turns import DEG_DIGITS, SHARE_DIGITS, rounded
from sightline.scene.document import KeyPath
from sightline.scene.editing import Edit, edited
from sightline.scene.prop import MOST_PATH_POINTS, FalseLimb, LimbSeam
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.scene import Scene

# A path as written strays from the seam by at most this.
WITHIN_M = 0.0003
# A name of these needs no quotes in YAML.
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 _.()/'-]*[A-Za-z0-9)]")


@dataclass(frozen=True)
class Applied:
    """The scene with its new seams: `written` was read from `text`. `replaced` are names of seams that are no more."""

    text: str
    written: Written[Scene]
    edits: tuple[Edit, ...]
    replaced: tuple[str, ...]


def applied(
    written: Written[Scene], limb: str, lines: Sequence[SeamLine], skin: Skin, kept: Sequence[str] = ()
) -> Applied:
    """The scene with the seams of a limb replaced by these, and its darts where there are or were any.

    `kept` are names of seams and darts that stay as they are. Width and contrast are those of the old seam of the same
    name, else the widest and strongest that were written. Raises SightlineError where the limb or a kept seam is not
    there, or the text cannot be changed so.
    """
    index = limb_index(written, limb)
    was = written.model.false_limbs[index]
    old = (*was.seams, *was.darts)
    for name in kept:
        if name not in {seam.name for seam in old}:
            raise written.problem(("false limbs", index), f"The limb has no seam '{name}' that could stay.")
    edits = []
    for key, before in (("seams", was.seams), ("darts", was.darts)):
        mine = [line for line in lines if (line.kind == "dart") == (key == "darts")]
        stay = [_said(written, ("false limbs", index, key, j)) for j, s in enumerate(before) if s.name in kept]
        items = (*stay, *(item(line, skin, was) for line in mine if line.name not in kept))
        if items or before:
            edits.append(Edit(("false limbs", index, key), items=items))
    text = edited(written.document.text, edits)
    # Nothing is believed that is not written: the new text is read like any scene.
    again = scene_from_text(text, written.document.file, written.folder, written.root)
    names = {line.name for line in lines} | set(kept)
    return Applied(text, again, tuple(edits), tuple(s.name for s in old if s.name not in names))


def item(line: SeamLine, skin: Skin, limb: FalseLimb) -> str:
    """One seam as a scene says it, in one line."""
    old: list[LimbSeam] = [*limb.seams, *limb.darts]
    same = next((seam for seam in old if seam.name == line.name), None)
    width = same.width if same else max((seam.width for seam in old), default=None)
    said = [seam.contrast for seam in old if seam.contrast is not None]
    contrast = same.contrast if same else max([*said, limb.contrast]) if said else None
    points = ", ".join(f"[{share:.{SHARE_DIGITS}g}, {deg:g} deg]" for share, deg in _turns(line, skin))
    parts = [f"name: {_name(line.name)}", f"path: [{points}]"]
    if width is not None and not np.isclose(width, 0.001):
        parts.append(f"width: {width * 1000:g} mm")
    if contrast is not None:
        parts.append(f"contrast: {contrast:g}")
    return f"{{{', '.join(parts)}}}"


def _turns(line: SeamLine, skin: Skin) -> list[tuple[float, float]]:
    """Share and degrees of the points that tell the seam."""
    length, radius = size_of(skin)
    turns = np.column_stack([line.share, line.around_rad]).astype(float)
    # The file says angles within two full turns; where a way starts beyond one, it is told from its first turn.
    turns[:, 1] -= 2 * np.pi * np.floor(turns[:, 1].min() / (2 * np.pi) + 1e-9)
    within = WITHIN_M
    out = rounded(simplified(turns, length, radius, within))
    while len(out) > MOST_PATH_POINTS:
        within *= 2
        out = rounded(simplified(turns, length, radius, within))
    return [(float(share), round(float(np.degrees(around)), DEG_DIGITS)) for share, around in out]


def _name(name: str) -> str:
    if _PLAIN.fullmatch(name) and name.casefold() not in {"yes", "no", "on", "off", "true", "false", "null"}:
        return name
    return '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _said(written: Written[Scene], path: KeyPath) -> str:
    """What the file says at a path, in one line."""
    tree: Any = written.document.tree
    for step in path:
        tree = tree[step]
    return _in_line(tree)


def _in_line(tree: Any) -> str:
    if isinstance(tree, dict):
        return f"{{{', '.join(f'{key}: {_in_line(value)}' for key, value in tree.items())}}}"
    if isinstance(tree, list):
        return f"[{', '.join(map(_in_line, tree))}]"
    return tree if re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 _.'-]*", str(tree)) else _name(str(tree))
