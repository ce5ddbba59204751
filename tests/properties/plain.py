"""Plain-geometry scenes drawn by chance, moved as a whole, and written as scene files.

A scene is kept as values in metres and degrees, so that a property can change one thing and write the file anew; every
check goes through the real reader. Places are drawn without any grid: on one, edges, patch centres and eyes would line
up, and what is only just hidden is left to rounding.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box, cylinder, disc, rectangle, sphere
from sightline.scene.reading import scene_from_text
from sightline.sight.check import Finding, check
from sightline.staging import stage
from tests.sight.meshes import only, write_mesh

Place = tuple[float, float, float]
Tree = dict[str, Any]
SHAPES: dict[str, Callable[..., Mesh]] = {
    "rectangle": rectangle, "disc": disc, "box": box, "cylinder": cylinder, "sphere": sphere,
}  # fmt: skip


@dataclass(frozen=True)
class Piece:
    """A cover, secret, must-see or mirror. `facing`: degrees, or a direction; `said`: further keys as they are written."""

    name: str
    shape: str
    sizes_m: dict[str, float]
    at: Place
    facing: float | Place
    said: dict[str, str] = field(default_factory=dict)
    path: tuple[Place, ...] = ()
    mesh: Mesh | None = None


@dataclass(frozen=True)
class Plain:
    """A whole scene. Eyes are (id, kind, place)."""

    covers: tuple[Piece, ...]
    secrets: tuple[Piece, ...]
    eyes: tuple[tuple[str, str, Place], ...]
    mirrors: tuple[Piece, ...] = ()
    must_see: tuple[Piece, ...] = ()
    detail_m: float = 0.02


def drawn(seed: int, kinds: tuple[str, ...] = ("point",), eyes: int = 24) -> Plain:
    """A scene of covers about a few secrets, one mirror, a must-see, and eyes all round."""
    chance = np.random.default_rng(seed)

    def between(low: float, high: float) -> float:
        return float(chance.uniform(low, high))

    def facing() -> float | Place:
        if chance.random() < 0.6:
            return between(-180, 180)
        return (between(-1, 1), between(-1, 1), between(-0.8, 0.8))

    def sizes(shape: str, size: float) -> dict[str, float]:
        keys = {
            "rectangle": ("width", "height"), "disc": ("radius",), "box": ("width", "depth", "height"),
            "cylinder": ("radius", "height"), "sphere": ("radius",),
        }[shape]  # fmt: skip
        out = {key: size * between(0.6, 1.4) for key in keys}
        if "radius" in out:
            out["radius"] *= 0.25 if shape == "cylinder" else 0.5
        return out

    covers = []
    for k in range(int(chance.integers(3, 6))):
        shape = str(chance.choice(list(SHAPES)))
        turn, far = between(0, 2 * math.pi), between(0.5, 1.1)
        at = (far * math.sin(turn), -far * math.cos(turn), between(0.8, 1.6))
        covers.append(Piece(f"cover {k}", shape, sizes(shape, 0.55), at, facing()))
    secrets = []
    for k, shape in enumerate(chance.choice(list(SHAPES), size=2, replace=False)):
        at = (between(-0.2, 0.2), between(-0.2, 0.2), between(0.9, 1.5))
        said = {"two sided": "yes"} if chance.random() < 0.3 else {}
        secrets.append(Piece(f"secret {k}", str(shape), sizes(str(shape), 0.25), at, facing(), said))
    path = tuple((between(-0.3, 0.3), between(-0.3, 0.3), between(0.8, 1.7)) for _ in range(3))
    secrets.append(Piece("cord", "", {}, (0, 0, 0), 0.0, {"kind": "seam", "contrast": "0.3"}, path))
    must = Piece("owl", "sphere", {"radius": 0.12}, (between(-0.3, 0.3), between(-0.5, 0), 1.75), 0.0)
    glass = Piece("glass", "rectangle", {"width": 1.1, "height": 1.3}, (2.1, between(-1, 1), 1.2), between(-110, -70))
    seats = []
    for k in range(eyes):
        turn, far = 2 * math.pi * (k + between(0, 1)) / eyes, between(3.0, 7.0)
        at = (far * math.sin(turn), -far * math.cos(turn), between(0.5, 2.6))
        seats.append((f"E{k}", kinds[k % len(kinds)], at))
    return Plain(tuple(covers), tuple(secrets), tuple(seats), (glass,), (must,))


def bowl(name: str, at: Place, facing: float) -> Piece:
    """An open half ball as a mesh of its own."""
    mesh = sphere(0.2)
    return Piece(name, "mesh", {}, at, facing, mesh=only(mesh, mesh.corners.mean(axis=1)[:, 1] > 0))


def each_piece(plain: Plain, change: Callable[[Piece], Piece]) -> Plain:
    covers, secrets, mirrors, must_see = (
        tuple(change(one) for one in part) for part in (plain.covers, plain.secrets, plain.mirrors, plain.must_see)
    )
    return replace(plain, covers=covers, secrets=secrets, mirrors=mirrors, must_see=must_see)


def moved(plain: Plain, place: Callable[[Place], Place], facing: Callable[[float | Place], float | Place]) -> Plain:
    """The scene with every place and facing mapped."""

    def piece(one: Piece) -> Piece:
        path = tuple(place(point) for point in one.path)
        return replace(one, at=place(one.at), facing=facing(one.facing), path=path)

    eyes = tuple((name, kind, place(at)) for name, kind, at in plain.eyes)
    return replace(each_piece(plain, piece), eyes=eyes)


def turned(plain: Plain, turn_deg: float, by: Place) -> Plain:
    """Turned about the origin's vertical, then moved: the motions that the format has. (Width stays level in it.)"""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))

    def spun(at: Place) -> Place:
        return (c * at[0] - s * at[1], s * at[0] + c * at[1], at[2])

    def shifted(at: Place) -> Place:
        x, y, z = spun(at)
        return (x + by[0], y + by[1], z + by[2])

    return moved(plain, shifted, lambda f: spun(f) if isinstance(f, tuple) else (f + turn_deg + 180) % 360 - 180)


def mirrored(plain: Plain) -> Plain:
    """Stage left and right exchanged. Every shape that is drawn is its own mirror image."""
    return moved(
        plain, lambda at: (-at[0], at[1], at[2]), lambda f: (-f[0], f[1], f[2]) if isinstance(f, tuple) else -f
    )


def scaled(plain: Plain, by: float) -> Plain:
    """Every length times `by`, the spacing of patches too."""
    out = moved(plain, lambda at: (at[0] * by, at[1] * by, at[2] * by), lambda f: f)

    def piece(one: Piece) -> Piece:
        said = {**one.said, "width": f"{0.001 * by:.12f} m"} if one.path else one.said
        mesh = None if one.mesh is None else Mesh.of(one.mesh.vertices * by, one.mesh.faces)
        return replace(one, sizes_m={key: size * by for key, size in one.sizes_m.items()}, said=said, mesh=mesh)

    return replace(each_piece(out, piece), detail_m=plain.detail_m * by)


def as_mesh(piece: Piece) -> Piece:
    """A shape as the imported mesh that it is made into."""
    if piece.path or piece.mesh is not None:
        return piece
    return replace(piece, shape="mesh", sizes_m={}, mesh=SHAPES[piece.shape](*piece.sizes_m.values()))


def metres(value: float) -> str:
    return f"{value:.12f} m"


def tree_of(plain: Plain, length: Callable[[float], str] = metres, folder: Path | None = None) -> Tree:
    """The scene as what a file holds: nested keys, lists and text. Meshes are written into `folder`."""

    def place(at: Place) -> list[str]:
        return [length(part) for part in at]

    def entry(one: Piece) -> Tree:
        out: Tree = {"name": one.name, **one.said}
        if one.path:
            return {**out, "path": [place(at) for at in one.path]}
        if one.mesh is not None:
            assert folder is not None
            out["mesh"] = write_mesh(folder / f"{one.name.replace(' ', '-')}.obj", one.mesh)
        else:
            out[one.shape] = {key: length(size) for key, size in one.sizes_m.items()}
        out["at"] = place(one.at)
        out["facing"] = [f"{d:.12f}" for d in one.facing] if isinstance(one.facing, tuple) else f"{one.facing:.12f} deg"
        return out

    out: Tree = {
        "version": "1", "title": "Drawn", "detail": length(plain.detail_m),
        "covers": [entry(one) for one in plain.covers], "secrets": [entry(one) for one in plain.secrets],
        "must see": [entry(one) for one in plain.must_see],
        "eyes": [{"id": name, "kind": kind, "at": place(at)} for name, kind, at in plain.eyes],
    }  # fmt: skip
    return {**out, "venue": {"mirrors": [entry(one) for one in plain.mirrors]}} if plain.mirrors else out


def text_of(tree: Tree) -> str:
    """The file: JSON is YAML."""
    return json.dumps(tree, ensure_ascii=False, indent=1)


def found(plain: Plain, folder: Path | None = None) -> Finding:
    return finding_of_tree(tree_of(plain, folder=folder), folder)


def finding_of_tree(tree: Tree, folder: Path | None = None) -> Finding:
    return check(stage(scene_from_text(text_of(tree), folder=folder or Path("."))))
