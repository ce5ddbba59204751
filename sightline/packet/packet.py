"""The packet: every paper that the scene gives matter for, and the list of them with how to tell they are whole."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.packet.brief import Brief
from sightline.packet.frame import Block, framed, stamped
from sightline.packet.paper import Kind, LeftOut, Missing, Paper, Sheets
from sightline.packet.write import MADE_BY, MANIFEST
from sightline.sight.report import rounded

STANDS_FOR = {
    "open": "For everybody.",
    "closed": "It shows the working: for the company only.",
}


@dataclass(frozen=True)
class Packet:
    """All that was made, and what was left out, in the order of the papers."""

    papers: tuple[Paper, ...]
    missing: tuple[Missing, ...]
    manifest: dict[str, Any]

    def files(self) -> dict[str, bytes]:
        """Every file by its path below the packet's folder, the list last."""
        listed = json.dumps(self.manifest, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
        return {paper.kind.path: paper.data for paper in self.papers} | {MANIFEST: listed.encode("utf-8")}


def packet_of(brief: Brief, kinds: Sequence[Kind]) -> Packet:
    """Make these papers. Raises SightlineError for what is wrong in the scene; what makes no sense is left out."""
    papers, missing = [], []
    for kind in kinds:
        brief.tick(kind.title)
        try:
            papers.append(made(brief, kind))
        except LeftOut as left:
            missing.append(Missing(kind, str(left)))
    return Packet(tuple(papers), tuple(missing), manifest_of(brief, papers, missing))


def made(brief: Brief, kind: Kind) -> Paper:
    """One paper, with title blocks and footers on its sheets. Raises LeftOut."""
    from sightline.pictures.page import pdf_of

    drawn = kind.make(brief)
    if isinstance(drawn, bytes):
        return Paper(kind, drawn)
    parts = [drawn] if isinstance(drawn, Sheets) else list(drawn)
    block, count = brief.block(kind), sum(len(part.pages) for part in parts)
    number = 0
    for part in parts:
        for page in part.pages:
            number += 1
            if part.ready:
                stamped(page, block, (number, count))
            else:
                framed(page, block, (number, count), part.scale)
    return Paper(kind, pdf_of([page.figure for part in parts for page in part.pages], properties(block)), count)


def properties(block: Block) -> dict[str, str]:
    """The document's own properties: open or closed, and the status, stand there too."""
    said = STANDS_FOR[block.openness]
    title = f"{block.title}: {block.paper}"
    return {"Title": title, "Subject": f"{block.openness.upper()}. {said}", "Keywords": block.status}


def manifest_of(brief: Brief, papers: Sequence[Paper], missing: Sequence[Missing]) -> dict[str, Any]:
    """The list of the packet: what there is, for whom, and what the plan rests on. It tells secrets: it is closed."""
    said, moment = brief.scene.papers, brief.moment
    return {
        "schema_version": 1, "made_by": MADE_BY, "openness": "closed", "title": brief.scene.title,
        "scene": brief.scene_name, "status": said.status.upper(), "revision": said.revision, "date": said.date,
        "files": [
            {
                "path": paper.kind.path, "title": paper.kind.title, "for": list(paper.kind.for_whom),
                "openness": paper.kind.openness, "status": said.status.upper(), "pages": paper.pages,
                "bytes": len(paper.data), "sha256": hashlib.sha256(paper.data).hexdigest(),
            }
            for paper in papers
        ],
        "left_out": [{"path": m.kind.path, "title": m.kind.title, "why": m.why} for m in missing],
        "headline": headline(brief),
        "accepted": brief.accepted,
        "assumptions": list(moment.assumptions), "not_checked": list(moment.not_checked),
    }  # fmt: skip


def headline(brief: Brief) -> dict[str, Any]:
    """The few figures that a director asks for first."""
    finding = brief.finding
    worst, size, least = finding.worst_verdict(), finding.size_of_leak(), finding.least_margin()
    known = np.zeros(0) if least is None else least[(worst == 0) & ~np.isnan(least)]
    order = sorted(range(len(worst)), key=lambda i: (-int(worst[i]), -float(size[i]), i))
    return {
        "eyes": len(worst), "eyes_seen": int((worst == 2).sum()), "eyes_faint": int((worst == 1).sum()),
        "worst_eye": brief.moment.eyes[order[0]].id if order and worst[order[0]] > 0 else None,
        "least_margin_deg": rounded(float(known.min())) if len(known) else None,
        "secrets": {name: int((found.verdict == 2).sum()) for name, found in finding.secrets.items()},
    }  # fmt: skip
