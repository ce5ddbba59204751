"""Made-up answers, the same for every run of the tests."""

from __future__ import annotations

import random

from sightline.form.plan import Plan
from sightline.form.question import Question

LENGTHS = ("172 cm", "about 48 cm", "5 ft 8 in", "46-50 cm", "5'10\"", "10 1/2 in", "0.3 m", "8 mm")


def random_answers(cut: Plan, questions: dict[str, Question], seed: int, share: float) -> dict[str, str]:
    """The answers as read, a share of them changed, some to none."""
    chance = random.Random(seed)
    out = {name: cut.was.get(name, "") for name in questions}
    for name, q in questions.items():
        if chance.random() > share:
            continue
        if q.kind == "choice":
            out[name] = chance.choice([value for value, _ in q.choices])
        elif q.kind == "words":
            out[name] = chance.choice(["Owl: a 'tale' # 1", "Eule 🦉", "[x], {y}", "- dash", "plain"])
        elif q.kind == "facing":
            out[name] = chance.choice(["10 deg", "-30 deg", "1/4 left"])
        elif q.kind == "angle":
            out[name] = "35 deg"
        elif q.kind == "mass":
            out[name] = chance.choice(["70 kg", "about 3 lb"])
        elif q.kind == "count":
            out[name] = chance.choice(["0", "12"])
        elif q.kind == "offset":
            out[name] = chance.choice(["-3 cm", "0 cm", *LENGTHS])
        else:
            out[name] = chance.choice(LENGTHS)
        if not q.required and chance.random() < 0.4:
            out[name] = "unknown" if q.skip == "unknown" else ""
    return out
