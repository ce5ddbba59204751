"""The packet's figures for other programs: seats and beats as tables, the act in three dimensions."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.packet.brief import Brief
from sightline.packet.paper import Kind
from sightline.sight.check import VERDICTS


def _seats(brief: Brief) -> bytes:
    """Every eye: where it is, its worst verdict, and of each secret the verdict, size and margin."""
    from sightline.blocking.marks import csv_text

    finding, moment = brief.finding, brief.moment
    worst = finding.worst_verdict()
    columns = ["id", "kind", "level", "row", "seat", "x_m", "y_m", "z_m", "weight", "worst"]
    for name in finding.secrets:
        columns += [f"{name}: verdict", f"{name}: arcmin", f"{name}: margin_deg"]
    rows = []
    for i, eye in enumerate(moment.eyes):
        x, y, z = (_plain(value) for value in eye.position_m)
        row = {
            "id": eye.id, "kind": eye.kind, "level": eye.level or "", "row": eye.row or "", "seat": eye.seat or "",
            "x_m": x, "y_m": y, "z_m": z, "weight": _plain(eye.weight), "worst": VERDICTS[worst[i]],
        }  # fmt: skip
        for name, found in finding.secrets.items():
            margin = None if found.margin_deg is None else float(found.margin_deg[i])
            row |= {
                f"{name}: verdict": VERDICTS[found.verdict[i]],
                f"{name}: arcmin": _plain(float(found.size_arcmin[i])),
                f"{name}: margin_deg": "" if margin is None or np.isnan(margin) else _plain(margin),
            }
        rows.append(row)
    return csv_text(rows, columns).encode("utf-8")


def _plain(value: float) -> str:
    """A plain decimal number, never 1e-05: that is text to a spreadsheet."""
    said = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if said == "-0" else said


def _beats(brief: Brief) -> bytes:
    from sightline.blocking.attention import attention_of
    from sightline.blocking.logbook import beats_csv, document, worst_moments

    rehearsal = brief.rehearsal
    report = document(rehearsal, attention_of(rehearsal), worst_moments(rehearsal), brief.scene_name)
    return beats_csv(report, rehearsal).encode("utf-8")


def _solid(brief: Brief) -> bytes:
    from sightline.packet.solids import glb

    return glb(brief)


KINDS: list[Any] = [
    Kind("data", "seats", "Every seat, as a table", ("director", "other programs"), "closed", _seats, "csv"),
    Kind("data", "beats", "Every beat, as a table", ("stage manager", "other programs"), "closed", _beats, "csv"),
    Kind("data", "scene", "The act in three dimensions", ("builder", "other programs"), "closed", _solid, "glb"),
]  # fmt: skip
