"""Changes to a scene's text, spliced in where they belong: everything else, comments too, stays to the byte."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import yaml

from sightline.errors import SightlineError
from sightline.scene.document import Key, KeyPath, path_words

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_PLAIN_KEY = re.compile(r"[A-Za-z][A-Za-z0-9_ -]*")


@dataclass(frozen=True)
class Edit:
    """One change: the value at `path` becomes `value` (YAML of one line); with `append`, it joins the list there.

    With `items` (YAML of one line each) the whole list at `path` is written anew, also where it stands over several
    lines; comments between its old entries go with them. What is missing of the path is written too.
    """

    path: KeyPath
    value: str = ""
    append: bool = False
    items: tuple[str, ...] | None = None


class EditError(SightlineError):
    """The text cannot be changed there by itself; says why."""


def edited(text: str, edits: Sequence[Edit]) -> str:
    """The text with all edits made, one after the other. Raises EditError where one cannot be."""
    for edit in edits:
        text = _edited(text, edit)
    return text


def _edited(text: str, edit: Edit) -> str:
    try:
        root = yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError as error:
        # The text was read before, so it was a change before this one.
        raise EditError("A change before this one left what is no YAML any more.") from error
    if not isinstance(root, yaml.MappingNode):
        raise EditError("The file must hold keys and values to be changed.")
    node, depth = root, 0
    shared = _shared(root)
    while depth < len(edit.path):
        inner = _child(node, edit.path[depth])
        if inner is None:
            break
        node, depth = inner, depth + 1
        if id(node) in shared:
            raise EditError(f"{path_words(edit.path)} is shared with another place in the file; change it there.")
    left = edit.path[depth:]
    if left:
        if not isinstance(node, yaml.MappingNode) or not all(isinstance(step, str) for step in left):
            raise EditError(f"There is no {path_words(edit.path)} in the file to change.")
        value = _in_line(edit.items) if edit.items is not None else f"[{edit.value}]" if edit.append else edit.value
        for step in reversed(left[1:]):
            value = f"{{{_key(step)}: {value}}}"
        return _with_key(text, node, f"{_key(left[0])}: {value}")
    if edit.items is not None:
        return _with_list(text, node, edit.items, path_words(edit.path))
    if edit.append:
        return _with_item(text, node, edit.value, path_words(edit.path))
    if not isinstance(node, yaml.ScalarNode) and not node.flow_style:
        raise EditError(f"{path_words(edit.path)} is written over several lines; change it by hand.")
    if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
        raise EditError(f"{path_words(edit.path)} is written over several lines; change it by hand.")
    return text[: node.start_mark.index] + edit.value + text[node.end_mark.index :]


def _key(step: Key) -> str:
    """A key as it is written: a stranger's never ends what it stands in."""
    said = str(step)
    return said if _PLAIN_KEY.fullmatch(said) else quoted(said)


def quoted(text: str) -> str:
    """Any text as a YAML scalar of one line in double quotes; what a stranger wrote stays text."""
    out = []
    for c in text:
        code = ord(c)
        if c in '"\\':
            out.append("\\" + c)
        elif c == "\n":
            out.append("\\n")
        elif c.isprintable():
            out.append(c)
        else:
            out.append(f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}")
    return '"' + "".join(out) + '"'


def _child(node: Any, key: Key) -> Any:
    if isinstance(node, yaml.MappingNode):
        return next((value for k, value in node.value if k.value == key), None)
    if isinstance(node, yaml.SequenceNode) and isinstance(key, int) and key < len(node.value):
        return node.value[key]
    return None


def _shared(root: Any) -> set[int]:
    """Nodes that an alias names again."""
    counts: dict[int, int] = {}
    todo = [root]
    while todo:
        node = todo.pop()
        counts[id(node)] = counts.get(id(node), 0) + 1
        if counts[id(node)] == 1 and not isinstance(node, yaml.ScalarNode):
            todo += [part for item in node.value for part in (item if isinstance(item, tuple) else (item,))]
    return {key for key, count in counts.items() if count > 1}


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _with_key(text: str, node: Any, entry: str) -> str:
    if node.flow_style:
        if not node.value:
            at = node.start_mark.index + 1
            return text[:at] + entry + text[at:]
        at = node.value[-1][1].end_mark.index
        return f"{text[:at]}, {entry}{text[at:]}"
    column = node.value[0][0].start_mark.column
    return _with_line(text, node, " " * column + entry)


def _with_item(text: str, node: Any, item: str, where: str) -> str:
    if not isinstance(node, yaml.SequenceNode):
        raise EditError(f"{where} is no list that could be added to.")
    if node.flow_style:
        at = node.value[-1].end_mark.index if node.value else node.start_mark.index + 1
        return f"{text[:at]}{', ' if node.value else ''}{item}{text[at:]}"
    # A block list's own mark is that of its first dash.
    return _with_line(text, node, " " * node.start_mark.column + f"- {item}")


def _in_line(items: Sequence[str]) -> str:
    return f"[{', '.join(items)}]"


def _with_list(text: str, node: Any, items: Sequence[str], where: str) -> str:
    """The text with a list's entries replaced, each on a line of its own where the old ones were."""
    if not isinstance(node, yaml.SequenceNode):
        raise EditError(f"{where} is no list that could be written anew.")
    start = node.start_mark.index
    if text[start] in "&!":
        raise EditError(
            f"{where} carries a mark of its own ({text[start : start + 20].split()[0]}); change it by hand."
        )
    if node.flow_style:
        return text[:start] + _in_line(items) + text[node.end_mark.index :]
    # What follows the last entry on its line is a comment on what is no more.
    end = text.find("\n", _content_end(node))
    end = len(text) if end < 0 else end - 1 if text[end - 1] == "\r" else end
    dash = _newline(text) + " " * node.start_mark.column
    return text[:start] + (dash.join(f"- {item}" for item in items) if items else "[]") + text[end:]


def _with_line(text: str, node: Any, line: str) -> str:
    """The text with a line of its own after the last line of a block."""
    end = _content_end(node)
    at = text.find("\n", end)
    if at < 0:
        return text + _newline(text) + line
    at = at - 1 if at and text[at - 1] == "\r" else at
    return text[:at] + _newline(text) + line + text[at:]


def _content_end(node: Any) -> int:
    """Where the text of a node itself ends, without the blank lines and comments after it."""
    if isinstance(node, yaml.ScalarNode):
        if node.style in ("|", ">"):
            raise EditError("A text over several lines stands before this; change it by hand.")
        return int(node.end_mark.index)
    if node.flow_style or not node.value:
        return int(node.end_mark.index)
    last = node.value[-1]
    return _content_end(last[1] if isinstance(last, tuple) else last)
