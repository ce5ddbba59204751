"""Another performer written into a scene's text: keys spliced in, taken away or added; comments stay."""

from __future__ import annotations

from typing import Any

import yaml

from sightline.scene.editing import Edit, EditError, edited

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# What belongs to a body; all other keys of `performer` belong to the act and stay.
OF_THE_BODY = ("stature", "sex", "age", "proportions", "mass", "measured", "mesh", "landmarks", "allergies")


def with_performer(text: str, keys: dict[str, str]) -> str:
    """The text with the body's keys written so (YAML of one line each); those of the old body that are not there go.

    A key whose text is already the same is not touched. Raises EditError where the text cannot be changed by itself.
    """
    for key, value in keys.items():
        found = _entry(text, key)
        if found is None:
            text = edited(text, [Edit(("performer", key), value)])
            continue
        start, end = found[1].start_mark.index, found[1].end_mark.index
        if text[start:end].strip() != value:
            if not isinstance(found[1], yaml.ScalarNode) and not found[1].flow_style:
                # Written over several lines: away with all of them, and in one line again.
                text = edited(_without(text, key), [Edit(("performer", key), value)])
            else:
                text = edited(text, [Edit(("performer", key), value)])
    # Last, so that the mapping is never left empty.
    for key in OF_THE_BODY:
        if key not in keys:
            text = _without(text, key)
    return text


def _mapping(text: str) -> Any:
    root = yaml.compose(text, Loader=_Loader)
    entries = root.value if isinstance(root, yaml.MappingNode) else []
    node = next((value for key, value in entries if key.value == "performer"), None)
    if not isinstance(node, yaml.MappingNode):
        raise EditError("The scene's performer is no mapping of its own that could be changed.")
    if text[node.start_mark.index : node.start_mark.index + 1] in ("&", "*", "!"):
        raise EditError("The performer is shared with another place in the file; change it there.")
    return node


def _entry(text: str, key: str) -> Any:
    return next((pair for pair in _mapping(text).value if pair[0].value == key), None)


def _without(text: str, key: str) -> str:
    node = _mapping(text)
    at = next((i for i, pair in enumerate(node.value) if pair[0].value == key), None)
    if at is None:
        return text
    name, value = node.value[at]
    if node.flow_style:
        if at + 1 < len(node.value):
            return text[: name.start_mark.index] + text[node.value[at + 1][0].start_mark.index :]
        start = node.value[at - 1][1].end_mark.index if at else name.start_mark.index
        return text[:start] + text[value.end_mark.index :]
    # The whole lines of the entry, with the comment that stands beside it.
    start = text.rfind("\n", 0, name.start_mark.index) + 1
    inner = value
    while not isinstance(inner, yaml.ScalarNode) and not inner.flow_style and inner.value:
        inner = inner.value[-1][1] if isinstance(inner, yaml.MappingNode) else inner.value[-1]
    end = text.find("\n", inner.end_mark.index)
    return text[:start] + ("" if end < 0 else text[end + 1 :])
