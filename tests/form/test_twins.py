"""What is written twice, for the terminal and for the page, says the same."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sightline.form.fit import misfits
from sightline.form.join import join, scalar, settled
from sightline.form.plan import plan
from sightline.form.question import Kind, Question, Skip, at
from sightline.form.questionnaire import questions
from tests.form.answers import random_answers
from tests.form.scenes import SCENES

ASKED = questions()
TEXTS = [
    "172 cm", "5 ft 8 in", "5'10\"", "5'10 1/2\"", "1/2 in", "0", "0 cm", "-3 cm", "−3 cm", "+4 mm",
    "about 48 cm", "~ 48 cm", "46-50 cm", "46 to 50 cm", "50-46 cm", "46 cm - 50 cm", "46–50 cm", "unknown",
    "Unknown", "", "   ", "12", "12 furlongs", "48cm", "48 CM", "48 Inches", "48 cm 3 mm", "3 ft 2", "1/0 in",
    "1 1/0 in", "20 km", "11000 m", "-11000 m", "nan", "inf m", "1e3 m", "cm", "48 cm cm", "1 yd 2 ft",
    "1 lb 3 oz", "70 kg", "0 kg", "20000 kg", "-1 kg", "3 lbs", "30 deg", "400 deg", "30°", "1 rad", "30",
    "1/4 left", "Full Front", "full sideways", "a\tb", "x" * 201, "x" * 200, "Eule 🦉", "0.5", "7", "-1", "1.5",
    "100001", "red", "round", "17,5 cm", "constructor", "1 constructor", "toString m", "48 c\u0007m",
    "x" * 60 + " cm", "1 2 3 cm", ". cm", ".5 m", "5. m", "0.5m-0.6m", "5 cm-", "-5 - 3 cm",
]  # fmt: skip
CASES: list[tuple[Kind, Skip, tuple[float, float, str] | None, tuple[tuple[str, str], ...]]] = [
    ("length", "no", (0.5, 2.5, "0.5 m to 2.5 m"), ()),
    ("length", "unknown", None, ()),
    ("distance", "leave", None, ()),
    ("offset", "no", None, ()),
    ("angle", "unknown", None, ()),
    ("mass", "unknown", (5.0, 400.0, "5 kg to 400 kg"), ()),
    ("words", "leave", None, ()),
    ("facing", "leave", None, ()),
    ("count", "leave", None, ()),
    ("choice", "no", None, (("round", "Round"), ("slot", "Slot"))),
    ("choice", "leave", None, ()),
]
KINDS = [
    Question("k", "", "", kind, at("k"), skip=skip, bounds=bounds, choices=choices)
    for kind, skip, bounds, choices in CASES
]


@pytest.mark.parametrize("question", KINDS, ids=lambda q: f"{q.kind} {q.skip}")
def test_the_same_sentence_about_every_answer(visit: Callable[..., Any], question: Question) -> None:
    page = visit().page
    theirs = page.evaluate("([q, texts]) => texts.map((text) => answerProblem(q, text))", [question.as_data(), TEXTS])
    assert dict(zip(TEXTS, theirs, strict=True)) == {text: question.problem(text) for text in TEXTS}


def test_text_is_quoted_alike(visit: Callable[..., Any]) -> None:
    theirs = visit().page.evaluate("(texts) => texts.map(scalar)", TEXTS)
    assert theirs == [scalar(text) for text in TEXTS]


@pytest.mark.parametrize("name", SCENES)
def test_the_same_answers_make_the_same_text(visit: Callable[..., Any], name: str) -> None:
    page = visit().page
    cut = plan(SCENES[name], ASKED)
    made = [random_answers(cut, ASKED, seed, seed / 40) for seed in range(40)]
    data = {
        "plan": {"segments": cut.segments, "was": cut.was, "locked": cut.locked, "keep": cut.keep},
        "asked": {q.id: q.as_data() for q in ASKED.values()},
        "made": made,
    }
    theirs = page.evaluate("({plan, asked, made}) => made.map((answers) => join(plan, answers, asked))", data)
    assert theirs == [join(cut, answers, ASKED) for answers in made]
    assert len(set(theirs)) > 20


def test_the_same_misfits(visit: Callable[..., Any]) -> None:
    page = visit().page
    cut = plan(SCENES["starter"], ASKED)
    said = [settled(random_answers(cut, ASKED, seed, 0.5), ASKED) for seed in range(120)]
    for wall in ("back", "left", "bottom"):
        theirs = page.evaluate("([said, wall]) => said.map((one) => misfits(one, wall))", [said, wall])
        assert theirs == [misfits(one, wall) for one in said]
    assert any(theirs)
