"""What a scene file holds and where: nodes by key path, and which entries of its lists are the arm's."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import yaml

from sightline.scene.document import Key

EXTRA_EYE = "extra eye"
_ASKED_ONLY_AS_BOX = "The prop is a mesh in this file; this page asks about boxes only."


class Found:
    """The YAML nodes of one scene file that its reader has accepted."""

    def __init__(self, text: str):
        self.text = text
        self.root: Any = yaml.compose(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
        self._uses: dict[int, int] = {}
        self._count(self.root)

    def _count(self, node: Any) -> None:
        """How often each node is used: an alias is the same node again, and must not be changed in one place only."""
        self._uses[id(node)] = self._uses.get(id(node), 0) + 1
        if self._uses[id(node)] > 1:
            return
        for child in node.value if not isinstance(node, yaml.ScalarNode) else ():
            for part in child if isinstance(child, tuple) else (child,):
                self._count(part)

    def shared(self, node: Any) -> bool:
        """Whether a value also stands somewhere else in the file, or may: it has an anchor or is an alias."""
        anchored = self.text[node.start_mark.index : node.start_mark.index + 1] == "&"
        return anchored or self._uses[id(node)] > 1

    def get(self, *path: Key) -> Any:
        """The node at a key path, or None."""
        node = self.root
        for step in path:
            if isinstance(node, yaml.MappingNode):
                node = next((value for key, value in node.value if key.value == step), None)
            elif isinstance(node, yaml.SequenceNode) and isinstance(step, int) and 0 <= step < len(node.value):
                node = node.value[step]
            else:
                return None
        return node

    def said(self, *path: Key) -> str | None:
        node = self.get(*path)
        return str(node.value).strip() if isinstance(node, yaml.ScalarNode) else None

    def opening(self) -> int:
        """Index of the opening that the arm goes through; -1 when there are only others."""
        node = self.get("prop", "openings")
        count = len(node.value) if isinstance(node, yaml.SequenceNode) else 0
        uses = [self.said("prop", "openings", i, "for") for i in range(count)]
        walls = [self.said("prop", "openings", i, "wall") for i in range(count)]
        if "arm" in uses:
            return uses.index("arm")
        backs = [i for i in range(count) if walls[i] == "back" and uses[i] is None]
        return backs[0] if backs else (-1 if count else 0)

    def wall(self) -> str:
        return self.said("prop", "openings", self.opening(), "wall") or "back"

    def limb(self) -> int:
        """Index of the false limb that replaces the hidden arm, else the first."""
        node, hidden = self.get("false limbs"), self.said("performer", "hide", 0)
        count = len(node.value) if isinstance(node, yaml.SequenceNode) else 0
        same = [i for i in range(count) if hidden and self.said("false limbs", i, "replaces") == hidden]
        return same[0] if same else 0

    def locks(self, questions: Iterable[str]) -> dict[str, str]:
        """Questions that this file answers in another way than they are asked, and why they are put aside."""
        locked: dict[str, str] = {}

        def lock(prefix: tuple[str, ...], why: str) -> None:
            locked.update({name: why for name in questions if name.startswith(prefix)})

        get = self.get
        if get("prop", "mesh") is not None:
            lock(("box.", "opening."), _ASKED_ONLY_AS_BOX)
        if get("prop", "at", "front edge") is not None:
            lock(("at.up", "at.tilt"), "This file gives the heights of the box's two bottom edges instead.")
        if isinstance(get("pose", "visible hand"), yaml.ScalarNode):
            lock(("hand",), "The visible hand holds nothing in this file.")
        if get("false limbs", self.limb(), "shoulder to wrist") is not None:
            lock(("limb.elbow",), "This file gives the shoulder-to-wrist distance instead.")
        if get("blocking", "aim at") is not None or isinstance(get("blocking", "facing"), yaml.SequenceNode):
            lock(("facing",), "This file says in another way where the performer faces.")
        if get("blocking", "beats") is not None or get("beats") is not None:
            lock(("mark.", "facing"), "This file has a path of several beats.")
        if get("venue") is not None and get("venue", "use") is None:
            lock(("venue",), "The venue is described in this file itself.")
        openings = get("prop", "openings")
        if isinstance(openings, yaml.SequenceNode) and openings.value and self.opening() < 0:
            lock(("opening.",), "None of the openings in this file is for an arm.")
        eyes = get("eyes")
        if eyes is not None and self.said("eyes", 0, "id") != EXTRA_EYE:
            lock(("eye.",), "This file has eyes of its own.")
        return locked
