"""Answers put into a plan: the scene's text. `join.js` is its twin in the page, and a test holds them together."""

from __future__ import annotations

import re
from collections.abc import Mapping

from sightline.form.plan import Plan, Segment
from sightline.form.question import Question

# What YAML reads back as written, inside brackets too.
_PLAIN = re.compile(r"-?[A-Za-z0-9.]([A-Za-z0-9 .'\"/()%+-]*[A-Za-z0-9.'\")%])?", re.ASCII)


def scalar(text: str) -> str:
    """One line of text as YAML: bare where that is safe, else in single quotes."""
    return text if _PLAIN.fullmatch(text) else "'" + text.replace("'", "''") + "'"


def settled(answers: Mapping[str, str], questions: Mapping[str, Question]) -> dict[str, str]:
    """The answers that count: trimmed, what goes without saying put in, and none where another makes it pointless."""
    out = {name: (answers.get(name) or "").strip() or question.implied for name, question in questions.items()}
    for question in questions.values():
        if question.when is not None:
            name, wanted = question.when
            if out.get(name, "") not in wanted:
                out[question.id] = ""
    return out


def join(plan: Plan, answers: Mapping[str, str], questions: Mapping[str, Question]) -> str:
    """The text with the answers in place. Unchanged answers leave every byte as it was."""
    said = settled(answers, questions)
    for name in plan.locked:
        said[name] = plan.was.get(name, "")
    for name in plan.keep:
        said[name] = said.get(name) or plan.was.get(name, "")
    return "".join(_segment(segment, plan, said, questions) for segment in plan.segments)


def _segment(segment: Segment, plan: Plan, said: Mapping[str, str], questions: Mapping[str, Question]) -> str:
    def stays(name: str | None) -> bool:
        return name is None or bool(said.get(name))

    text = str(segment.get("t", ""))
    if "q" in segment:
        name = segment["q"]
        answer = said.get(name, "")
        if not answer:
            return "" if questions[name].droppable and name not in plan.keep else text
        return text if answer == plan.was.get(name) else scalar(answer)
    if "drop" in segment:
        return text if stays(segment["drop"]) else ""
    if "sep" in segment:
        return text if stays(segment["sep"]) and any(stays(name) for name in segment["after"]) else ""
    if "bare" in segment:
        kept = any(stays(name) for name in segment["bare"]) or _pairs(segment["unless"], said, questions)
        return "" if kept else " {}"
    if "whole" in segment:
        return _value(segment["whole"], said, questions) or text
    if "add" in segment:
        pairs = _pairs(segment["add"], said, questions)
        if "lead" in segment:
            return "".join(segment["lead"] + pair + segment.get("trail", "") for pair in pairs)
        before = any(stays(name) for name in segment["after"])
        return "".join((", " if before or i else "") + pair for i, pair in enumerate(pairs))
    return text


def _pairs(items: list[Segment], said: Mapping[str, str], questions: Mapping[str, Question]) -> list[str]:
    written = [(item["k"], _value(item, said, questions), "weak" in item) for item in items]
    if not any(value and not weak for _, value, weak in written):
        return []
    return [f"{key}: {value}" for key, value, _ in written if value]


def _value(item: Segment, said: Mapping[str, str], questions: Mapping[str, Question]) -> str:
    if "fixed" in item:
        return scalar(item["fixed"])
    if "q" in item:
        return _new(item["q"], said, questions)
    if "s" in item:
        values = [_new(one["q"], said, questions) or one["blank"] for one in item["s"]]
        given = any(_new(one["q"], said, questions) for one in item["s"])
        return "[" + ", ".join(value if value else "0 m" for value in values) + "]" if given else ""
    pairs = _pairs(item.get("m") or item.get("l") or [], said, questions)
    if not pairs:
        return ""
    return "{" + ", ".join(pairs) + "}" if "m" in item else "[{" + ", ".join(pairs) + "}]"


def _new(name: str, said: Mapping[str, str], questions: Mapping[str, Question]) -> str:
    """A value that the file lacks: nothing for what goes without saying."""
    answer = said.get(name, "")
    if not answer or answer == "unknown" or answer == questions[name].implied:
        return ""
    return scalar(answer)
