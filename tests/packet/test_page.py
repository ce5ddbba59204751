"""`packet.html` in a real browser: choosing, dragging, beats, keeping a move, access, a telephone, no WebGL."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sightline.errors import SightlineError
from sightline.packet.page import page_html
from sightline.scene.reading import read_kept, scene_from_text
from sightline.staging.stage import put_together
from tests.browser import NO_GL
from tests.packet.scenes import HOSTILE, SEATS, plain

Visiting = Callable[..., Any]


def drag(page: Any, handle: str, dx: float, dy: float) -> None:
    """Take a handle of the plan by its middle and let it go elsewhere."""
    grip = page.locator(f'#plan [data-drag="{handle}"]')
    grip.scroll_into_view_if_needed()
    box = grip.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx / 2, y + dy / 2)
    page.mouse.move(x + dx, y + dy)
    page.mouse.up()
    page.wait_for_timeout(100)


def layers(page: Any) -> list[str]:
    return list(page.evaluate("[...document.querySelectorAll('#plan [data-layer]')].map((p) => p.getAttribute('d'))"))


def test_a_hostile_title_is_text(visit: Visiting, plain_page: Path) -> None:
    seen = visit(plain_page)
    assert seen.page.locator("h1").inner_text() == HOSTILE
    assert seen.page.title().startswith(HOSTILE)
    assert "turns <b>away</b>" in seen.page.locator(".strip").inner_text()
    # Three scripts: the data, the drawing library, the page's own.
    assert seen.page.locator("script").count() == 3


def test_a_click_chooses_a_seat(visit: Visiting, plain_page: Path) -> None:
    seen = visit(plain_page)
    plan = seen.page.locator("#plan")
    for name, wanted in (("C7", 24), ("A1", 0)):
        x, y = seen.page.evaluate(
            "(i) => { const p = new DOMPoint(packetPage.data.plan.px[i], packetPage.data.plan.py[i])"
            ".matrixTransform(document.getElementById('plan').getScreenCTM()); return [p.x, p.y]; }", wanted
        )  # fmt: skip
        box = plan.bounding_box()
        plan.click(position={"x": x - box["x"], "y": y - box["y"]})
        assert seen.text("seat-name") == name
    rows = seen.page.locator("#seat-rows tr")
    assert rows.count() == 2
    assert rows.first.locator(".verdict").inner_text() in ("hidden", "faint", "seen")
    assert "From A1" in seen.text("pane-words")


def test_arrow_keys_walk_the_seats(visit: Visiting, plain_page: Path) -> None:
    seen = visit(plain_page)
    seen.page.select_option("#seat-pick", label="C5")
    seen.page.focus("#plan-box")
    for key, name in (("ArrowRight", "C6"), ("ArrowUp", "B6"), ("ArrowLeft", "B5"), ("ArrowDown", "C5")):
        seen.page.keyboard.press(key)
        assert seen.text("seat-name") == name
        assert name in seen.page.locator("#heard").text_content()


def test_the_slider_moves_the_beat(visit: Visiting, plain_page: Path) -> None:
    seen = visit(plain_page)
    seen.page.fill("#time", "4")
    assert seen.state()["facing"] == pytest.approx(60)
    assert seen.state()["exact"]
    assert "turns" in seen.text("where")
    exact = layers(seen.page)
    seen.page.fill("#time", "6.5")
    state = seen.state()
    assert not state["exact"]
    assert 0 < state["mark"][0] < 1.5
    assert "confirm with sightline check" in seen.text("kind")
    assert layers(seen.page) != exact
    seen.page.click("[data-moment='1']")
    assert seen.state()["mark"] == [0, 0]
    assert seen.page.locator("[data-moment='1']").get_attribute("aria-pressed") == "true"


def test_dragging_recolours(visit: Visiting, plain_page: Path) -> None:
    seen = visit(plain_page, viewport={"width": 1200, "height": 1000})
    before, was = layers(seen.page), seen.state()
    drag(seen.page, "facing", 60, -40)
    turned = seen.state()
    assert turned["facing"] > 20
    assert turned["mark"] == was["mark"]
    assert layers(seen.page) != before
    assert turned["seen"] != was["seen"]
    drag(seen.page, "mark", 60, 0)
    moved = seen.state()
    assert moved["mark"][0] > 0.5
    assert float(seen.page.input_value("#mark-x")) == pytest.approx(moved["mark"][0])
    assert "Quick answer" in seen.text("kind")
    seen.page.click("#back")
    assert layers(seen.page) == before
    assert "Exact" in seen.text("kind")


def test_typing_a_mark_and_keeping_it(visit: Visiting, plain_page: Path, tmp_path: Path) -> None:
    seen = visit(plain_page)
    seen.page.fill("#mark-x", "0.5")
    seen.page.fill("#mark-y", "-0.25")
    seen.page.fill("#facing", "35")
    seen.page.fill("#note", 'say "no": # \\ { }')
    seen.page.fill("#initials", "A B")
    seen.page.fill("#date", "3: May")
    with seen.page.expect_download() as download:
        seen.page.click("#save")
    assert re.fullmatch(r"[a-z0-9-]+-kept-move\.yaml", download.value.suggested_filename)
    kept = read_kept(Path(download.value.path())).model
    assert kept.mark == (0.5, -0.25)
    assert kept.facing == pytest.approx(0.6108652)
    assert (kept.scene, kept.note, kept.initials, kept.date) == (HOSTILE, 'say "no": # \\ { }', "A B", "3: May")


def test_the_page_judges_as_the_plan_draws(visit: Visiting, plain_page: Path) -> None:
    """Before and after name the seats that change, and the change is ringed."""
    seen = visit(plain_page)
    seen.page.fill("#facing", "70")
    gained, lost = seen.text("gained"), seen.text("lost")
    assert (gained, lost) != ("none", "none")
    assert seen.page.locator("#plan [data-part=changed]").get_attribute("d")


def test_the_view_is_entered_and_orbited(visit: Visiting, plain_page: Path) -> None:
    seen = visit(plain_page)
    canvas = seen.page.locator("#pane-box canvas")

    def pixels() -> str:
        seen.page.wait_for_timeout(300)
        return str(seen.page.evaluate("document.querySelector('#pane-box canvas').toDataURL()"))

    first = pixels()
    canvas.focus()
    seen.page.keyboard.press("ArrowLeft")
    turned = pixels()
    assert turned != first
    seen.page.select_option("#seat-pick", label="E9")
    seat = pixels()
    assert seat != turned
    assert "E9" in str(canvas.get_attribute("aria-label"))
    # Turned about, the card shows: marked and plain are not the same picture.
    seen.page.fill("#facing", "150")
    marked = pixels()
    seen.page.uncheck("#pane-mark")
    assert pixels() != marked


def test_without_webgl(visit: Visiting, plain_page: Path) -> None:
    seen = visit(plain_page, NO_GL)
    assert "needs WebGL" in seen.text("pane-box")
    assert not seen.page.locator("#pane-tools").is_visible()
    before = layers(seen.page)
    seen.page.fill("#facing", "70")
    assert layers(seen.page) != before
    seen.page.select_option("#seat-pick", label="A1")
    assert seen.text("seat-name") == "A1"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_serious_stands_in_the_way(visit: Visiting, plain_page: Path, scheme: str) -> None:
    """axe-core finds nothing serious, with a seat chosen and a mark tried."""
    axe = pytest.importorskip("axe_playwright_python", reason="axe-playwright-python is not installed")
    source = (Path(axe.__path__[0]) / "axe.min.js").read_text(encoding="utf-8")
    seen = visit(plain_page, color_scheme=scheme)
    seen.page.select_option("#seat-pick", label="A1")
    seen.page.fill("#facing", "70")
    seen.page.evaluate(source)
    found = seen.page.evaluate("axe.run()")
    serious = [
        (one["id"], one["impact"], [node["html"][:120] for node in one["nodes"]])
        for one in found["violations"] if one["impact"] in ("serious", "critical")
    ]  # fmt: skip
    assert serious == []
    assert len(found["passes"]) > 20
    # It would have found something: a label taken away.
    seen.page.evaluate("document.querySelector('label[for=secret]').remove()")
    assert any(one["id"] == "select-name" for one in seen.page.evaluate("axe.run()")["violations"])


def test_a_narrow_telephone_has_no_sideways_scroll(visit: Visiting, plain_page: Path) -> None:
    seen = visit(plain_page, viewport={"width": 320, "height": 640})
    seen.page.select_option("#seat-pick", label="A1")
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= 320


def test_the_policy_lets_nothing_else_run(plain_page: Path) -> None:
    text = plain_page.read_text(encoding="utf-8")
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', text)
    assert policy is not None
    assert policy[1].startswith("default-src 'none'; style-src 'sha256-")
    assert len(re.findall(r"'sha256-[A-Za-z0-9+/=]{44}'", policy[1])) == 3
    assert not re.search(r"unsafe|http|data:|blob:|\*", policy[1])
    assert not re.search(r'(src|href)="(?!#)', text.split("<script")[0])


def test_the_same_scene_gives_the_same_bytes() -> None:
    written = scene_from_text(plain())
    one, two = (page_html(written, put_together(written), marks=1) for _ in range(2))
    assert one == two
    assert b"Measured on 1 other mark of this act" in one


@pytest.mark.parametrize("status", ["planned", "as built"])
def test_the_page_is_stamped_with_the_scenes_status(status: str) -> None:
    written = scene_from_text(plain() + f"papers: {{status: {status}}}\n")
    text = page_html(written, put_together(written), marks=0).decode()
    assert text.count(f"<b>{status.upper()}</b>") == 2
    assert ("nothing on it was tried" in text) is (status == "planned")


def test_before_and_after_of_a_suggestion(visit: Visiting, tmp_path: Path) -> None:
    blocking = "blocking: {mark: [0 m, 0 m], facing: 60 deg}\n"
    written = scene_from_text(plain(blocking=blocking))
    mended = scene_from_text(plain("Mended", blocking.replace("60", "0")))
    path = tmp_path / "packet.html"
    path.write_bytes(page_html(written, put_together(written), after=(mended, put_together(mended)), marks=0))
    seen = visit(path)
    before = seen.state()["seen"]
    seen.page.click("#compare [data-moment='1']")
    assert seen.state()["exact"]
    assert seen.state()["seen"] < before
    assert seen.text("gained") != "none"
    other = scene_from_text(plain().replace("id: A1", "id: Z1"))
    with pytest.raises(SightlineError, match="the same seats"):
        page_html(written, put_together(written), after=(other, put_together(other)))


def test_a_secret_that_stays_behind_has_no_other_mark(visit: Visiting, tmp_path: Path) -> None:
    stays = "secrets:\n  - {name: target, rectangle: {width: 30 cm, height: 30 cm}, at: [0 m, 0 m, 1.2 m]}\n"
    written = scene_from_text(plain(blocking="", act=stays))
    path = tmp_path / "packet.html"
    path.write_bytes(page_html(written, put_together(written)))
    seen = visit(path)
    assert "no other mark" in seen.text("trying") or "only the scene's own mark" in seen.text("trying")
    assert seen.state()["seen"] == len(SEATS)
