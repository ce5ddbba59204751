"""Visits to the form's page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sightline.form.page import Opened, page
from sightline.scene.reading import scene_from_text
from tests.browser import Visit as Watched
from tests.browser import close_all


class Visit(Watched):
    """A page that is open, and what it said and asked for meanwhile."""

    def field(self, question: str, part: str = "number") -> Any:
        return self.page.locator(f'[id="q-{question}"] [data-part="{part}"]')

    def wrong(self, question: str) -> str:
        return str(self.page.locator(f'[id="e-{question}"]').inner_text())

    def save(self) -> bytes:
        with self.page.expect_download() as download:
            self.page.click("#save")
        return Path(download.value.path()).read_bytes()


@pytest.fixture
def visit(start: Callable[[list[str]], Any], tmp_path: Path) -> Iterator[Callable[..., Visit]]:
    """Write a page for a scene (or a new one), open it from the disk and watch it."""
    visits: list[Visit] = []

    def open_it(text: str | None = None, *, name: str = "act.yaml", mark: str = "", **options: Any) -> Visit:
        opened = None
        if text is not None:
            opened = Opened(name, text, scene_from_text(text).model.title, mark)
        path = tmp_path / "form.html"
        path.write_text(page(opened), encoding="utf-8")
        seen = Visit(start(["--disable-gpu"]).new_page(**options))
        seen.page.goto(path.as_uri())
        visits.append(seen)
        return seen

    yield open_it
    close_all(visits)
