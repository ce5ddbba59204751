"""A new scene from a maker's answers: the starter's text with the answers in place."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from sightline.form.fit import misfits
from sightline.form.join import join, settled
from sightline.form.plan import Plan, plan
from sightline.form.question import Question
from sightline.form.questionnaire import questions
from sightline.scene.starter import TEXT


@cache
def start() -> tuple[Plan, dict[str, Question]]:
    """The starter cut at its answers, and the questions."""
    asked = questions()
    return plan(TEXT, asked), asked


def defaults() -> dict[str, str]:
    """What the starter says where nobody answers."""
    return dict(start()[0].was)


def problems(answers: Mapping[str, str]) -> dict[str, str]:
    """Question id -> sentence, for every answer that will not do or does not go with the others."""
    asked = start()[1]
    said = settled(answers, asked)
    out = {}
    for name, question in asked.items():
        needless = question.when is not None and said.get(question.when[0], "") not in question.when[1]
        found = None if needless else question.problem(said[name])
        if found:
            out[name] = found
    return misfits(said) | out


def new_scene(answers: Mapping[str, str]) -> str:
    """The text of a new scene; answers not given are the starter's. Raises ValueError with the first problem."""
    whole = defaults() | dict(answers)
    wrong = problems(whole)
    if wrong:
        name, sentence = next(iter(wrong.items()))
        raise ValueError(f"{start()[1][name].short}: {sentence}")
    made, asked = start()
    return join(made, whole, asked)
