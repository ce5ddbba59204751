"""The page to open in a browser, as one of the packet's papers."""

from __future__ import annotations

from sightline.packet.brief import Brief
from sightline.packet.paper import Kind, LeftOut


def _page(brief: Brief) -> bytes:
    from sightline.packet.page import MOST_SEATS, page_html

    if len(brief.moment.eyes) > MOST_SEATS:
        raise LeftOut(f"The page holds at most {MOST_SEATS} eyes, and this house has {len(brief.moment.eyes)}.")
    return page_html(brief.bench.written, brief.bench.staged, finding=brief.finding, cache=brief.cache)


KINDS = [
    Kind("page", "packet", "The whole plan, to open in a browser", ("director", "stage manager"), "closed", _page, "html")
]  # fmt: skip
