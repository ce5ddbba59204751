"""Where each answer stands in a scene's text: the text cut into segments that answers replace, add to or drop.

Everything that no question is about stays as it is, to the byte. Segments are plain dicts, because the page's script
joins the very same ones (`join.js`, twin of `join.py`):

    {"t": TEXT}                               stays
    {"t": TEXT, "q": ID}                      the value of a question: replaced when the answer differs
    {"t": TEXT, "drop": ID}                   stays only while the question has an answer (its key, its comment)
    {"t": TEXT, "sep": ID|None, "after": [..]}    a comma: stays while what follows it and anything before it stay
    {"add": [ITEM..], "lead": TEXT}           keys the file lacks, one line each in block style
    {"add": [ITEM..], "after": [..]}          the same in flow style, commas where needed
    {"t": "[]", "whole": ITEM}                an empty list: replaced by what the item gives, if anything
    {"bare": [ID..], "unless": [ITEM..]}      ` {}` for a mapping left without keys

An ITEM is `{"k": KEY}` with `"q": ID`, `"fixed": TEXT`, `"m": [ITEM..]` (a mapping), `"l": [ITEM..]` (a list of one)
or `"s": [{"q", "blank"}..]` (a list of values). A `weak` one is only written beside others. In `after` None stands for
something that always stays.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import yaml

from sightline.form.found import EXTRA_EYE, Found
from sightline.form.question import ARM_LIMB, ARM_OPENING, Question
from sightline.scene.document import Key, KeyPath

Segment = dict[str, Any]
_OTHER_WAY = "This is written in a way that this page cannot change; change it in the file."


@dataclass
class Plan:
    """A text cut at its answers. `was` holds the answers as read; `locked` why some cannot be changed here."""

    segments: list[Segment]
    was: dict[str, str] = field(default_factory=dict)
    locked: dict[str, str] = field(default_factory=dict)
    # Questions that have an answer which cannot be taken away without leaving a gap in a list.
    keep: list[str] = field(default_factory=list)
    # The wall that the arm's opening is in.
    wall: str = "back"


@dataclass(frozen=True)
class _Edit:
    start: int
    end: int
    segment: Segment


def plan(text: str, questions: dict[str, Question]) -> Plan:
    """Cut a scene's text that `scene.reading` has accepted at the answers to the questions."""
    found = Found(text)
    cutter = _Cutter(found, questions)
    cutter.mapping(found.root, cutter.tree(), ())
    return Plan(cutter.segments(), cutter.was, cutter.locked, sorted(cutter.keep), found.wall())


class _Cutter:
    def __init__(self, found: Found, questions: dict[str, Question]):
        self.found, self.text, self.questions = found, found.text, questions
        self.newline = "\r\n" if "\r\n" in found.text else "\n"
        self.edits: list[_Edit] = []
        self.was: dict[str, str] = {}
        self.locked = found.locks(questions)
        self.keep: set[str] = set()

    def tree(self) -> dict[Key, Any]:
        """The asked keys as nested dicts, question ids at the leaves."""
        indices: dict[Key, Key] = {ARM_OPENING: self.found.opening(), ARM_LIMB: self.found.limb()}
        tree: dict[Key, Any] = {}
        for question in self.questions.values():
            if question.id in self.locked:
                continue
            paths = [question.path]
            if question.also:
                also = tuple(indices.get(step, step) for step in question.also)
                here, there = self.found.said(*question.path), self.found.said(*also)
                if there is None or there == here:
                    paths.append(question.also)
            for path in paths:
                real: KeyPath = tuple(indices.get(step, step) for step in path)
                inner = tree
                for step in real[:-1]:
                    inner = inner.setdefault(step, {})
                inner[real[-1]] = question.id
        return tree

    def mapping(self, node: Any, tree: dict[Key, Any], path: KeyPath) -> None:
        flow = bool(node.flow_style)
        there = {key.value: (key, value) for key, value in node.value}
        missing = {key: inner for key, inner in tree.items() if key not in there}
        droppable = [
            self._droppable(key.value, value, tree) if self._plain(value) else None for key, value in node.value
        ]
        if not flow and len(node.value) == 1 and not self._own_line(node.value[0][0]):
            droppable = [None]  # the dash of a list would hang in the air
        if all(droppable) and path[-1:] != ("measured",):
            # Most mappings mean something by being there; only the body sheet may be left empty.
            droppable = [None] * len(droppable)
        for i, (key, value) in enumerate(node.value):
            inner = tree.get(key.value)
            if i and flow and any(droppable):
                previous = node.value[i - 1][1]
                gap = (previous.end_mark.index, key.start_mark.index)
                if gap[0] < gap[1]:
                    text = self.text[gap[0] : gap[1]]
                    self._edit(*gap, {"t": text, "sep": droppable[i], "after": droppable[:i]})
            if inner is None:
                continue
            self.value(value, inner, (*path, key.value))
            if droppable[i]:
                after = node.value[i + 1][0] if i + 1 < len(node.value) else None
                self._drop(key, value, droppable[i] or "", flow, after)
            elif isinstance(inner, str) and self.questions[inner].droppable:
                self.keep.add(inner)
        items = self._items(missing, path)
        if not flow and all(droppable) and path and isinstance(path[-1], str):
            colon = self.text.index(":", self._key(path).end_mark.index) + 1
            self._edit(colon, colon, {"bare": list(droppable), "unless": items})
        if items:
            self._add(node, items, droppable, flow)

    def value(self, node: Any, inner: Any, path: KeyPath) -> None:
        names = [inner] if isinstance(inner, str) else list(_leaves(inner))
        if self.found.shared(node):
            why = "This value is shared with another place in the file; change it there."
            self.locked.update(dict.fromkeys(names, why))
            if isinstance(inner, str) and isinstance(node, yaml.ScalarNode):
                self.was[inner] = str(node.value).strip()
        elif isinstance(inner, str):
            self._scalar(node, inner, path)
        elif isinstance(node, yaml.MappingNode):
            self.mapping(node, inner, path)
        elif isinstance(node, yaml.SequenceNode) and not node.value:
            items = self._items({path[-1]: inner}, path[:-1])
            self._edit(node.start_mark.index, node.end_mark.index, {"t": "[]", "whole": items[0]})
        elif isinstance(node, yaml.SequenceNode):
            for i, child in enumerate(node.value):
                if i in inner:
                    self.value(child, inner[i], (*path, i))
                    if isinstance(inner[i], str):
                        self.keep.add(inner[i])
        else:
            self.locked.update(dict.fromkeys(names, _OTHER_WAY))

    def _scalar(self, node: Any, name: str, path: KeyPath) -> None:
        if not isinstance(node, yaml.ScalarNode) or node.style in ("|", ">"):
            self.locked[name] = _OTHER_WAY
            self.was[name] = " ".join(str(node.value).split()) if isinstance(node, yaml.ScalarNode) else ""
            return
        start, end = node.start_mark.index, node.end_mark.index
        if path[-1] != "replaces":
            self.was[name] = str(node.value).strip()
        self._edit(start, end, {"t": self.text[start:end], "q": name})

    def _droppable(self, key: str, value: Any, tree: dict[Key, Any]) -> str | None:
        inner = tree.get(key)
        if isinstance(inner, str) and self.questions[inner].droppable and isinstance(value, yaml.ScalarNode):
            return inner
        return None

    def _plain(self, value: Any) -> bool:
        return not self.found.shared(value) and getattr(value, "style", None) not in ("|", ">")

    def _own_line(self, key: Any) -> bool:
        start = self.text.rfind("\n", 0, key.start_mark.index)
        return start >= 0 and not self.text[start + 1 : key.start_mark.index].strip()

    def _key(self, path: KeyPath) -> Any:
        return next(key for key, _ in self.found.get(*path[:-1]).value if key.value == path[-1])

    def _line_end(self, index: int) -> int:
        end = self.text.find("\n", index)
        end = len(self.text) if end < 0 else end
        return end - 1 if end > index and self.text[end - 1] == "\r" else end

    def _drop(self, key: Any, value: Any, name: str, flow: bool, after: Any) -> None:
        """A key and what belongs to it go together: in block style its whole line, with the comment beside it."""
        start, value_start, value_end = key.start_mark.index, value.start_mark.index, value.end_mark.index
        end = value_end
        if not flow and self._own_line(key):
            start = self.text.rindex("\n", 0, start)
            start -= 1 if start and self.text[start - 1] == "\r" else 0
            end = self._line_end(value_end)
        elif not flow:
            end = after.start_mark.index  # beside the dash of a list: the next key moves up
        self._edit(start, value_start, {"t": self.text[start:value_start], "drop": name})
        if end > value_end:
            self._edit(value_end, end, {"t": self.text[value_end:end], "drop": name})

    def _items(self, tree: dict[Key, Any], path: KeyPath) -> list[Segment]:
        """What to write for asked keys that the file lacks."""
        items: list[Segment] = []
        for key, inner in tree.items():
            here = (*path, key)
            if isinstance(inner, str):
                items.append({"k": key, "q": inner, **({"weak": True} if key == "replaces" else {})})
            elif all(isinstance(step, int) for step in inner) and all(isinstance(leaf, str) for leaf in inner.values()):
                leaves = [inner[step] for step in sorted(inner)]
                items.append({"k": key, "s": [{"q": q, "blank": self.questions[q].blank} for q in leaves]})
            elif all(isinstance(step, int) for step in inner):
                (only,) = inner.values()
                items.append({"k": key, "l": [*_FIXED.get(key, []), *self._items(only, (*here, 0))]})
            else:
                items.append({"k": key, "m": self._items(inner, here)})
        return items

    def _add(self, node: Any, items: list[Segment], droppable: list[str | None], flow: bool) -> None:
        if flow:
            end = node.value[-1][1].end_mark.index if node.value else node.start_mark.index + 1
            self._edit(end, end, {"add": items, "after": list(droppable)})
            return
        column = node.value[0][0].start_mark.column
        for _, value in reversed(node.value):
            end = _content_end(value)
            if end is not None:
                place = self._line_end(end)
                self._edit(place, place, {"add": items, "lead": self.newline + " " * column})
                return
        first = node.value[0][0].start_mark.index
        self._edit(first, first, {"add": items, "lead": "", "trail": self.newline + " " * column})

    def _edit(self, start: int, end: int, segment: Segment) -> None:
        self.edits.append(_Edit(start, end, segment))

    def segments(self) -> list[Segment]:
        """The whole text in order, cut at the edits."""
        out: list[Segment] = []
        position = 0
        # Deeper mappings ending at the same place add first: they were cut before their parents' additions.
        for edit in sorted(self.edits, key=lambda e: (e.start, e.end > e.start)):
            if edit.start < position:
                raise AssertionError("edits of a scene's text overlap")
            if edit.start > position:
                out.append({"t": self.text[position : edit.start]})
            out.append(edit.segment)
            position = edit.end
        if position < len(self.text):
            out.append({"t": self.text[position:]})
        return out


# What a new entry of a list must also say.
_FIXED: dict[Key, list[Segment]] = {
    "openings": [{"k": "wall", "fixed": "back", "weak": True}],
    "eyes": [{"k": "id", "fixed": EXTRA_EYE, "weak": True}],
}


def _leaves(inner: dict[Key, Any]) -> list[str]:
    out: list[str] = []
    for value in inner.values():
        out += [value] if isinstance(value, str) else _leaves(value)
    return out


def _content_end(node: Any) -> int | None:
    """Where a node's own text ends; None where only the next token tells (block scalars)."""
    if isinstance(node, yaml.ScalarNode):
        return None if node.style in ("|", ">") else int(node.end_mark.index)
    if node.flow_style:
        return int(node.end_mark.index)
    last = node.value[-1]
    return _content_end(last[1] if isinstance(last, tuple) else last)
