"""Pages written once, and a browser to open them in; tests are skipped, and say so, where there is none."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from sightline.packet.page import page_html
from sightline.scene.reading import scene_from_text
from sightline.sight.fieldcache import FieldCache
from sightline.staging.stage import put_together
from tests.packet.scenes import HOSTILE, plain

QUIET = [
    "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
]  # fmt: skip
# Drawn by the processor where there is no graphics card, as in CI.
SOFTWARE_GL = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"]
NO_GL = ["--disable-gpu", "--disable-software-rasterizer", "--disable-3d-apis"]


@pytest.fixture(scope="session")
def start() -> Iterator[Callable[[list[str]], Any]]:
    """Start a browser with some arguments; each is started once."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: the page is not tested")
    chromium = Path("/usr/bin/chromium")
    if not chromium.exists():
        found = shutil.which("chromium") or shutil.which("google-chrome")
        if not found:
            pytest.skip("no chromium here: the page is not tested in a browser")
        chromium = Path(found)
    started: dict[tuple[str, ...], Any] = {}
    with api.sync_playwright() as play:

        def browser(arguments: list[str]) -> Any:
            key = tuple(arguments)
            if key not in started:
                started[key] = play.chromium.launch(executable_path=str(chromium), args=[*QUIET, *arguments])
            return started[key]

        yield browser
        for one in started.values():
            one.close()


@pytest.fixture(scope="session")
def plain_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of the small scene, with a title that is no title."""
    written = scene_from_text(plain(HOSTILE.replace('"', "'")))
    path = tmp_path_factory.mktemp("plain") / "packet.html"
    path.write_bytes(page_html(written, put_together(written), marks=2))
    return path


@pytest.fixture(scope="session")
def field_cache(tmp_path_factory: pytest.TempPathFactory) -> FieldCache:
    return FieldCache(tmp_path_factory.mktemp("fields"))


@dataclass
class Visit:
    """A page that is open, and what it said and asked for meanwhile."""

    page: Any
    said: list[str] = field(default_factory=list)
    asked_for: list[str] = field(default_factory=list)

    def text(self, name: str) -> str:
        return str(self.page.locator(f"#{name}").inner_text())

    def state(self) -> dict[str, Any]:
        found: dict[str, Any] = self.page.evaluate("packetPage.state()")
        return found


@pytest.fixture
def visit(start: Callable[[list[str]], Any]) -> Iterator[Callable[..., Visit]]:
    """Open a page from the disk and watch it: whatever it says to the console or asks for fails the test."""
    visits: list[Visit] = []

    def open_it(path: Path, arguments: list[str] | None = None, **options: Any) -> Visit:
        page = start(SOFTWARE_GL if arguments is None else arguments).new_page(**options)
        seen = Visit(page)
        page.on("console", lambda message: seen.said.append(message.text))
        page.on("pageerror", lambda error: seen.said.append(str(error)))
        page.on("request", lambda request: seen.asked_for.append(request.url))
        page.goto(path.as_uri())
        page.wait_for_selector("body[data-ready=all]", timeout=90_000)
        visits.append(seen)
        return seen

    yield open_it
    for seen in visits:
        foreign = [url for url in seen.asked_for if not url.startswith(("file:", "blob:"))]
        seen.page.close()
        assert seen.said == []
        assert foreign == []
