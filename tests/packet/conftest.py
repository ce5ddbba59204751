"""Pages written once, and visits to them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sightline.packet.page import page_html
from sightline.scene.reading import scene_from_text
from sightline.sight.fieldcache import FieldCache
from sightline.staging.stage import put_together
from tests.browser import Visit as Watched
from tests.browser import close_all
from tests.packet.scenes import HOSTILE, plain

# Drawn by the processor where there is no graphics card, as in CI.
SOFTWARE_GL = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"]


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


class Visit(Watched):
    """A packet's page that is open."""

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
        seen = Visit(start(SOFTWARE_GL if arguments is None else arguments).new_page(**options))
        seen.page.goto(path.as_uri())
        seen.page.wait_for_selector("body[data-ready=all]", timeout=90_000)
        visits.append(seen)
        return seen

    yield open_it
    close_all(visits)
