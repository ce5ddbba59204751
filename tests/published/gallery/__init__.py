"""Scenes of plain geometry whose answers are known in closed form, asked in every way that the planner has of looking.

`python -m tests.published.gallery` prints the table of docs/gallery.md.
"""

from tests.published.gallery.audience import AUDIENCE
from tests.published.gallery.case import Case
from tests.published.gallery.covers import COVERS
from tests.published.gallery.lines import LINES
from tests.published.gallery.margins import MARGINS
from tests.published.gallery.mirrors import MIRRORS
from tests.published.gallery.sizes import SIZES

CASES: tuple[Case, ...] = (*SIZES, *COVERS, *LINES, *AUDIENCE, *MIRRORS, *MARGINS)
