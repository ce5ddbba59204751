"""Patterns of plain tubes, made without flattening: pieces of a cylinder whose flat form is known."""

from __future__ import annotations

import numpy as np

from sightline.pattern.pattern import Foam, Pattern, SeamLine
from sightline.pattern.piece import Edge, EdgeKind, Piece, Strain
from sightline.pattern.tube import Tube

AROUND, ALONG = 48, 31


def strain() -> Strain:
    return Strain(np.zeros((0, 2), dtype=np.int64), np.zeros(0), 0.0, 0.0, 0.0, 0.0, 0.0)


def foam(thickness_m: float = 0.01, material: str = "upholstery foam") -> Foam:
    return Foam(material, thickness_m, "outside", 0.5, 0.0, 0.1)


def tube_pattern(
    sections: list[tuple[str, float]], panels: int = 1, radius_m: float = 0.05, closed: bool = False, limb: str = "tube"
) -> Pattern:
    """Tubes end to end along -z, each of so many panels; a ring between one and the next.

    With `closed` the far ends are no free ends but meet each other, so that nothing stays open: no limb is like that.
    """
    pieces: list[Piece] = []
    top = 0.0
    count = len(sections) * panels
    for s, (name, long_m) in enumerate(sections):
        for p in range(panels):
            turn = np.linspace(2 * np.pi * p / panels, 2 * np.pi * (p + 1) / panels, AROUND // panels + 1)
            down = top - np.linspace(0.0, long_m, ALONG)
            grid_z, grid_t = np.meshgrid(down, turn, indexing="ij")
            at = np.stack([radius_m * np.cos(grid_t), radius_m * np.sin(grid_t), grid_z], axis=-1)
            flat = np.stack([-radius_m * (grid_t - turn[0]), grid_z - down[-1]], axis=-1)
            m, n = grid_z.shape
            index = np.arange(m * n).reshape(m, n)
            first = np.stack([index[:-1, :-1], index[1:, :-1], index[:-1, 1:]], axis=-1).reshape(-1, 3)
            second = np.stack([index[1:, :-1], index[1:, 1:], index[:-1, 1:]], axis=-1).reshape(-1, 3)
            upper: tuple[str, EdgeKind] = ("shoulder", "free") if s == 0 else (f"ring {s}", "seam")
            lower: tuple[str, EdgeKind] = ("wrist", "free") if s == len(sections) - 1 else (f"ring {s + 1}", "seam")
            if closed:
                upper = ("cap", "seam") if s == 0 else upper
                lower = ("cap", "seam") if s == len(sections) - 1 else lower
            edges = (
                Edge(f"{name} seam {p + 1}", "seam", "a", index[:, 0]),
                Edge(f"{name} seam {(p + 1) % panels + 1}", "seam", "b", index[:, -1]),
                Edge(upper[0], upper[1], "b", index[0]),
                Edge(lower[0], lower[1], "a", index[-1]),
            )
            outline = np.concatenate([index[0, ::-1], index[1:, 0], index[-1, 1:], index[-2:0:-1, -1]])
            pieces.append(
                Piece(
                    f"{name} {p + 1}" if panels > 1 else name, len(pieces) + 1, count, at.reshape(-1, 3),
                    np.concatenate([first, second]), edges, flat.reshape(-1, 2), outline[::-1].copy(), strain(),
                )
            )  # fmt: skip
        top -= long_m
    turn = np.linspace(0, 2 * np.pi, AROUND, endpoint=False)
    down = np.linspace(0.0, top, 41)
    z, t = np.meshgrid(down, turn, indexing="ij")
    skin = np.stack([radius_m * np.cos(t), radius_m * np.sin(t), z], axis=-1)
    ring = None if len(sections) == 1 else int(np.argmin(np.abs(down + sections[0][1])))
    tube = Tube(limb, "left", skin, np.broadcast_to((z / top), z.shape), t, ring, 1)
    seams = [
        SeamLine(f"{name} seam {p + 1}", "lengthwise", np.array([0.0, 1.0]), np.zeros(2), np.zeros((2, 3)))
        for name, _ in sections
        for p in range(panels)
    ]
    seams += [
        SeamLine(f"ring {s}", "ring", np.full(2, 0.5), np.array([0.0, 2 * np.pi]), np.zeros((2, 3)))
        for s in range(1, len(sections))
    ]
    return Pattern("A tube", limb, foam(), tube, tuple(seams), tuple(pieces))
