"""`packet.html`: one file that shows the whole plan, opens from disk without a network, and answers "what if here?"."""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from sightline.blocking.placing import Placing
from sightline.errors import SightlineError
from sightline.form.inline import hash_of, json_text
from sightline.packet.assetfiles import HERE, fixed_bytes, own_script, page_style, three_script
from sightline.packet.measured import MARKS, Measured, measured
from sightline.packet.pageact import PageAct, page_act
from sightline.packet.pagedata import (
    Pieces,
    act_data,
    least_words,
    page_data,
    per_secret,
    quick_limits,
    thresholds_of,
)
from sightline.packet.pagemoment import PageMoment, Timeline, timeline_of
from sightline.packet.planpicture import Laid, laid_out, plan_svg
from sightline.packet.wording import noun, overview, places
from sightline.pictures import style
from sightline.pictures.layer import LARGEST_ARCMIN, SMALLEST_ARCMIN
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, check
from sightline.sight.fieldcache import FieldCache
from sightline.staging.stage import Staged

MOST_BYTES = 3_000_000
# What one more staging of the act may add; a heavier one is left out, and the page says which beats it was for.
MOST_ACT_BYTES = 150_000
MOST_SEATS = 6000


def page_html(
    written: Written[Scene],
    staged: Staged,
    *,
    finding: Finding | None = None,
    after: tuple[Written[Scene], Staged] | None = None,
    cache: FieldCache | None = None,
    beats: bool = True,
    marks: int = MARKS,
) -> bytes:
    """The page. The same scene gives the same bytes.

    `finding`: the check on the scene's own mark, with margins if they are to be shown; checked here without. `after`:
    a mended scene in the same house, to compare with. `marks`: on so many marks the quick answer is measured.
    Raises SightlineError for a house too large, another house in `after`, and FileError for beats that cannot be.
    """
    limits = thresholds_of(written.model)
    if len(staged.house.eyes) > MOST_SEATS:
        raise SightlineError(f"The page holds at most {MOST_SEATS} eyes, and this house has {len(staged.house.eyes)}.")
    found = finding or check(staged.moment(), limits)
    placing = Placing(staged, limits, cache)
    own = PageMoment("the scene's own mark", "mark", None, staged.mark_m, staged.facing_rad, 0, found)
    moments, placings = [own], [placing]
    timeline = timeline_of(written, limits, cache, placing) if beats else None
    if timeline:
        moments += timeline.moments
        placings = timeline.placings
    if after is not None:
        moments.append(_mended(after, staged, len(placings)))
        placings.append(Placing(after[1], thresholds_of(after[0].model), cache))
    first = page_act(placings[0], written.model, staged.goes_along and staged.has_performer)
    near = measured(first, marks) if first.fields and marks else Measured(0, [[0] * 3] * 3, False)
    return _assembled(written, moments, placings, first, timeline, near, after[0].model if after else None)


def _mended(after: tuple[Written[Scene], Staged], staged: Staged, act: int) -> PageMoment:
    written, other = after
    if [eye.id for eye in other.house.eyes] != [eye.id for eye in staged.house.eyes]:
        raise SightlineError("The scene to compare with has another audience; before and after need the same seats.")
    found = check(other.moment(), thresholds_of(written.model))
    name = f"suggestion: {other.title}"
    return PageMoment(name, "after", None, other.mark_m, other.facing_rad, act, found)


def _assembled(
    written: Written[Scene], moments: list[PageMoment], placings: list[Placing], first: PageAct,
    timeline: Timeline | None, near: Measured, after: Scene | None,
) -> bytes:  # fmt: skip
    found = moments[0].finding
    secrets = list(dict.fromkeys(name for m in moments for name in m.finding.secrets))
    laid = laid_out(found.moment)
    pieces = Pieces()
    acts, undrawn, left_out = [act_data(first, pieces)], [], []
    scenes = [written.model] * len(placings)
    if after is not None:
        scenes[-1] = after
    room = MOST_BYTES - fixed_bytes() - len(json.dumps(acts)) - pieces.bytes
    for i, placing in enumerate(placings[1:], 1):
        act = page_act(placing, scenes[i], bool(first.fields) and placing.staged.goes_along)
        before = pieces.mark()
        data = act_data(act, pieces)
        size = len(json.dumps(data)) + pieces.bytes - before[1]
        if size > min(MOST_ACT_BYTES, room):
            pieces.back_to(before)
            data = {**act.as_data(), "pieces": acts[0]["pieces"]}
            size = len(json.dumps(data))
            names = [m.name for m in moments if m.act == i]
            if size > min(MOST_ACT_BYTES, room):
                data, size = {**acts[0], "fields": []}, 0
                left_out += names
            else:
                undrawn += names
        room -= size
        acts.append(data)
    data = page_data(written, moments, acts, pieces, timeline, laid, secrets, first.palette)
    return _joined(written, moments, laid, data, near, (undrawn, left_out), secrets)


def _joined(
    written: Written[Scene], moments: list[PageMoment], laid: Laid, data: dict[str, Any], near: Measured,
    left_out: tuple[list[str], list[str]], secrets: list[str],
) -> bytes:  # fmt: skip
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    found = moments[0].finding
    moment, worst, size = found.moment, found.worst_verdict(), found.size_of_leak()
    css, script, three = page_style(), own_script(), three_script()
    environment = Environment(
        loader=FileSystemLoader(HERE / "assets"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    seen = np.flatnonzero(worst == 2).tolist()
    overall, beside = overview(found, moment.plan.venue), data["worst"] if worst.any() or least_words(found) else -1
    text = environment.get_template("page.html").render(
        title=written.model.title, status=written.model.papers.status, noun=noun(moment.eyes), venue=moment.plan.venue, sentence=overall,
        style=Markup(css), script=Markup(script), three=Markup(three), style_hash=hash_of(css),
        script_hashes=[hash_of(three), hash_of(script)], data=Markup(json_text(data)),
        overview=Markup(plan_svg(laid, moment, worst, size, "overview-plan", f"Plan: {overall}", beside)),
        plan=Markup(plan_svg(laid, moment, worst, size, "plan", "Plan of the house with a mark for every seat")),
        counts=[int((worst == k).sum()) for k in range(3)], total=len(worst), worst=int(worst.max(initial=0)),
        worst_id=moment.eyes[data["worst"]].id, least=least_words(found), secrets=secrets,
        eyes=[eye.id for eye in moment.eyes], seen_places=places(moment.eyes, seen), per_secret=per_secret(found),
        must_see=[(name, int(m.clear.sum())) for name, m in found.must_see.items()],
        moments=data["moments"], beats=[m for m in data["moments"] if m["kind"] == "beat"],
        after=next((m for m in data["moments"] if m["kind"] == "after"), None),
        start=data["frames"][0][0] if data["frames"] else 0, end=data["frames"][-1][0] if data["frames"] else 0,
        tries=bool(data["acts"][0]["fields"]), near=near.words, undrawn=left_out[0], left_out=left_out[1],
        assumptions=moment.assumptions, not_checked=(*moment.not_checked, *quick_limits(moments[0])),
        has_performer=moment.plan.mark_m is not None, scale=[SMALLEST_ARCMIN, LARGEST_ARCMIN],
        steps=range(len(style.SCALE_STOPS)),
    )  # fmt: skip
    return text.encode("utf-8")
