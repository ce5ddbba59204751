"""A scene's text with another audience: its `venue` written anew, its single `eyes` taken out, all else to the byte."""

from __future__ import annotations

import re
from typing import Any

import yaml

from sightline.scene.editing import Edit, EditError, edited, quoted

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_./-]*")


def with_venue(text: str, use: str) -> str:
    """The scene's text in the venue `use`: a ready name, or a file as the scene would name it.

    Raises EditError where the file is not written in lines of keys and values.
    """
    text = _without(_without(text, "venue"), "eyes")
    return edited(text, [Edit(("venue", "use"), use if _PLAIN.fullmatch(use) else quoted(use))])


def _without(text: str, key: str) -> str:
    """The text without a key of the file and all that belongs to it; comments after it stay."""
    root = yaml.compose(text, Loader=_Loader)
    if not isinstance(root, yaml.MappingNode) or root.flow_style:
        raise EditError("Only a scene written in lines of keys and values can be taken to another venue.")
    for name, value in root.value:
        if name.value == key:
            start, end = name.start_mark.index, _end(value)
            line = text.find("\n", end)
            # What follows on the last line is a comment on what is no more.
            return text[:start] + (text[line + 1 :] if line >= 0 else "")
    return text


def _end(node: Any) -> int:
    """Where the text of a node ends, without the blank lines and comments after it."""
    if isinstance(node, yaml.ScalarNode) or node.flow_style or not node.value:
        return int(node.end_mark.index)
    last = node.value[-1]
    return _end(last[1] if isinstance(last, tuple) else last)
