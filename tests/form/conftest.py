"""A browser for the tests of the page; they are skipped, and say so, where there is none."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from sightline.form.page import Opened, page
from sightline.scene.reading import scene_from_text

ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: the page is not tested")
    chromium = Path("/usr/bin/chromium")
    if not chromium.exists():
        found = shutil.which("chromium") or shutil.which("google-chrome")
        if not found:
            pytest.skip("no chromium here: the page is not tested in a browser")
        chromium = Path(found)
    with api.sync_playwright() as play:
        started = play.chromium.launch(executable_path=str(chromium), args=ARGUMENTS)
        yield started
        started.close()


@dataclass
class Visit:
    """A page that is open, and what it said and asked for meanwhile."""

    page: Any
    said: list[str] = field(default_factory=list)
    asked_for: list[str] = field(default_factory=list)

    def field(self, question: str, part: str = "number") -> Any:
        return self.page.locator(f'[id="q-{question}"] [data-part="{part}"]')

    def wrong(self, question: str) -> str:
        return str(self.page.locator(f'[id="e-{question}"]').inner_text())

    def save(self) -> bytes:
        with self.page.expect_download() as download:
            self.page.click("#save")
        return Path(download.value.path()).read_bytes()


@pytest.fixture
def visit(browser: Any, tmp_path: Path) -> Iterator[Callable[..., Visit]]:
    """Write a page for a scene (or a new one), open it from the disk and watch it."""
    visits: list[Visit] = []

    def open_it(text: str | None = None, *, name: str = "act.yaml", mark: str = "", **options: Any) -> Visit:
        opened = None
        if text is not None:
            opened = Opened(name, text, scene_from_text(text).model.title, mark)
        path = tmp_path / "form.html"
        path.write_text(page(opened), encoding="utf-8")
        seen = Visit(browser.new_page(**options))
        seen.page.on("console", lambda message: seen.said.append(message.text))
        seen.page.on("pageerror", lambda error: seen.said.append(str(error)))
        seen.page.on("request", lambda request: seen.asked_for.append(request.url))
        seen.page.goto(path.as_uri())
        visits.append(seen)
        return seen

    yield open_it
    for seen in visits:
        foreign = [url for url in seen.asked_for if not url.startswith(("file:", "blob:"))]
        seen.page.close()
        assert seen.said == []
        assert foreign == []
