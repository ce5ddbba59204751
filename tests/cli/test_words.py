"""What `check` prints at a terminal: the sentences that keep a reader from believing more than was looked at."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.cli.words import finding_words
from sightline.scene.reading import scene_from_text
from sightline.sight.check import check
from sightline.sight.report import document
from sightline.staging.stage import STRAYING, put_together

ROW = "eyes: [" + ", ".join(f"{{id: E{k}, at: [{k} m, -6 m, 1.2 m]}}" for k in range(5)) + "]\n"


def report_of(text: str) -> dict[str, Any]:
    written = scene_from_text("version: 1\n" + text + ROW)
    return document(check(put_together(written).moment()), "act.yaml")


def test_what_hidden_means_is_said_of_spots_and_slits() -> None:
    words = finding_words(
        report_of(
            "covers: [{name: wall, rectangle: {width: 20 m, height: 9 m}, at: [0 m, -1 m, 1 m]}]\n"
            "secrets: [{name: t, disc: {radius: 10 cm}, at: [0 m, 0 m, 1 m]}]\n"
        ),
        "",
    )
    # Nearest eye sqrt(36 + 0.04) m less the lean, patches of 20 mm: no more than 2 * 13.3 mm at 5.92 m, 16 arcmin.
    assert ": no wider spot and no wider slit shows it" in words
    down = float(words.split("hidden means down to ")[1].split("'")[0])
    assert 4 < down < 16


def test_more_eyes_than_are_named_are_counted() -> None:
    assert "\n      and 2 more\n" in finding_words(report_of("secrets: [{name: t, disc: {radius: 10 cm}}]\n"), "")


def test_a_flat_secret_says_that_its_back_does_not_count() -> None:
    flat = "secrets: [{name: t, disc: {radius: 10 cm}, facing: [0, 1, 0]}]\n"
    report = report_of(flat)
    assert any("Flat" in said and said.endswith(": t.") for said in report["assumptions"])
    assert "no side of it that counts is turned to them" in finding_words(report, "")
    both = report_of(flat.replace("}]", ", two sided: yes}]"))
    assert not any("Flat" in said for said in both["assumptions"])
    assert both["summary"]["eyes_seen"] == 5


def test_a_secret_inside_something_solid_is_asked_about() -> None:
    report = report_of(
        "secrets:\n"
        "  - {name: stone, sphere: {radius: 20 cm}, at: [0 m, 0 m, 1 m]}\n"
        "  - {name: seed, sphere: {radius: 2 cm}, at: [0 m, 0 m, 1 m]}\n"
    )
    assert report["secrets"]["seed"]["patches"] == 0
    words = finding_words(report, "")
    assert words.count("is that where it is meant to be?") == 1


def test_straying_is_not_checked_until_it_is() -> None:
    assert STRAYING in report_of("secrets: [{name: t, disc: {radius: 10 cm}}]\n")["not_checked"]


def test_what_there_is_to_spare_is_said_to_be_without_the_head() -> None:
    """A head that leans 50 mm with eyes 63 mm apart: atan(81.5 mm / 1 m) is 4.66 deg, at ten metres 0.47 deg."""
    written = scene_from_text("version: 1\nsecrets: [{name: t, disc: {radius: 10 cm}}]\n" + ROW)
    found = check(put_together(written).moment())
    assert not any("to spare" in said for said in document(found, "act.yaml")["assumptions"])
    spare = found.with_margins({"t": np.zeros(5)})
    (said,) = [said for said in document(spare, "act.yaml")["assumptions"] if "to spare" in said]
    assert "4.7 deg of it a metre away, 0.5 at ten" in said
