"""The working cards: what stands on them, that it fits one side, and the command that writes them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from matplotlib.colors import to_rgb
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.pictures.cards import SIZES_PT, draw_card, fits, size_of
from sightline.pictures.page import PAGE_MM
from sightline.pictures.style import picture_bytes
from sightline.scene.reading import read_scene, scene_from_text
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.cards import CARDS, Card, cards_of, first_of_all
from tests.conftest import REPOSITORY, mended_as_drawn

MENDED = REPOSITORY / "examples/courier-stage-mended.yaml"
MM_IN = 1 / 25.4


def bench(extra: str = "") -> Bench:
    return bench_of(scene_from_text(mended_as_drawn() + "\n" + extra))


@pytest.fixture(scope="module")
def cards() -> list[Card]:
    return cards_of(bench())


def said(card: Card) -> str:
    return " ".join(f"{row.mark} {row.words} {row.small}" for block in card.blocks for row in block.rows)


def test_every_card_is_one_side_of_a4_in_type_for_arms_length(cards: list[Card]) -> None:
    """The size taken ends above the foot; what the example has stands in 12 pt or more."""
    for card in cards:
        drawn = draw_card(card, "The Night Courier")
        assert tuple(drawn.get_size_inches()) == pytest.approx((PAGE_MM[0] * MM_IN, PAGE_MM[1] * MM_IN))
        assert size_of(card) >= 12.0, card.key
        assert fits(card, size_of(card)), card.key
        assert not fits(card, SIZES_PT[0] * 3), card.key


def test_no_letter_runs_off_the_sheet(cards: list[Card]) -> None:
    for card in cards:
        drawn = draw_card(card, "The Night Courier")
        width = drawn.bbox.width
        for text in drawn.axes[0].texts:
            box = text.get_window_extent()
            assert box.x0 >= 0, text.get_text()
            assert box.x1 <= width, text.get_text()


def test_nothing_is_told_by_colour(cards: list[Card]) -> None:
    for card in cards:
        for text in draw_card(card, "t").axes[0].texts:
            red, green, blue = to_rgb(text.get_color())
            assert max(red, green, blue) - min(red, green, blue) < 0.05


def test_what_is_not_known_stands_on_top_of_every_card() -> None:
    on = bench("dressing: [{step: shirt}, {step: crate, needs: [shirt]}]")
    top = first_of_all(on)
    assert any("takes hand: left" in item.words for item in top)
    made = cards_of(on)
    assert all(len(card.first) == len(top) for card in made)
    drawn = draw_card(made[0], "t")
    texts = {text.get_text(): text.get_position()[1] for text in drawn.axes[0].texts}
    first = next(y for said, y in texts.items() if said.startswith("FIRST OF ALL"))
    assert first < next(y for said, y in texts.items() if said.startswith("Put on"))


def test_the_dressers_card(cards: list[Card]) -> None:
    card = cards[CARDS.index("dresser")]
    assert card.figure is not None
    assert (card.figure.hidden, card.figure.shown) == ("left", "right")
    assert "WEARER" in card.lead
    assert said(card).count("CLOSES LAST") == 1
    for wanted in ("Hem", "Shoulder line", "Seams", "skin gap", "hears"):
        assert wanted in said(card)
    strap = next(pin for pin in card.figure.pins if pin.level == "shoulder" and pin.place == "right")
    assert f"{strap.number} Buckle the strap over the right shoulder" in said(card)
    # From behind the wearer's left is at the left of the sheet.
    texts = {text.get_text(): text.get_position()[0] for text in draw_card(card, "t").axes[0].texts}
    assert texts["LEFT"] < texts["RIGHT"]


def test_the_way_out_is_in_three_parts(cards: list[Card]) -> None:
    card = cards[CARDS.index("doff")]
    assert [block.heading for block in card.blocks] == [
        "Free the left arm", "Drop the crate", "Out of everything", "Cut here",
    ]  # fmt: skip
    assert all(re.search(r"\d s", block.aside) for block in card.blocks[:3])


def test_forty_steps_still_stand_on_one_side() -> None:
    steps = ", ".join(f"{{step: closing number {n}, fastening: snap, start: open}}" for n in range(40))
    card = cards_of(bench(f"dressing: [{steps}]"))[0]
    assert fits(card, size_of(card))


@pytest.mark.parametrize("kind", ["pdf", "png", "svg"])
def test_the_same_card_gives_the_same_bytes(cards: list[Card], kind: str) -> None:
    once, again = (picture_bytes(draw_card(cards[2], "t"), kind) for _ in range(2))
    assert once == again


def test_a_scene_without_a_performer_has_cards_that_say_so() -> None:
    plain = scene_from_text(
        "version: 1\neyes: [{id: E1, at: [0 m, -5 m, 1 m]}]\n"
        "secrets: [{name: s, disc: {radius: 1 m}, at: [0 m, 0 m, 1 m]}]\n"
    )
    made = cards_of(bench_of(plain))
    assert [card.key for card in made] == list(CARDS)
    assert "not known" in made[0].lead
    for card in made:
        draw_card(card, "t")


def test_the_command_writes_four_sheets_and_refuses_to_overwrite(tmp_path: Path) -> None:
    run = CliRunner()
    ended = run.invoke(app, ["cards", str(MENDED), "--out", str(tmp_path / "act"), "--json"])
    assert ended.exit_code == 0, ended.output
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"act-{name}.pdf" for name in sorted(CARDS)]
    assert all(p.read_bytes().startswith(b"%PDF") for p in tmp_path.iterdir())
    document = json.loads(ended.stdout)
    assert [card["key"] for card in document["cards"]] == list(CARDS)
    assert run.invoke(app, ["cards", str(MENDED), "--out", str(tmp_path / "act")]).exit_code != 0
    assert run.invoke(app, ["cards", str(MENDED), "--out", str(tmp_path / "no" / "act")]).exit_code != 0
    assert run.invoke(app, ["cards", str(MENDED), "--as", "doc"]).exit_code != 0


@pytest.mark.parametrize("path", sorted((REPOSITORY / "examples").glob("*.yaml")), ids=lambda path: path.name)
def test_examples_have_cards(path: Path) -> None:
    assert len(cards_of(bench_of(read_scene(path)))) == len(CARDS)
