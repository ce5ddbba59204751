"""Files that claim more than they hold, made small: meshes and plans for the tests of hostile input."""

from __future__ import annotations

import copy
import io
import json
import struct
from typing import Any

import ezdxf.filemanagement
from ezdxf.document import Drawing

CORNERS = struct.pack("<9f", 0, 0, 0, 1, 0, 0, 0, 0, 1)
TRIANGLE: dict[str, Any] = {
    "asset": {"version": "2.0"},
    "buffers": [{"byteLength": 42}],
    "bufferViews": [{"buffer": 0, "byteOffset": 0, "byteLength": 36}, {"buffer": 0, "byteOffset": 36, "byteLength": 6}],
    "accessors": [
        {"bufferView": 0, "componentType": 5126, "count": 3, "type": "VEC3"},
        {"bufferView": 1, "componentType": 5123, "count": 3, "type": "SCALAR"},
    ],
    "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
    "nodes": [{"mesh": 0}],
    "scenes": [{"nodes": [0]}],
    "scene": 0,
}


def glb(**changed: Any) -> bytes:
    """A GLB of one triangle with top-level entries of its description changed."""
    return packed(json.dumps({**copy.deepcopy(TRIANGLE), **changed}).encode())


def packed(described: bytes) -> bytes:
    described += b" " * (-len(described) % 4)
    held = CORNERS + struct.pack("<4H", 0, 1, 2, 0)
    body = struct.pack("<I4s", len(described), b"JSON") + described + struct.pack("<I4s", len(held), b"BIN\0") + held
    return struct.pack("<4sII", b"glTF", 2, 12 + len(body)) + body


def glb_part(**changed: Any) -> bytes:
    """The same with the one part of its mesh changed."""
    return glb(meshes=[{"primitives": [{**TRIANGLE["meshes"][0]["primitives"][0], **changed}]}])


def glb_corners(**changed: Any) -> bytes:
    """The same with the accessor of its corners changed; None takes a key away."""
    first = {k: v for k, v in {**TRIANGLE["accessors"][0], **changed}.items() if v is not None}
    return glb(accessors=[first, TRIANGLE["accessors"][1]])


def ply(vertices: int = 3, faces: int = 1, words: bool = True, count: str = "uchar") -> bytes:
    """A PLY of one triangle that says it has so many vertices and faces."""
    head = (
        f"ply\nformat {'ascii' if words else 'binary_little_endian'} 1.0\nelement vertex {vertices}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {faces}\nproperty list {count} int vertex_indices\nend_header\n"
    ).encode()
    if words:
        return head + b"0 0 0\n1 0 0\n0 0 1\n3 0 1 2\n"
    return head + CORNERS + struct.pack("<B3i" if count == "uchar" else "<I3i", 3, 0, 1, 2)


def stl(facets: int, held: int) -> bytes:
    """A binary STL that says it has so many facets, and holds `held`."""
    one = struct.pack("<12fH", 0, -1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0)
    return b"\0" * 80 + struct.pack("<I", facets) + one * held


FACET = "facet normal 0 -1 0\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 0 1\nendloop\nendfacet\n"


def drawing() -> Drawing:
    """An empty plan in metres with the layer SEATS."""
    made = ezdxf.filemanagement.new("R2000", units=6)
    made.layers.add("SEATS")
    return made


def dxf(made: Drawing) -> bytes:
    out = io.StringIO()
    made.write(out)
    return out.getvalue().encode()
