"""One browser for all tests of pages, and a visit that hears whatever a page says or asks for."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

QUIET = (
    "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
)  # fmt: skip
NO_GL = ["--disable-gpu", "--disable-software-rasterizer", "--disable-3d-apis"]


@contextmanager
def browsers() -> Iterator[Callable[[list[str]], Any]]:
    """Gives what starts a browser with some arguments, each once; the tests are skipped, and say so, where there is none.

    A process has one of this at most: a second one of playwright's own loops refuses to start.
    """
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no page is tested")
    chromium = Path("/usr/bin/chromium")
    if not chromium.exists():
        found = shutil.which("chromium") or shutil.which("google-chrome")
        if not found:
            pytest.skip("no chromium here: no page is tested in a browser")
        chromium = Path(found)
    started: dict[tuple[str, ...], Any] = {}
    with api.sync_playwright() as play:

        def start(arguments: list[str]) -> Any:
            key = tuple(arguments)
            if key not in started:
                started[key] = play.chromium.launch(executable_path=str(chromium), args=[*QUIET, *arguments])
            return started[key]

        yield start
        for one in started.values():
            one.close()


@dataclass
class Visit:
    """A page that is open, and what it said and asked for meanwhile."""

    page: Any
    said: list[str] = field(default_factory=list)
    asked_for: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.asked_for.append(request.url))


def close_all(visits: Sequence[Visit]) -> None:
    """Close the pages; one that said anything to the console or asked for anything but itself fails the test."""
    for seen in visits:
        foreign = [url for url in seen.asked_for if not url.startswith(("file:", "blob:"))]
        seen.page.close()
        assert seen.said == []
        assert foreign == []
