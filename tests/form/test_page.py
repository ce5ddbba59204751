"""The page in a real browser: typing, saving, the keyboard, a telephone, the printer."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sightline.form.page import page
from sightline.scene.reading import read_scene, scene_from_text
from sightline.scene.starter import TEXT
from tests.form.scenes import BLOCK, SCENES

EXAMPLE = Path(__file__).parents[2] / "examples" / "courier-stage.yaml"
Visiting = Callable[..., Any]


def test_stature_and_width_change_and_nothing_else(visit: Visiting, tmp_path: Path) -> None:
    text = EXAMPLE.read_text(encoding="utf-8")
    seen = visit(text, name="courier-stage.yaml")
    seen.field("stature", "unit").select_option("ft+in")
    seen.field("stature").fill("5")
    seen.field("stature", "inches").fill("8 1/2")
    seen.field("box.width").fill("48")
    seen.field("box.width", "about").check()
    saved = seen.save()
    path = tmp_path / "saved.yaml"
    path.write_bytes(saved)
    scene = read_scene(path).model
    assert scene.performer is not None
    assert scene.performer.stature == pytest.approx(68.5 * 0.0254)
    assert scene.prop is not None
    assert scene.prop.box is not None
    assert scene.prop.box.width == pytest.approx(0.48)
    expected = text.replace("stature: 172 cm", "stature: 5 ft 8 1/2 in").replace("{width: 46 cm", "{width: about 48 cm")
    assert saved == expected.encode()


@pytest.mark.parametrize("name", SCENES)
def test_an_untouched_scene_is_saved_as_it_was(visit: Visiting, name: str) -> None:
    seen = visit(SCENES[name], mark="\ufeff")
    assert seen.page.inner_text("#status") == "Nothing is changed yet."
    assert seen.save() == ("\ufeff" + SCENES[name]).encode("utf-8")


def test_a_new_scene_saves_at_once(visit: Visiting) -> None:
    seen = visit()
    assert seen.save().decode() == TEXT
    scene_from_text(TEXT)


def test_answers_of_every_kind(visit: Visiting) -> None:
    seen = visit()
    seen.field("title", "text").fill("Owl: the <b>parcel</b>")
    seen.page.check('[id="q-hide"] input[value="right arm"]')
    seen.page.check('[id="q-opening.shape"] input[value="slot"]')
    seen.field("opening.width").fill("6 1/2")
    seen.field("opening.width", "unit").select_option("in")
    seen.field("opening.height").fill("12")
    seen.field("box.wall", "skip").check()
    seen.field("mass", "skip").uncheck()
    seen.field("mass").fill("154")
    seen.field("mass", "unit").select_option("lb")
    seen.field("venue", "select").select_option("thrust-220")
    seen.field("facing", "word").select_option("1/4 left")
    seen.field("eye.kind", "select").select_option("phone")
    for name, value in (("eye.x", "1"), ("eye.y", "-5"), ("eye.up", "1.9")):
        seen.field(name).fill(value)
    seen.page.click("details summary")
    seen.field("measured.neck").fill("38 cm")
    scene = scene_from_text(seen.save().decode()).model
    assert scene.title == "Owl: the <b>parcel</b>"
    assert scene.performer is not None
    assert scene.performer.hide == ["right arm"]
    assert scene.performer.mass == pytest.approx(154 * 0.45359237)
    assert scene.performer.measured == {"neck": 0.38}
    assert scene.false_limbs[0].replaces == "right arm"
    assert scene.false_limbs[0].hand_at is not None
    assert scene.false_limbs[0].hand_at.wall == "right"
    assert scene.prop is not None
    assert scene.prop.openings[0].size_m == pytest.approx((6.5 * 0.0254, 0.12))
    assert scene.prop.box is not None
    assert scene.prop.box.wall == 0.004
    assert scene.venue is not None
    assert scene.venue.use == "thrust-220"
    assert scene.blocking.mark == (0.0, -3.0)
    assert scene.eyes[0].at == (1.0, -5.0, 1.9)


def test_a_slip_is_told_while_typing(visit: Visiting) -> None:
    seen = visit()
    stature = seen.field("stature")
    stature.fill("17")
    assert seen.wrong("stature") == "'17 cm' is outside what can be: 0.5 m to 2.5 m."
    assert stature.get_attribute("aria-invalid") == "true"
    assert "e-stature" in stature.get_attribute("aria-describedby")
    assert seen.page.locator('[id="e-stature"]').get_attribute("aria-live") == "polite"
    stature.fill("172")
    assert seen.wrong("stature") == ""
    assert stature.get_attribute("aria-invalid") is None
    seen.field("opening.diameter").fill("40")
    assert seen.wrong("opening.diameter").startswith("The opening is 400 mm up, larger than the back wall's 292 mm")
    seen.page.click("#save")
    assert seen.page.evaluate("document.activeElement.closest('.q').id") == "q-opening.diameter"
    assert seen.page.inner_text("#status") == "One answer to give or mend."


def test_the_emptied_form_asks_for_what_is_needed(visit: Visiting) -> None:
    seen = visit()
    seen.page.click("#clear")
    assert seen.wrong("stature") == ""
    seen.page.click("#save")
    assert seen.wrong("stature") == "Nothing is written here; give an answer."
    assert seen.wrong("mass") == ""
    for name, value in (("stature", "160"), ("box.width", "40"), ("box.depth", "30"), ("box.height", "28"),
                        ("opening.diameter", "14"), ("at.ahead", "26"), ("at.up", "105"), ("grip.left", "0"),
                        ("grip.back", "0"), ("grip.up", "2")):  # fmt: skip
        seen.field(name).fill(value)
    scene = scene_from_text(seen.save().decode()).model
    assert scene.prop is not None
    assert scene.prop.at.up == 1.05


def test_by_keyboard_alone(visit: Visiting) -> None:
    seen = visit()
    keys = seen.page.keyboard
    keys.press("Tab")
    assert seen.page.evaluate("document.activeElement.className") == "skip"
    keys.press("Enter")
    reached, saved = set(), False
    for _ in range(400):
        keys.press("Tab")
        at = seen.page.evaluate("(document.activeElement.closest('.q') || document.activeElement).id")
        reached.add(at)
        if at == "q-stature" and seen.page.evaluate("document.activeElement.dataset.part") == "number":
            keys.press("Control+A")
            keys.type("165")
        if at == "save":
            with seen.page.expect_download() as download:
                keys.press("Enter")
            saved = b"stature: 165 cm" in Path(download.value.path()).read_bytes()
            break
    assert saved
    assert {"q-title", "q-hide", "q-box.width", "q-venue", "q-facing", "q-heads"} <= reached


@pytest.mark.parametrize("address", ["", "#pencil-sheet"])
@pytest.mark.parametrize("scene", [None, BLOCK])
def test_a_narrow_telephone_never_scrolls_sideways(visit: Visiting, scene: str | None, address: str) -> None:
    seen = visit(scene, viewport={"width": 320, "height": 640})
    seen.page.goto(seen.page.url + address)
    seen.page.evaluate("document.querySelectorAll('details').forEach((d) => (d.open = true))")
    if not address:
        seen.field("box.width", "unit").select_option("ft+in")
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= 320
    small = seen.page.evaluate(
        """() => Array.from(document.querySelectorAll('button, .button, select, input[type=text], .pick, .tick'))
           .filter((e) => e.offsetParent !== null && e.getBoundingClientRect().height < 43).length"""
    )
    assert small == 0


def test_a_scene_cannot_put_its_own_code_on_the_page(visit: Visiting) -> None:
    text = BLOCK.replace('"Grüße an die Eule 🦉"', "'</script><script>document.title=\"gone\"</script><b id=evil>'")
    seen = visit(text, name="<img src=x>.yaml")
    assert "<script>" in seen.page.inner_text("h1")
    assert "<script>" in seen.field("title", "text").input_value()
    assert seen.page.locator("#evil").count() == 0
    assert seen.page.title().startswith("Questions about </script>")
    assert seen.save().decode() == text


def test_the_policy_lets_nothing_in_but_the_page_itself() -> None:
    html = page()
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', html)
    assert policy is not None
    assert policy[1].startswith("default-src 'none'; style-src 'sha256-")
    assert "unsafe" not in policy[1]
    assert re.findall(r'\b(?:src|href)="(?!#)', html) == []
    assert re.findall(r"https?://|@import|url\(|\son\w+=|\sstyle=", html) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_from_their_ground(visit: Visiting, scheme: str) -> None:
    """WCAG 2.1: 4.5 to 1 for text, 3 to 1 for the edges of controls and for the tape in the pictures."""
    seen = visit(color_scheme=scheme)
    names = ("paper", "card", "ink", "quiet", "tape", "wrong", "edge", "act", "on-act")
    colour = dict(zip(names, seen.page.evaluate(
        "(names) => names.map((n) => getComputedStyle(document.documentElement).getPropertyValue('--' + n).trim())",
        list(names)), strict=True))  # fmt: skip

    def contrast(one: str, other: str) -> float:
        high, low = sorted((_luminance(colour[one]), _luminance(colour[other])), reverse=True)
        return (high + 0.05) / (low + 0.05)

    for ground in ("paper", "card"):
        for words in ("ink", "quiet", "wrong", "tape"):
            assert contrast(words, ground) >= 4.5, (words, ground)
        assert contrast("edge", ground) >= 3.0
    assert contrast("on-act", "act") >= 4.5


def _luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    digits = "".join(c * 2 for c in digits) if len(digits) == 3 else digits
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_every_field_has_a_name_and_every_picture_is_drawn(visit: Visiting) -> None:
    seen = visit()
    nameless = seen.page.evaluate(
        """() => Array.from(document.querySelectorAll('#form input, #form select'))
           .filter((e) => !(e.labels && e.labels.length) && !e.getAttribute('aria-label')).map((e) => e.closest('.q').id)"""
    )
    assert nameless == []
    empty = seen.page.evaluate(
        "() => Array.from(document.querySelectorAll('.q .pic svg')).filter((e) => !e.children.length).length"
    )
    assert empty == 0


def test_the_pencil_sheet_prints(visit: Visiting, tmp_path: Path) -> None:
    seen = visit()
    seen.page.click("text=Pencil sheet to print")
    assert seen.page.locator("#form").is_hidden()
    assert seen.page.locator(".row").count() > 50
    path = tmp_path / "sheet.pdf"
    seen.page.pdf(path=str(path), format="A4")
    if shutil.which("pdftotext"):
        command = ["pdftotext", "-layout", str(path), "-"]
        words = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        assert "Measuring sheet" in words
        assert "Hand girth over thumb" in words
        assert "Print this sheet" not in words
        assert words.count("\f") <= 6
    seen.page.go_back()
    assert seen.page.locator("#form").is_visible()


def test_a_scene_that_cannot_be_read_is_refused(tmp_path: Path) -> None:
    scene, out = tmp_path / "bad.yaml", tmp_path / "form.html"
    scene.write_text("version: 1\nperformer: {stature: 172}\n", encoding="utf-8")
    command = [sys.executable, "-m", "sightline", "form", str(scene), "--out", str(out)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "'172' has no unit" in done.stderr
    assert not out.exists()


def test_the_command_writes_a_page_and_never_over_another(tmp_path: Path) -> None:
    out = tmp_path / "form.html"
    command = [sys.executable, "-m", "sightline", "form", str(EXAMPLE), "--out", str(out)]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0
    assert "Questions about The Night Courier" in out.read_text(encoding="utf-8")
    again = subprocess.run(command, capture_output=True, text=True, check=False)
    assert again.returncode == 1
    assert "is already there" in again.stderr


@pytest.mark.parametrize(
    ("written", "number", "unit", "again"),
    [
        ("172 cm", "172", "cm", "about 172 cm"),
        ("5'10\"", "5", "ft+in", "about 5 ft 10 in"),
        ("5 ft 10 1/2 in", "5", "ft+in", "about 5 ft 10 1/2 in"),
        ("68 1/2 inches", "68 1/2", "in", "about 68 1/2 in"),
        ("170-174 cm", "170-174", "cm", "about 170-174 cm"),
        ("1 yd 2 ft", "1 yd 2 ft", "cm", "about 1 yd 2 ft"),
    ],
)
def test_what_was_written_comes_apart_into_the_fields(
    visit: Visiting, written: str, number: str, unit: str, again: str
) -> None:
    seen = visit(f"version: 1\nperformer: {{stature: {written}}}\n")
    assert seen.field("stature").input_value() == number
    assert seen.field("stature", "unit").input_value() == unit
    seen.field("stature", "about").check()
    assert again in seen.page.inner_text("#preview")
    if "-" in written:  # a range that is also about is nothing the reader takes
        assert "'about 170-174 cm'" in seen.wrong("stature")
