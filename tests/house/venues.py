"""Shared by the tests of houses: a venue from text, built; rays against its scenery."""

from __future__ import annotations

from textwrap import dedent

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box
from sightline.house.build import House, build
from sightline.house.ready import ready_path
from sightline.scene.document import read_document, read_text
from sightline.scene.venue import Venue


def venue_of(text: str) -> Venue:
    return Venue.model_validate(read_text(dedent(text), "venue.yaml").tree)


def no_file(name: str) -> bytes:
    raise AssertionError(f"'{name}' was not to be read")


def unit_box(name: str) -> Mesh:
    return box(1.0, 1.0, 1.0)


def house_of(text: str, files: dict[str, bytes] | None = None) -> House:
    read = files.__getitem__ if files is not None else no_file
    return build(venue_of(text), read_file=read, read_mesh=unit_box)


def ready_house(name: str) -> House:
    venue = Venue.model_validate(read_document(ready_path(name)).tree)
    return build(venue, read_file=no_file, read_mesh=unit_box)


def blockers(house: House, eye_m: FloatArray, point_m: FloatArray) -> set[str]:
    """Names of the scenery between an eye and a point: every triangle against the segment, by its own plane."""
    out = set()
    way = point_m - eye_m
    for cover in house.scenery:
        a, b, c = (cover.mesh.corners[:, k] for k in range(3))
        ab, ac = b - a, c - a
        p = np.cross(way, ac)
        det = np.einsum("ij,ij->i", ab, p)
        ok = np.abs(det) > 1e-12
        inverse = 1.0 / np.where(ok, det, 1.0)
        s = eye_m - a
        u = np.einsum("ij,ij->i", s, p) * inverse
        q = np.cross(s, ab)
        v = q @ way * inverse
        t = np.einsum("ij,ij->i", ac, q) * inverse
        if np.any(ok & (u >= 0) & (v >= 0) & (u + v <= 1) & (t > 1e-9) & (t < 1 - 1e-9)):
            out.add(cover.name)
    return out
