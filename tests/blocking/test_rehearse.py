"""The act over time: a beat is the static check, eye-seconds are those of similar triangles, nothing is looked at twice."""

from __future__ import annotations

import csv
import json
import math
from dataclasses import replace
from pathlib import Path
from textwrap import dedent, indent
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from sightline.blocking import rehearsal as rehearsal_module
from sightline.blocking.attention import AWAY, NONE, TOWARDS, attention_of, hand_needs, stillness
from sightline.blocking.posed import Posed, move_of
from sightline.blocking.rehearsal import Rehearsal, rehearse
from sightline.blocking.timeline import frame_times, spans_s
from sightline.blocking.witness import account
from sightline.cli.main import app
from sightline.errors import FileError, SightlineError
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.check import VERDICTS, check
from sightline.staging.stage import stage
from tests.conftest import REPOSITORY

# A plate before a board, and a rod beside it that the plate does not hide from the sides.
PLAIN = """\
version: 1
title: a plate before a board
covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -40 cm, 1.2 m], carried: yes}]
secrets:
  - {name: board, rectangle: {width: 40 cm, height: 40 cm}, at: [0 m, 0 m, 1.2 m], carried: yes}
  - {name: rod, kind: rig, cylinder: {radius: 1 cm, height: 30 cm}, at: [20 cm, 10 cm, 1.2 m], carried: yes}
"""
EYES = "eyes:\n" + "".join(
    f"  - {{id: E{k}, at: [{4 * math.sin(b):.3f} m, {-4 * math.cos(b):.3f} m, 1.3 m], kind: {kind}, weight: {1 + k % 2}}}\n"
    for k, (b, kind) in enumerate(zip(np.linspace(-2.2, 2.2, 11), ["seated", "standing", "point"] * 4, strict=False))
)
BEATS = """\
beats:
  - {at: 0 s, mark: [-1 m, 0 m], facing: 20 deg, hold: 1 s, name: first, focus: {bearing: -90 deg}}
  - {at: 4 s, mark: [1 m, 0.5 m], facing: -70 deg, hold: 2 s, name: turned, focus: {eye: E1}}
  - {at: 8 s, mark: [0 m, 0 m], facing: 0 deg, name: front}
"""


def written(beats: str, scene: str = PLAIN + EYES) -> Written[Scene]:
    return scene_from_text(scene + "blocking:\n" + indent(dedent(beats).strip("\n"), "  ") + "\n")


def run(*words: str) -> Any:
    return CliRunner().invoke(app, list(words), catch_exceptions=True)


@pytest.fixture(scope="module")
def act() -> Rehearsal:
    return rehearse(written(BEATS), 4.0)


def test_a_beat_is_the_static_check_there(act: Rehearsal) -> None:
    """Verdicts and sizes, of every eye and secret, bit for bit."""
    places = [("-1 m, 0 m", 20), ("1 m, 0.5 m", -70), ("0 m, 0 m", 0)]
    for i, (mark, facing) in enumerate(places):
        static = check(stage(written(f"mark: [{mark}]\nfacing: {facing} deg")))
        for s, name in enumerate(act.secrets):
            assert act.verdict[act.of_step[i], s].tolist() == static.secrets[name].verdict.tolist()
            assert np.array_equal(
                act.size_arcmin[act.of_step[i], s], static.secrets[name].size_arcmin.astype(np.float32)
            )
    found = {int(v) for v in act.verdict[act.of_step].ravel()}
    assert found >= {0, 2}, "this scene must tell hidden from seen"
    # The frames at and within the holds are those very looks.
    assert act.of_frame[0] == act.of_step[0]
    assert act.of_frame[-1] == act.of_step[-1]


@pytest.fixture(scope="module")
def courier() -> Written[Scene]:
    """The example with six eyes in place of its house."""
    text = (REPOSITORY / "examples" / "courier-stage-beats.yaml").read_text(encoding="utf-8")
    eyes = "".join(f"  - {{id: P{k}, at: [{x} m, {y} m, {z} m], kind: standing}}\n" for k, (x, y, z) in enumerate(
        [(0, -5, 1.5), (-6, -1, 1.4), (5, -3, 1.1), (3, 6, 1.6), (-2.5, -2, 2.8), (8, 1, 1.2)]
    ))  # fmt: skip
    text = text.replace("venue: {use: proscenium-420}", f"eyes:\n{eyes}").replace("stalls G11", "P0")
    return scene_from_text(text)


def test_beats_of_the_example_are_the_static_check_with_their_moves_and_prop(courier: Written[Scene]) -> None:
    act = rehearse(courier, 1.0)
    model = courier.model
    assert model.prop is not None
    assert model.puppet is not None
    assert model.puppet.moves is not None
    seen = set()
    for i, step in enumerate(act.steps):
        assert step.moves is not None
        held = {"up": step.held.up, "tilt": step.held.tilt}
        alone = replace(courier, model=model.model_copy(update={
            "prop": model.prop.model_copy(update={"at": model.prop.at.model_copy(update=held)}),
            "puppet": model.puppet.model_copy(update={
                "moves": {name: move for name, move in model.puppet.moves.items() if name in step.moves}
            }),
            "blocking": model.blocking.model_copy(update={
                "mark": step.mark_m, "facing": step.facing_rad, "beats": [], "aim_at": None
            }),
        }))  # fmt: skip
        static = check(stage(alone))
        for s, name in enumerate(act.secrets):
            verdict = static.secrets[name].verdict.copy()
            if name == "real left arm":
                # Over the whole act the arm stirs, also where this beat has it at rest.
                verdict[verdict == 1] = 2
            assert act.verdict[act.of_step[i], s].tolist() == verdict.tolist(), (step.name, name)
            seen |= set(verdict.tolist())
    assert seen == {0, 1, 2} or seen == {0, 2}
    leaking = {act.move(name, look, e) for s, name in enumerate(act.secrets) for look, e in zip(
        *np.nonzero(act.verdict[:, s] == 2), strict=True
    )}  # fmt: skip
    assert leaking <= {"rest", "look left", "look right", "duck"}


def test_only_the_moves_of_a_beat_leak_in_it_and_on_the_way_those_of_both() -> None:
    """The first draft, whose arm shows: at rest less of it than in all moves, each as the static check has it."""
    text = (REPOSITORY / "examples" / "courier-stage.yaml").read_text(encoding="utf-8")
    assert "venue: {use: proscenium-420}" in text
    text = text.replace(
        "venue: {use: proscenium-420}", "eyes: [{id: A, at: [-5 m, -3 m, 1 m]}, {id: B, at: [4 m, 1 m, 3 m]}]"
    )
    bare = scene_from_text(text)
    mark = "facing: 0 deg}"
    assert text.count(mark) == 1
    beats = "beats: [{at: 0 s, moves: [rest]}, {at: 2 s, moves: [all]}, {at: 4 s, moves: [rest]}]"
    act = rehearse(scene_from_text(text.replace(mark, f"facing: 0 deg, {beats}}}")), 1.0)
    assert bare.model.puppet is not None
    still = bare.model.model_copy(update={"puppet": bare.model.puppet.model_copy(update={"moves": {}})})
    arm = act.secrets.index("real left arm")
    sizes = act.size_arcmin[act.of_frame, arm]
    at_rest, every = (
        check(stage(one)).secrets["real left arm"].size_arcmin.astype(np.float32)
        for one in (replace(bare, model=still), bare)
    )
    assert (at_rest < every).any()
    assert np.array_equal(sizes[0], at_rest)
    assert np.array_equal(sizes[2], every)
    assert np.array_equal(sizes[4], at_rest)
    # Fields or rays, in whichever frame: on the way either may happen.
    assert sizes[1] == pytest.approx(every, rel=1e-3)
    assert sizes[3] == pytest.approx(every, rel=1e-3)
    leaks = {act.move("real left arm", int(look), int(np.argmax(every - at_rest))) for look in act.of_frame[[1, 2, 3]]}
    assert leaks
    assert "rest" not in leaks


def test_moves_keep_their_elbows() -> None:
    assert move_of("duck, elbow +52 deg") == "duck"
    assert move_of("look left, slowly") == "look left, slowly"
    assert move_of("rest") == "rest"


# A fixed wall with a gap 2.4 m wide at the plaster line; a small disc walks by 2 m behind it, an eye is 4 m before it.
GAP = """\
version: 1
covers:
  - {name: wall SR, rectangle: {width: 9 m, height: 4 m}, at: [-5.7 m, 0 m, 1.2 m]}
  - {name: wall SL, rectangle: {width: 9 m, height: 4 m}, at: [5.7 m, 0 m, 1.2 m]}
secrets: [{name: spot, disc: {radius: 1 cm}, at: [0 m, 0 m, 1.2 m], carried: yes}]
eyes: [{id: E1, at: [0 m, -4 m, 1.2 m], weight: 3}]
"""
WALK = """\
ease: even
beats:
  - {at: 0 s, mark: [-4 m, 2 m]}
  - {at: 40 s, mark: [4 m, 2 m]}
"""


@pytest.mark.parametrize("fps", [4.0, 8.0, 16.0])
def test_eye_seconds_are_those_of_similar_triangles(fps: float) -> None:
    """Behind a gap of half width g the disc is in view over (|y_eye| + y) / |y_eye| g, and its own radius, to each side."""
    act = rehearse(written(WALK, GAP), fps)
    seconds = 2 * (1.2 * 6 / 4 + 0.01) / (8 / 40)
    assert act.eye_seconds("spot") == pytest.approx(3 * seconds, rel=0.02)
    assert act.eye_seconds() == act.eye_seconds("spot")
    assert act.seconds_seen() == pytest.approx([seconds], rel=0.02)


def test_eye_seconds_do_not_depend_on_the_frame_rate_nor_on_how_many_secrets_one_eye_sees(act: Rehearsal) -> None:
    rates = {fps: rehearse(written(BEATS), fps) for fps in (8.0, 16.0)}
    for name in (None, *act.secrets):
        at_4, at_8, at_16 = act.eye_seconds(name), rates[8.0].eye_seconds(name), rates[16.0].eye_seconds(name)
        assert at_4 > 5
        assert at_4 == pytest.approx(at_16, rel=0.02)
        assert at_8 == pytest.approx(at_16, rel=0.02)
    each = [act.eye_seconds(name) for name in act.secrets]
    assert max(each) <= act.eye_seconds() < sum(each)
    # The beats share the time out among them.
    assert sum(act.eye_seconds(spans_s=act.beat_spans_s(i)) for i in range(3)) == pytest.approx(
        act.eye_seconds(), rel=0.02
    )
    assert sum(act.beat_spans_s(i).sum() for i in range(3)) == pytest.approx(8.0)


def test_frames_hold_every_beats_own_times_and_stand_for_the_whole_act() -> None:
    found = written("beats: [{at: 1.1 s, hold: 0.25 s}, {at: 2.73 s, facing: 9 deg, hold: 1 s}]")
    from sightline.blocking.beats import steps

    times = frame_times(steps(found, []), 4.0)
    assert set(times) >= {1.1, 1.35, 2.73, 3.73, 1.25, 2.0}
    assert times.min() == 1.1
    assert times.max() == 3.73
    assert spans_s(times).sum() == pytest.approx(2.63)
    assert np.diff(times).max() <= 0.25 + 1e-9
    with pytest.raises(SightlineError, match="smaller --fps"):
        frame_times(steps(written("beats: [{at: 0 s, hold: 36000 s}]"), []), 60.0)


def test_what_does_not_change_is_not_looked_at_again(monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[tuple[str, tuple[float, float]]] = []
    for kind in ("checked", "exact", "quick"):
        method = getattr(Posed, kind)

        def counted(self: Posed, mark: Any, *rest: Any, _kind: str = kind, _method: Any = method, **more: Any) -> Any:
            calls.append((_kind, mark))
            return _method(self, mark, *rest, **more)

        monkeypatch.setattr(Posed, kind, counted)
    still = rehearse(written("beats: [{at: 0 s, hold: 20 s}, {at: 30 s, hold: 5 s}]"), 4.0)
    assert len(still.times_s) == 141
    assert [kind for kind, _ in calls] == ["checked"]
    calls.clear()
    moved = rehearse(written("beats: [{at: 0 s, hold: 20 s}, {at: 24 s, mark: [1 m, 0 m], hold: 5 s}]"), 4.0)
    # Fifteen frames on the way, three of them at whole seconds.
    assert [kind for kind, _ in calls].count("checked") == 2
    assert [kind for kind, _ in calls].count("quick") == 15
    assert [kind for kind, _ in calls].count("exact") == 3
    assert moved.disagreements == 0
    assert moved.confirmed == 5


def test_the_worse_of_two_verdicts_is_kept_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fields that would call everything hidden are found out by the rays of the whole seconds."""
    quick = Posed.quick

    def blind(self: Posed, *words: Any, **more: Any) -> Any:
        found = quick(self, *words, **more)
        return replace(
            found, secrets={n: replace(s, verdict=np.zeros_like(s.verdict)) for n, s in found.secrets.items()}
        )

    monkeypatch.setattr(Posed, "quick", blind)
    act = rehearse(written(BEATS), 4.0)
    assert act.disagreements > 0
    assert any(f"{act.disagreements} verdicts differed" in said for said in act.not_checked)
    whole = int(np.flatnonzero(act.times_s == 3.0)[0])
    static = rehearsal_module.rehearse(written(BEATS), 1.0)
    monkeypatch.undo()
    honest = rehearse(written(BEATS), 4.0)
    assert act.eyes_seen()[whole] == honest.eyes_seen()[whole] > 0
    assert static.eyes_seen().max() > 0


RINGED = """\
crowd: {crowd}
mark: [1 m, 1 m]
beats:
  - {{at: 0 s, mark: [1 m, 1 m], facing: 0 deg}}
  - {{at: 9 s, mark: [2 m, -1 m], facing: 90 deg, hold: 1 s}}
"""


@pytest.mark.parametrize("crowd", ["rings", "follows", "stands"])
def test_the_crowd_moves_as_eyes_moved_by_hand(crowd: str) -> None:
    def eyes(at: list[tuple[float, float]]) -> str:
        kinds = ["standing", "phone", "seated", "point", "child"]
        return "eyes:\n" + "".join(
            f"  - {{id: E{k}, at: [{x} m, {y} m, 1.25 m], kind: {kind}}}\n" for k, ((x, y), kind) in enumerate(
                zip(at, kinds, strict=True)
            )
        )  # fmt: skip

    there = [(1.0, -3.0), (4.0, 0.0), (1.5, -4.0), (-2.0, 1.5), (-2.0, 0.0)]
    moved = list(there)
    for k in (0, 1, 4):
        dx, dy = there[k][0] - 1, there[k][1] - 1
        # A quarter turn to the performer's left takes (dx, dy) to (-dy, dx).
        moved[k] = {"rings": (2 - dy, -1 + dx), "follows": (2 + dx, -1 + dy), "stands": there[k]}[crowd]
    act = rehearse(written(RINGED.format(crowd=crowd), PLAIN + eyes(there)), 2.0)
    static = check(stage(written("mark: [2 m, -1 m]\nfacing: 90 deg", PLAIN + eyes(moved))))
    assert [eye.position_m for eye in act.company.at((2.0, -1.0), math.pi / 2)] == [
        pytest.approx((x, y, 1.25)) for x, y in moved
    ]
    for s, name in enumerate(act.secrets):
        assert act.verdict[act.of_step[1], s].tolist() == static.secrets[name].verdict.tolist()
        assert act.size_arcmin[act.of_step[1], s] == pytest.approx(static.secrets[name].size_arcmin, rel=1e-3, abs=1e-3)
    if crowd == "rings":
        # To them the performer never moved.
        for k in (0, 1, 4):
            assert len(set(act.verdict[act.of_step, 0, k])) == 1
    assert any(("3 standing eyes" if crowd != "stands" else "stands where it is") in said for said in act.assumptions)


def test_what_stays_behind_is_looked_at_too() -> None:
    """A board that stays on the stage is covered only while the carried plate is before it."""
    scene = PLAIN.replace("at: [0 m, 0 m, 1.2 m], carried: yes", "at: [0 m, 0.4 m, 1.2 m]")
    act = rehearse(
        written(
            "ease: even\nbeats: [{at: 0 s}, {at: 8 s, mark: [2 m, 0 m]}]",
            scene + "eyes: [{id: E1, at: [0 m, -6 m, 1.2 m]}]\n",
        ),
        2.0,
    )
    seen = act.looks("board")[act.of_frame][:, 0]
    assert seen[0] == 0
    assert seen[-1] == 2
    assert list(seen) == sorted(seen)


def test_while_it_moves_nothing_is_faint() -> None:
    """A rod that is below what a seat can notice at the mark is seen on the way past the same place."""
    scene = "version: 1\nsecrets: [{name: rod, kind: rig, cylinder: {radius: 1 mm, height: 1 mm}, at: [0 m, 0 m, 1.2 m], carried: yes}]\n"
    far = scene + "eyes: [{id: E1, at: [0 m, -9 m, 1.2 m], kind: seated}]\n"
    act = rehearse(written("beats: [{at: 0 s}, {at: 4 s, mark: [1 m, 0 m]}]", far), 2.0)
    assert act.looks("rod")[act.of_step, 0].tolist() == [1, 1]
    assert set(act.looks("rod")[act.of_frame[1:-1], 0]) == {2}


def test_a_prop_that_no_arm_reaches_on_the_way_is_told_with_its_second(courier: Written[Scene]) -> None:
    from sightline.scene.blocking import Held

    beats = [*courier.model.blocking.beats]
    beats[3] = beats[3].model_copy(update={"prop": Held(up=1.9)})
    high = replace(courier, model=courier.model.model_copy(
        update={"blocking": courier.model.blocking.model_copy(update={"beats": beats})}
    ))  # fmt: skip
    with pytest.raises(FileError) as caught:
        rehearse(high, 1.0)
    assert "At 0:27, in 'shows the owl'" in str(caught.value)
    assert "blocking.beats[3].prop" in str(caught.value)


def test_a_complaint_is_answered_as_the_static_check_would(act: Rehearsal) -> None:
    static = check(stage(written("mark: [1 m, 0.5 m]\nfacing: -70 deg")))
    for i, eye in enumerate(static.moment.eyes):
        answer = account(written(BEATS), 5.0, eye.id).document("scene.yaml")
        assert answer["beat"] == "turned"
        assert answer["on_the_way_to"] is None
        for name, found in static.secrets.items():
            assert answer["secrets"][name]["verdict"] == VERDICTS[found.verdict[i]]
            assert answer["secrets"][name]["angular_size_arcmin"] == pytest.approx(found.size_arcmin[i])
            assert (answer["secrets"][name]["how"] is None) == (found.verdict[i] == 0)
    # On the way it agrees with the frame there.
    frame = int(np.flatnonzero(act.times_s == 2.5)[0])
    verdicts = act.verdict[act.of_frame[frame]]
    for i in (0, 5, 10):
        answer = account(written(BEATS), 2.5, act.eyes[i].id).document("scene.yaml")
        assert answer["on_the_way_to"] == "turned"
        assert [answer["secrets"][name]["verdict"] for name in act.secrets] == [VERDICTS[v] for v in verdicts[:, i]]


def test_risky_spells_say_where_the_focus_is(act: Rehearsal) -> None:
    found = attention_of(act)
    assert {spell.beat for spell in found.spells} == {0, 1, 2}
    assert sum(spell.seconds for spell in found.spells) == pytest.approx(float(act.span_s[act.eyes_seen() > 0].sum()))
    assert sum(spell.eye_seconds for spell in found.spells) == pytest.approx(act.eye_seconds())
    for spell in found.spells:
        frame = int(np.flatnonzero(act.times_s == spell.worst_s)[0])
        sizes = np.where(act.verdict == 2, act.size_arcmin, 0)[act.of_frame]
        within = (act.times_s >= spell.start_s) & (act.times_s <= spell.end_s)
        assert sizes[frame].max() == sizes[within].max() == pytest.approx(spell.size_arcmin)
        assert (
            act.size_arcmin[act.of_frame[frame], act.secrets.index(spell.worst_secret), spell.worst_eye]
            == sizes[frame].max()
        )


@pytest.mark.parametrize(
    ("focus", "said"),
    [("", NONE), (", focus: {eye: side}", TOWARDS), (", focus: {bearing: 40 deg}", TOWARDS), (", focus: {bearing: 0 deg}", AWAY),
     (", focus: {bearing: -80 deg}", AWAY), (", focus: {eye: front}", AWAY)],
)  # fmt: skip
def test_focus_towards_and_away(focus: str, said: str) -> None:
    """Only the eye at stage left, 80 degrees round from the front, sees behind the plate."""
    eyes = "eyes:\n  - {id: front, at: [0 m, -5 m, 1.2 m]}\n  - {id: side, at: [4.9 m, -0.87 m, 1.2 m]}\n"
    scene = PLAIN.replace("  - {name: rod", "  # {name: rod")
    act = rehearse(written(f"beats: [{{at: 0 s, hold: 2 s{focus}}}]", scene + eyes), 2.0)
    assert act.eyes_seen().tolist() == [1] * 5
    (spell,) = attention_of(act).spells
    assert (spell.focus, act.eyes[spell.worst_eye].id, spell.seconds) == (said, "side", 2.0)
    # It improves no verdict.
    assert act.eye_seconds() == pytest.approx(2.0)


def test_stillness_counts_time_without_a_reason() -> None:
    from sightline.blocking.beats import steps

    found = steps(written("""\
        beats:
          - {at: 0 s, hold: 3 s, name: a, false arm: waits}
          - {at: 5 s, name: b, false arm: none}
          - {at: 12 s, name: c, hold: 2 s}
          - {at: 20 s, name: d, mark: [1 m, 0 m], hold: 4 s, false arm: asleep}
        """), [])  # fmt: skip
    parts = list(stillness(found, 8.0))
    told = [(p.start_s, p.seconds, p.reason, p.too_long, p.beats) for p in parts]
    assert told == [
        (0.0, 5.0, "waits", True, ("a",)),
        (5.0, 9.0, None, True, ("b", "c")),
        (20.0, 4.0, "asleep", False, ("d",)),
    ]
    assert [p.too_long for p in stillness(found, 9.0)] == [True, False, False]


def test_a_hand_that_holds_and_one_that_hides_cannot_open_a_door(courier: Written[Scene]) -> None:
    beats = [*courier.model.blocking.beats]
    beats[2] = beats[2].model_copy(update={"hands": "the door handle"})
    model = courier.model.model_copy(update={"blocking": courier.model.blocking.model_copy(update={"beats": beats})})
    from sightline.blocking.beats import steps

    found = steps(replace(courier, model=model), put_eyes(courier))
    needs = list(hand_needs(found, model))
    assert [(need.beat, need.conflict) for need in needs] == [(0, False), (2, True)]
    assert needs[1].proposal is not None
    assert "in 'steps up' (0:08), set the crate down in view" in needs[1].proposal
    free = model.model_copy(update={"pose": model.pose.model_copy(update={"visible_hand": None})})
    assert not any(need.conflict for need in hand_needs(found, free))


def put_eyes(scene: Written[Scene]) -> Any:
    from sightline.staging.audience import audience

    return audience(scene).eyes


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    text = PLAIN.replace("name: board", 'name: "=board"') + EYES + "blocking:\n" + indent(BEATS, "  ")
    (tmp_path / "act.yaml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_command_writes_json_and_tables(folder: Path) -> None:
    done = run("rehearse", "act.yaml", "--fps", "2", "--json", "--out", "night")
    assert done.exit_code == 0, done.exception
    report = json.loads(done.stdout)
    assert set(report) == {
        "schema_version", "title", "scene", "fps", "beats", "frames", "secrets", "summary", "attention", "warnings",
        "cautions", "seen_as_built", "assumptions", "not_checked",
    }  # fmt: skip
    assert set(report["beats"][0]) >= {
        "index", "name", "at_s", "hold_s", "mark_m", "facing_deg", "eyes_seen", "eyes_faint", "worst_eye", "moves",
        "focus", "false_arm", "secrets",
    }  # fmt: skip
    assert set(report["secrets"]["rod"]["worst"]) >= {"t_s", "eye", "pose", "angular_size_arcmin"}
    assert report["secrets"]["rod"]["worst"]["how"]
    assert report["summary"]["eyes_ever_seen"] > 0
    assert any("exits and edges not drawn" in said for said in report["not_checked"])
    with (folder / "night-beats.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["name"] for row in rows] == ["first", "turned", "front"]
    assert "'=board: eyes seen at the cue" in rows[0]
    assert [int(row["eyes seen at the cue"]) for row in rows] == [beat["eyes_seen"] for beat in report["beats"]]
    with (folder / "night-frames.csv").open(encoding="utf-8", newline="") as file:
        frames = list(csv.DictReader(file))
    assert [float(row["time, s"]) for row in frames] == [frame["t_s"] for frame in report["frames"]]
    assert [int(row["rod: eyes seen"]) for row in frames] == [frame["secrets"]["rod"] for frame in report["frames"]]
    assert (folder / "night-strip.png").read_bytes()[:4] == b"\x89PNG"
    assert "--force" in str(run("rehearse", "act.yaml", "--out", "night").exception)
    again = run("rehearse", "act.yaml", "--fps", "2", "--json")
    assert again.stdout == done.stdout


def test_the_command_in_words_and_its_codes(folder: Path) -> None:
    done = run("rehearse", "act.yaml", "--fps", "2", "--require-seen", "0")
    assert done.exit_code == 3
    assert "eye-seconds" in done.stdout
    assert "focus" in done.stdout
    answer = run("rehearse", "act.yaml", "--at", "0:05", "--eye", "E10")
    assert answer.exit_code == 0, answer.exception
    assert "E10" in answer.stdout
    assert "in 'turned'" in answer.stdout
    for words, sentence in (
        (("--at", "0:05", "--eye", "E99"), "There is no eye 'E99'"),
        (("--at", "1:05", "--eye", "E1"), "The act lasts from 0:00 to 0:08"),
        (("--at", "soon", "--eye", "E1"), "--at soon"),
    ):
        assert sentence in str(run("rehearse", "act.yaml", *words).exception)
    assert run("rehearse", "act.yaml", "--at", "0:05").exit_code == 2


def test_without_beats_there_is_one_frame_and_no_eye_seconds(folder: Path) -> None:
    (folder / "one.yaml").write_text(PLAIN + EYES, encoding="utf-8")
    done = run("rehearse", "one.yaml", "--json", "--out", "one")
    assert done.exit_code == 0, done.exception
    report = json.loads(done.stdout)
    assert len(report["frames"]) == 1
    assert report["summary"]["eye_seconds"] is None
    assert report["secrets"]["rod"]["eye_seconds"] is None
    static = json.loads(run("check", "one.yaml", "--json", "--no-margins").stdout)
    assert report["frames"][0]["eyes_seen"] == static["summary"]["eyes_seen"]


def test_faults_of_the_plan_are_told(folder: Path) -> None:
    (folder / "fast.yaml").write_text(
        PLAIN + EYES + "blocking: {beats: [{at: 0 s}, {at: 1 s, mark: [2 m, 0 m]}]}\n", encoding="utf-8"
    )
    assert any(
        "walked at up to 3.00 m/s" in said
        for said in json.loads(run("rehearse", "fast.yaml", "--json").stdout)["warnings"]
    )
    (folder / "none.yaml").write_text(
        PLAIN + EYES + "blocking: {beats: [{at: 0 s, hold: 1 s}, {at: 1 s, mark: [2 m, 0 m]}]}\n", encoding="utf-8"
    )
    assert "zero duration" in str(run("rehearse", "none.yaml").exception)
