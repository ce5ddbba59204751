"""What a mesh file of a stranger's says of itself, read before anything is made of it: a few bytes may claim 10^9 triangles.

Each function raises Refused for what claims too much or is cut off. Most give the least count of triangles that a reader
must find: one that finds fewer has lost part of a secret or of a cover.
"""

from __future__ import annotations

import json
import re
import struct
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray

MOST_FACES = 2_000_000
# Parts of a scene in a GLB, counted as often as they stand in it, and how deep they hang in each other.
MOST_PARTS, MOST_DEEP = 2_000, 100
MOST_PLY_HEADER = 100_000
# glTF 2.0, 3.7.2.1: modes 4 to 6 are triangles, 0 to 3 points and lines.
_TRIANGLES, _STRIP, _FAN = 4, 5, 6
# What stands in place of the plain numbers of a mesh.
_PACKED = ("KHR_draco_mesh_compression", "EXT_meshopt_compression", "KHR_meshopt_compression")


class Refused(Exception):
    """The file's own claims are too much, or not kept; `str()` goes on from its name."""


def plain_obj(data: bytes) -> tuple[bytes, int]:
    """An OBJ's corners and faces alone, without the many other things that may stand in one; and its count of faces."""
    lines = [line.strip() for line in data.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ").splitlines()]
    corners = [line for line in lines if line.startswith((b"v ", b"v\t"))]
    faces = [re.sub(rb"/[^\s]*", b"", line) for line in lines if line.startswith((b"f ", b"f\t"))]
    _most(len(faces))
    if any(b"-" in face for face in faces):
        # Counted back from where the face stands.
        return b"\n".join(_forward(lines)) + b"\n", len(faces)
    return b"\n".join([*corners, *faces]) + b"\n", len(faces)


def _forward(lines: list[bytes]) -> list[bytes]:
    out, known = [], 0
    for line in lines:
        if line.startswith((b"v ", b"v\t")):
            known += 1
            out.append(line)
        elif line.startswith((b"f ", b"f\t")):
            numbers = [int(word.partition(b"/")[0]) for word in line.split()[1:]]
            if any(number < -known for number in numbers):
                raise Refused("has a face with a corner that is not there")
            out.append(b"f " + b" ".join(b"%d" % (n if n > 0 else known + 1 + n) for n in numbers))
    return out


def stl_corners(data: bytes) -> FloatArray:
    """The corners (3 n, 3) of the n triangles of an STL, binary or words."""
    if len(data) >= 84 and len(data) == 84 + 50 * struct.unpack_from("<I", data, 80)[0]:
        _most((len(data) - 84) // 50)
        facets = np.frombuffer(
            data, dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")], offset=84
        )
        return facets["corners"].reshape(-1, 3).astype(float)
    if not data[:200].lstrip().lower().startswith(b"solid"):
        raise Refused("is cut off, or is no STL")
    words = data.lower()
    found = re.findall(rb"\bvertex\s+(\S+)\s+(\S+)\s+(\S+)", words)
    facets_said = words.count(b"endfacet")
    _most(facets_said)
    solids, ends = (len(re.findall(rb"^\s*" + word + rb"\b", words, re.MULTILINE)) for word in (b"solid", b"endsolid"))
    if len(found) != 3 * facets_said or solids != ends:
        raise Refused("is cut off, or is no STL")
    return np.array([[float(number) for number in corner] for corner in found]).reshape(-1, 3)


def ply_faces(data: bytes) -> int:
    """How many faces a PLY's head says it has; Refused where what follows cannot hold them."""
    end = re.search(rb"\bend_header[ \t]*\r?\n", data[:MOST_PLY_HEADER])
    if not data.startswith(b"ply") or end is None:
        raise Refused("is cut off, or is no PLY")
    said = re.findall(rb"^element[ \t]+(\S+)[ \t]+([0-9]{1,15})[ \t]*\r?$", data[: end.start()], re.MULTILINE)
    counts = {name: int(number) for name, number in said}
    if len(counts) != len(said) or len(said) > 20:
        raise Refused("has a head that cannot be understood")
    _most(max(counts.values(), default=0))
    rest = len(data) - end.end()
    ascii_words = re.search(rb"^format[ \t]+ascii", data[: end.start()], re.MULTILINE) is not None
    # Every vertex and face takes a line of its own, or at least a byte.
    if sum(counts.values()) > (len(data[end.end() :].split(b"\n")) if ascii_words else rest):
        raise Refused("is cut off: it says that it holds more than there is")
    return counts.get(b"face", 0)


def glb_faces(data: bytes) -> int:
    """How many triangles a GLB's scene comes to. Refused also for what this cannot show as it is meant."""
    magic, version, length = struct.unpack_from("<4sII", data) if len(data) >= 20 else (b"", 0, 0)
    if magic != b"glTF" or version != 2 or length > len(data):
        raise Refused("is cut off, or is no GLB of version 2")
    size, kind = struct.unpack_from("<I4s", data, 12)
    if kind != b"JSON" or 20 + size > len(data):
        raise Refused("is cut off, or is no GLB of version 2")
    try:
        tree: Any = json.loads(data[20 : 20 + size])
        return _Scene(tree).faces()
    except (RecursionError, KeyError, TypeError, AttributeError, IndexError, UnicodeDecodeError, json.JSONDecodeError):
        raise Refused("has a description that cannot be understood") from None


class _Scene:
    def __init__(self, tree: Any):
        self.tree = tree
        if any(name in _PACKED for name in tree.get("extensionsRequired", [])):
            raise Refused("is packed in a way that this does not read; export it without compression")
        # Also what no part names is laid out by the reader.
        held = sum(_count(item["count"]) for item in tree.get("accessors", []) if "bufferView" not in item)
        if held > 3 * MOST_FACES:
            raise Refused(f"claims {held:,} values that it does not hold")
        self.sizes = [self._of_mesh(mesh) for mesh in tree.get("meshes", [])]

    def _of_mesh(self, mesh: Any) -> tuple[int, int]:
        """Parts and triangles of one mesh."""
        faces = 0
        for part in mesh["primitives"]:
            mode = part.get("mode", _TRIANGLES)
            if mode not in (_TRIANGLES, _STRIP, _FAN):
                continue
            if mode == _FAN:
                raise Refused("is made of triangle fans, which this does not read; export it as triangles")
            used = [part["attributes"]["POSITION"], *([part["indices"]] if "indices" in part else [])]
            if any("sparse" in self._accessor(index) for index in used):
                raise Refused("has corners that are stored apart, which this does not read; export it plainly")
            count = _count(self._accessor(used[-1])["count"])
            faces += count // 3 if mode == _TRIANGLES else 0
            _most(count // 3)
        return len(mesh["primitives"]), faces

    def _accessor(self, index: Any) -> Any:
        return self.tree["accessors"][_count(index)]

    def faces(self) -> int:
        nodes = self.tree.get("nodes", [])
        parents = [0] * len(nodes)
        for node in nodes:
            for child in node.get("children", []):
                parents[_count(child)] += 1
        if max(parents, default=0) > 1:
            raise Refused("has a part that hangs in two others")
        reached, faces = self._below(nodes, [index for index, above in enumerate(parents) if not above])
        if reached < len(nodes):
            raise Refused("has a part that hangs in itself")
        scenes = self.tree.get("scenes")
        return self._below(nodes, scenes[_count(self.tree.get("scene", 0))].get("nodes", []))[1] if scenes else faces

    def _below(self, nodes: Any, tops: list[Any]) -> tuple[int, int]:
        """How many nodes hang below these, with them, and their triangles."""
        todo = [(_count(index), 0) for index in tops]
        reached = parts = faces = 0
        while todo:
            index, deep = todo.pop()
            reached += 1
            node = nodes[index]
            if "mesh" in node:
                more, triangles = self.sizes[_count(node["mesh"])]
                parts, faces = parts + more, faces + triangles
                _most(faces)
            if parts > MOST_PARTS or reached > MOST_PARTS or deep > MOST_DEEP:
                raise Refused(f"has more than {MOST_PARTS:,} parts, or more than {MOST_DEEP} in one another; join them")
            todo += [(child, deep + 1) for child in node.get("children", [])]
        return reached, faces


def _count(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise TypeError
    return value


def _most(faces: int) -> None:
    if faces > MOST_FACES:
        raise Refused(f"says that it has {faces:,} triangles; the most is {MOST_FACES:,}. Simplify it first")
