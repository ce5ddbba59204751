"""Advice: what is refused for people's sake, what is said when nothing works, what is written."""

from __future__ import annotations

import json
import math
from pathlib import Path
from textwrap import dedent

import pytest
from typer.testing import CliRunner

from sightline.blocking.advise import advise
from sightline.blocking.levers import cross_to, turn_to
from sightline.blocking.refusals import Refusals
from sightline.blocking.trial import Outcome, Trier
from sightline.cli.main import app
from sightline.scene.reading import scene_from_text
from sightline.staging.stage import put_together

TARGET = """\
version: 1
title: A small one   # kept
secrets: [{name: target, rectangle: {width: 4 cm, height: 4 cm}, at: [0 m, 0 m, 1 m], carried: yes}]
"""
SCREEN = """\
venue:
  scenery: [{name: screen, flat: {width: 8 m, height: 3 m}, at: [-4.15 m, -1 m, 0 m]}]   # ends at -15 cm
eyes: [{id: E1, at: [0 m, -5 m, 1 m]}]
"""


def advice_of(text: str, *kinds: str, most: int = 1):  # type: ignore[no-untyped-def]
    return advise(scene_from_text(dedent(text)), frozenset(kinds) or None, most)


def test_apply_writes_the_change_and_keeps_the_comments(tmp_path: Path) -> None:
    scene, out = tmp_path / "a.yaml", tmp_path / "b.yaml"
    scene.write_text(TARGET + SCREEN + "# the end\n", encoding="utf-8")
    run = CliRunner().invoke(
        app, ["advise", str(scene), "--only", "cross", "--changes", "1", "--apply", "1", "--out", str(out), "--json"]
    )
    assert run.exit_code == 0, run.output
    found = json.loads(run.stdout)
    (edit,) = found["suggestions"][0]["changes"][0]["edits"]
    text = out.read_text(encoding="utf-8")
    assert "# kept" in text
    assert "# ends at -15 cm" in text
    assert text.rstrip().splitlines()[-1] == "# the end" or "# the end" in text
    checked = CliRunner().invoke(app, ["check", str(out), "--json", "--no-margins"])
    assert json.loads(checked.stdout)["summary"]["eyes_seen"] == found["suggestions"][0]["after"]["eyes_seen"] == 0
    assert edit["value"] in text
    assert scene.read_text(encoding="utf-8") == TARGET + SCREEN + "# the end\n"


def test_apply_needs_out_and_a_number_that_is_there(tmp_path: Path) -> None:
    scene, out = tmp_path / "a.yaml", tmp_path / "b.yaml"
    scene.write_text(TARGET + SCREEN, encoding="utf-8")
    assert CliRunner().invoke(app, ["advise", str(scene), "--apply", "1"]).exit_code == 2
    assert CliRunner().invoke(app, ["advise", str(scene), "--only", "magic"]).exit_code == 2
    run = CliRunner().invoke(app, ["advise", str(scene), "--only", "cross", "--apply", "99", "--out", str(out)])
    assert run.exit_code == 1
    assert not out.exists()
    out.write_text("mine", encoding="utf-8")
    run = CliRunner().invoke(app, ["advise", str(scene), "--only", "cross", "--apply", "1", "--out", str(out)])
    assert run.exit_code == 1
    assert out.read_text(encoding="utf-8") == "mine"


def test_a_mark_in_a_way_out_is_refused() -> None:
    """The shadow to cross into lies in an area to be kept clear: nothing is proposed there."""
    clear = "  keep clear: [{name: fire lane, rectangle: {from: [-2 m, -3 m], to: [-0.26 m, 3 m]}}]\n"
    free = advice_of(TARGET + SCREEN, "cross")
    assert free.suggestions[0].after.eyes_seen == 0
    kept = advice_of(TARGET + SCREEN.replace("eyes:", clear + "eyes:"), "cross")
    assert all(s.changes[0].mark_m[0] > -0.01 for s in kept.suggestions if s.changes[0].mark_m)
    assert any("fire lane" in refused.why for refused in kept.refused)


def test_marks_keep_from_edges() -> None:
    text = (
        TARGET
        + "venue: {edges: [{name: pit, line: [[-1.2 m, -3 m], [-1.2 m, 3 m]]}]}\neyes: [{id: E1, at: [0 m, -5 m, 1 m]}]\n"
    )
    written = scene_from_text(text)
    rules = Refusals(written, put_together(written).house)
    change = cross_to(written, (0.0, 0.0), (-0.3, 0.0))
    assert change.mark_m == (-0.3, 0.0)
    why = rules.of_mark((-0.3, 0.0))
    assert why is not None
    assert "pit" in why
    assert rules.of_mark((-0.1, 0.0)) is None
    assert rules.not_checked() == ["exits not drawn: not checked"]


def test_nothing_drawn_is_told() -> None:
    assert "exits and edges not drawn: not checked" in advice_of(TARGET + SCREEN, "cross").not_checked


SEATS = """\
version: 1
secrets: [{name: target, rectangle: {width: 4 cm, height: 4 cm}, at: [0 m, 0 m, 1 m], facing: 90 deg, carried: yes}]
covers: [{name: plate, rectangle: {width: 2 m, height: 2 m}, at: [0.5 m, 0.9 m, 1 m], facing: 90 deg, carried: yes}]
must see: [{name: owl, sphere: {radius: 20 cm}, at: [0 m, 0 m, 2.2 m], carried: yes}]
venue:
  seats:
    - {block: stalls, level: stalls, rows: 3, seats: 20, first row: 3 m, row spacing: 0.9 m, seat width: 0.5 m WHEEL}
"""


def test_few_seats_may_be_held_but_never_a_wheelchair_place() -> None:
    free = advice_of(SEATS.replace(" WHEEL", ""), "seats held")
    assert free.before.eyes_seen
    assert free.suggestions == [] or free.suggestions[0].changes[0].lever == "seats held"
    # Whoever sees becomes a wheelchair place: then it is refused, with the place's name.
    first = [eye for eye, seen in zip(free.before.ids, free.before.seen, strict=True) if seen == 2]
    if len(first) <= 6:
        chair = first[0].split()[-1]
        kept = advice_of(SEATS.replace(" WHEEL", f", wheelchair: [{chair}]"), "seats held")
        assert all("wheelchair" in refused.why for refused in kept.refused)
        assert kept.suggestions == []


RING = """\
version: 1
secrets: [{name: target, rectangle: {width: 4 cm, height: 4 cm}, two sided: yes, at: [0 m, 0 m, 1 m], carried: yes}]
venue:
  standing: [{area: ring, ring: {inner: 2 m, outer: 2 m}, spacing: 1.2 m}]
"""


def test_when_surrounded_the_honest_word() -> None:
    run_text = RING
    advice = advice_of(run_text, "turn", "cross")
    assert advice.suggestions == []
    assert advice.surrounded
    from sightline.cli.advise import says

    said = says(scene_from_text(run_text), advice)
    assert said is not None
    assert "No facing works when surrounded" in said
    assert "wall" in said


def test_nobody_sees_and_nothing_is_changed() -> None:
    text = (
        TARGET
        + "covers: [{name: shell, sphere: {radius: 40 cm}, at: [0 m, 0 m, 1 m], carried: yes}]\neyes: [{id: E1, at: [0 m, -5 m, 1 m]}]\n"
    )
    advice = advice_of(text)
    assert advice.suggestions == []
    assert advice.before.eyes_seen == 0


@pytest.mark.parametrize(("cost", "first"), [("{turn per deg: 100}", "cross"), ("{cross per cm: 100}", "turn")])
def test_the_cost_table_says_what_is_smallest(cost: str, first: str) -> None:
    """Turning shows an edge of a one-sided target, crossing leads into the shadow: the cheaper comes first."""
    plate = "covers: [{name: plate, rectangle: {width: 2 m, height: 2 m}, at: [-1.05 m, -1 m, 1 m], carried: yes}]\n"
    advice = advice_of(TARGET + SCREEN + plate + f"cost: {cost}\n", "turn", "cross")
    done = [s for s in advice.suggestions if s.after.eyes_seen == 0]
    assert done[0].changes[0].lever == first


def test_what_was_tried_before_changes_no_answer() -> None:
    """A staging serves many marks and facings; each is asked as the edited text says, in whatever order."""
    plate = "covers: [{name: plate, rectangle: {width: 4 m, height: 4 m}, at: [-2.1 m, -1 m, 1 m], carried: yes}]\n"
    eyes = "eyes: [{id: E1, at: [0 m, -6 m, 1 m]}]\n"
    written = scene_from_text(TARGET + plate + eyes)
    turned = turn_to(written, 0.0, math.radians(10.0))
    first, second = Trier(written), Trier(written)
    before = first.trial(()), first.trial((turned,))
    after = second.trial((turned,)), second.trial(())
    assert all(isinstance(outcome, Outcome) for outcome in (*before, *after))
    assert [o.eyes_seen for o in before] == [1, 0]  # type: ignore[union-attr]
    assert [o.eyes_seen for o in after] == [0, 1]  # type: ignore[union-attr]


def test_a_facing_that_is_aimed_follows_a_cross() -> None:
    written = scene_from_text(TARGET + "eyes: [{id: E1, at: [0 m, -5 m, 1 m]}]\nblocking: {aim at: E1}\n")
    _, _, placing = (trier := Trier(written)).finding(())
    finding, _, _ = trier.finding((cross_to(written, (0.0, 0.0), (1.0, 0.0)),))
    assert placing.staged.facing_rad == 0.0
    assert finding.moment.plan.facing_rad == pytest.approx(math.atan2(-1.0, 5.0))
