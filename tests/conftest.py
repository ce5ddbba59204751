"""Shared by the tests: a check of a scene written in the test itself, through the same path as the command."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from textwrap import dedent
from typing import Any

# As the program sets it for itself, before numpy is there.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest

from sightline.scene.reading import scene_from_text
from sightline.sight.check import Finding, Thresholds, check
from sightline.sight.report import document
from sightline.staging import stage
from tests.browser import browsers

REPOSITORY = Path(__file__).parent.parent


@pytest.fixture(scope="session")
def start() -> Iterator[Callable[[list[str]], Any]]:
    """Start a browser with some arguments; each is started once."""
    with browsers() as found:
        yield found


def mended_as_drawn() -> str:
    """The mended stage example without what only the workshop can say: nothing tried, weighed or timed yet."""
    text = (REPOSITORY / "examples/courier-stage-mended.yaml").read_text(encoding="utf-8")
    drawn, _, _ = text.partition("# What only the workshop can say")
    return drawn


def finding_of(text: str, folder: Path = Path("."), thresholds: Thresholds | None = None) -> Finding:
    written = scene_from_text("version: 1\n" + dedent(text), folder=folder)
    return check(stage(written), thresholds)


def report_of(text: str, folder: Path = Path(".")) -> dict[str, Any]:
    return document(finding_of(text, folder), "scene.yaml")


def leak_of_scene(text: str, eye: str = "E1", secret: str = "target") -> dict[str, Any]:
    """One eye's entry for one secret in the report of a scene."""
    eyes = {entry["id"]: entry for entry in report_of(text)["eyes"]}
    found: dict[str, Any] = eyes[eye]["secrets"][secret]
    return found


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str, str], Path]:
    """Write a file into a fresh folder and get its path."""

    def put(text: str, name: str = "scene.yaml") -> Path:
        path = tmp_path / name
        path.write_text(dedent(text), encoding="utf-8")
        return path

    return put
