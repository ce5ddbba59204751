"""Everything that the page's own script works with, as plain data for JSON."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any

import numpy as np

from sightline.blocking.notation import datum
from sightline.packet.pageact import PageAct
from sightline.packet.pagemoment import PageMoment, Timeline
from sightline.packet.planpicture import Laid
from sightline.packet.quick import DOUBT_RAD
from sightline.packet.quickfield import STEP_RAD
from sightline.packet.reduced import Piece
from sightline.packet.wording import noun, spare_deg
from sightline.pictures import style
from sightline.pictures.layer import LARGEST_ARCMIN, SMALLEST_ARCMIN
from sightline.pictures.palette import Palette
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight import noticing
from sightline.sight.check import Finding, Thresholds, pixel_arcmin

# How far from the scene's own mark the page lets anybody try.
REACH_M = 12.0
BACKDROP_DARK = "#1d2023"


def thresholds_of(scene: Scene) -> Thresholds:
    """What the scene says about noticing."""
    return Thresholds(scene.noticing.spot_arcmin, scene.noticing.line_arcsec, scene.noticing.sway)


class Pieces:
    """Every surface of the 3D pane once, however many stagings share it."""

    def __init__(self) -> None:
        self.data: list[dict[str, Any]] = []
        self.bytes = 0
        self._known: dict[str, int] = {}

    def add(self, piece: Piece, inside: bool) -> int:
        data = piece.as_data() | ({"inside": True} if inside else {})
        text = json.dumps(data)
        if text not in self._known:
            self._known[text] = len(self.data)
            self.data.append(data)
            self.bytes += len(text)
        return self._known[text]

    def mark(self) -> tuple[int, int]:
        return len(self.data), self.bytes

    def back_to(self, mark: tuple[int, int]) -> None:
        count, self.bytes = mark
        del self.data[count:]
        self._known = {text: index for text, index in self._known.items() if index < count}


def act_data(act: PageAct, pieces: Pieces) -> dict[str, Any]:
    insides = {s.name for s in act.own.still.secrets if s.kind == "inside"}
    return act.as_data() | {"pieces": [pieces.add(piece, piece.name in insides) for piece in act.pieces]}


def page_data(
    written: Written[Scene], moments: list[PageMoment], acts: list[dict[str, Any]], pieces: Pieces,
    timeline: Timeline | None, laid: Laid, secrets: list[str], palette: Palette,
) -> dict[str, Any]:  # fmt: skip
    found = moments[0].finding
    moment, limits = found.moment, thresholds_of(written.model)
    eyes = moment.eyes
    acuity = [noticing.acuity(e.kind, pixel_arcmin(e), limits.spot_arcmin, limits.line_arcsec) for e in eyes]
    company = timeline.company if timeline else None
    bleached = replace(palette, round_about=frozenset(c.name for c in moment.setting))
    return {
        "title": written.model.title,
        "nouns": [noun(eyes, 1), noun(eyes)],
        "keepName": f"{_file_word(written.model.title)}-kept-move.yaml",
        "datum": "plaster line" if datum(moment.plan.outlines) == "PL" else "pitch's centre",  # type: ignore[arg-type]
        "floor": "performing floor",
        "reachM": REACH_M,
        "worst": worst_eye(found),
        "eyes": {
            "id": [e.id for e in eyes], "kind": [e.kind for e in eyes], "weight": [e.weight for e in eyes],
            "x": [round(e.position_m[0], 3) for e in eyes], "y": [round(e.position_m[1], 3) for e in eyes],
            "z": [round(e.position_m[2], 3) for e in eyes],
            "sways": [int(limits.sway and noticing.sways(e.kind)) for e in eyes],
            "spot": [round(a.spot_arcmin, 4) for a in acuity], "line": [round(a.line_arcsec, 4) for a in acuity],
        },
        "rules": {
            "step": float(STEP_RAD), "doubt": float(DOUBT_RAD), "leastContrast": noticing.LEAST_CONTRAST,
            "lineRun": noticing.LINE_RUN_ARCMIN, "side": noticing.EYES_APART_M / 2 + noticing.LEAN_M, "up": noticing.LEAN_M,
        },
        "scale": {"low": SMALLEST_ARCMIN, "high": LARGEST_ARCMIN, "steps": len(style.SCALE_STOPS)},
        "colours": {
            "scale": style.SCALE_STOPS, "faint": style.SCALE_STOPS[0], "hidden": style.HIDDEN, "marked": style.MARKED,
            "backdrop": style.BACKDROP, "backdropDark": BACKDROP_DARK,
        },
        "plan": {"px": laid.at[:, 0].tolist(), "py": laid.at[:, 1].tolist(), "radius": laid.radius},
        "secrets": [{"name": name, "kind": _kind(moments, name)} for name in secrets],
        "poses": [pose.name for pose in moment.poses],
        "mirrors": [mirror.name for mirror in moment.mirrors],
        "moments": [m.as_data(secrets) for m in moments],
        "details": moments[0].details(secrets),
        "frames": timeline.frames if timeline else [],
        "crowd": None if company is None else {
            "moving": company.moving, "mark": company.mark_m, "facing": float(np.degrees(company.facing_rad)),
            "rings": company.crowd == "rings",
        },
        "acts": acts,
        "pieces": pieces.data,
        "setting": [Piece(c.name, c.mesh, bleached.base(c.name)).as_data() for c in moment.setting if len(c.mesh.faces)],
    }  # fmt: skip


def worst_eye(found: Finding) -> int:
    """The eye that sees most; where nobody sees anything the one with least to spare, if that is known."""
    worst, size, least = found.worst_verdict(), found.size_of_leak(), found.least_margin()
    spare = np.zeros(len(worst)) if least is None else np.where(np.isnan(least), 180.0, least)
    return max(range(len(worst)), key=lambda i: (int(worst[i]), float(size[i]), -float(spare[i]), -i))


def _kind(moments: list[PageMoment], name: str) -> str:
    return next(m.finding.secrets[name].sighting.secret.kind for m in moments if name in m.finding.secrets)


def _file_word(title: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40] or "scene"


def least_words(found: Finding) -> str | None:
    known = spare_deg(found)
    return f"{known.min():.1f} deg" if len(known) else None


def per_secret(found: Finding) -> list[dict[str, Any]]:
    return [
        {"name": name, "kind": s.sighting.secret.kind, "seen": int((s.verdict == 2).sum()),
         "faint": int((s.verdict == 1).sum()), "hidden": int((s.verdict == 0).sum())}
        for name, s in found.secrets.items()
    ]  # fmt: skip


def quick_limits(own: PageMoment) -> list[str]:
    """What the quick answer leaves away, for this scene."""
    moment = own.finding.moment
    out = ["On tried marks and between beats: whether a must-see stays in view, margins, the edge of the floor"]
    if moment.mirrors:
        out.append("On tried marks: what shows in a mirror")
    if moment.heads_count:
        out.append("On tried marks: other people's heads, which this scene counts as cover")
    if moment.lamps:
        out.append("On tried marks: shadows thrown by lamps")
    return out
