"""Pages that others laid out, each exactly A4, taken into the packet with one line at the foot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sightline.packet.frame import TEXT_PT
from sightline.packet.paper import Sheets
from sightline.pictures.page import PAGE_MM, Page


def ready_sheets(figures: Sequence[Any]) -> Sheets:
    """The figures as pages; nothing on them is moved."""
    return Sheets([Page(figure, TEXT_PT, PAGE_MM) for figure in figures], ready=True)
