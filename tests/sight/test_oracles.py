"""Verdict tables of six scenes against two other libraries, with doubles to say who is right where they differ.

Every pose, head position, mirror and patch is cast for; of the first draft on the stage for a seeded fifth of the eyes
(for all of them with SIGHTLINE_ORACLES_EYES=all). Where the answers to one ray differ, and for a seeded sample of all
rays, doubles decide. What is allowed, and counted:

- a library or the planner may be wrong about a ray only where it passes an edge by less than FLOAT_M, and about no more
  than MOST_WRONG of all rays;
- a verdict may differ from that of the settled rays only within NEAR_THRESHOLD of the eye's threshold, and only for
  the worse: the planner never says hidden, or less than seen, where doubles do not.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sightline.moment import Moment
from sightline.scene.reading import read_scene
from sightline.sight.check import Finding, check
from sightline.staging import stage
from tests.conftest import REPOSITORY, leak_of_scene
from tests.sight.brute import Bools, Points, blocked
from tests.sight.judge import SETTLED, Judge, Opinion, Rays
from tests.sight.oracle_scenes import plain_scene
from tests.sight.oracles import LIBRARIES, Caster, library, those_there

EXAMPLES = ("courier-stage", "courier-stage-mended", "courier-pitch", "courier-pitch-mended")
# Of 420 eyes of the largest scene so many are drawn, so that the whole file stays within CI's time; with five head
# positions each just enough for the proof by flat faces to be used.
EYES_DRAWN = {"courier-stage": 80, "courier-stage-mended": 210}
# Single precision has steps of 1e-6 m at 16 m from the middle, farther than any eye here.
FLOAT_M = 4e-6
MOST_WRONG = 1e-6
# The sample aims at some hundreds in the example scenes, and thousands in the plain ones.
LEAST_DECIDED = 40
# The oracle sums area times cosine over distance squared, within 0.1 % of the exact angle at these distances.
NEAR_THRESHOLD = 0.005
MOST_NEAR_THRESHOLD = 1


def moment_of(name: str, folder: Path) -> Moment:
    path = REPOSITORY / "examples" / f"{name}.yaml" if name in EXAMPLES else plain_scene(name, folder)
    moment = stage(read_scene(path))
    most = EYES_DRAWN.get(name, len(moment.eyes))
    if os.environ.get("SIGHTLINE_ORACLES_EYES") != "all" and most < len(moment.eyes):
        some = np.sort(np.random.default_rng(8).choice(len(moment.eyes), most, replace=False))
        moment = replace(moment, eyes=tuple(moment.eyes[i] for i in some))
    return moment


@pytest.mark.parametrize("name", LIBRARIES)
def test_the_library_is_there(name: str) -> None:
    """Skipped with the reason where it is not, and a failure where SIGHTLINE_ORACLES=required says that it must be."""
    triangle = np.array([[[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]])
    caster = library(name)(triangle, np.zeros(3))
    starts, ends = np.array([[0.2, -1.0, 0.2], [0.8, -1.0, 0.8]]), np.array([[0.2, 1.0, 0.2], [0.8, 1.0, 0.8]])
    assert caster.blocked(starts, ends).tolist() == [True, False]


@pytest.mark.parametrize("scene", [*EXAMPLES, "mirror", "seams"])
def test_verdicts(scene: str, tmp_path: Path) -> None:
    makers = those_there()
    if not makers:
        pytest.skip("none of the libraries is there; test_the_library_is_there says why")
    moment = moment_of(scene, tmp_path)
    finding, judge = check(moment), Judge(moment, makers)
    for name, found in finding.secrets.items():
        compare(finding, name, judge.opinion(name))
        assert found.sighting.seen.solid_angle_sr.shape == (len(moment.eyes),)
    check_rays(judge.rays)


def compare(finding: Finding, name: str, opinion: Opinion) -> None:
    """The planner's verdicts on a secret are those of each library, and never milder than the settled ones."""
    found = finding.secrets[name]
    in_doubt = opinion.from_threshold < NEAR_THRESHOLD
    assert in_doubt.sum() <= MOST_NEAR_THRESHOLD, name
    for library_, verdict in opinion.verdicts.items():
        unlike = [finding.moment.eyes[i].id for i in np.flatnonzero((verdict != found.verdict) & ~in_doubt)]
        assert not unlike, (name, library_, unlike)
    milder = found.verdict < opinion.verdicts[SETTLED]
    assert not milder.any(), (name, [finding.moment.eyes[i].id for i in np.flatnonzero(milder)])
    if found.sighting.secret.path is None:
        # Splitting may only raise a leak over that of the base patches.
        least = opinion.solid_angle_sr * (1 - NEAR_THRESHOLD)
        assert np.all(found.sighting.seen.solid_angle_sr >= least), name


def check_rays(rays: Rays) -> None:
    """Whoever is wrong about a ray is so within rounding of an edge, and seldom; printed, to say who was right."""
    print(f"{rays.asked} rays, {rays.in_dispute} in dispute, {rays.decided} decided in doubles")
    assert rays.decided >= LEAST_DECIDED
    for what, wrong in (("hidden", rays.hidden_wrongly), ("seen", rays.seen_wrongly)):
        for who, near_m in wrong.items():
            print(f"wrongly {what} by {who}: {len(near_m)}, at most {max(near_m, default=0.0):.1e} m from an edge")
            assert max(near_m, default=0.0) <= FLOAT_M, (what, who)
            assert len(near_m) <= max(1, MOST_WRONG * rays.asked), (what, who)


def test_a_library_that_misses_a_cover_is_found_out(tmp_path: Path) -> None:
    """The comparison can fail: with every other triangle gone a library sees what nobody else does, and is told so."""

    def fewer(triangles: Points, centre_m: Points) -> Caster:
        return DoublesCaster(triangles[::2], centre_m)

    moment = moment_of("seams", tmp_path)
    moment = replace(moment, eyes=moment.eyes[:8])
    judge = Judge(moment, {"holed": fewer, "doubles": DoublesCaster})
    opinion = judge.opinion("ring")
    assert judge.rays.in_dispute > 50
    assert len(judge.rays.seen_wrongly["holed"]) == judge.rays.in_dispute
    assert not judge.rays.hidden_wrongly["holed"]
    assert not judge.rays.hidden_wrongly["planner"]
    assert not judge.rays.seen_wrongly["planner"]
    assert (opinion.verdicts["holed"] > opinion.verdicts[SETTLED]).any()
    with pytest.raises(AssertionError):
        check_rays(judge.rays)


def test_what_the_planner_drops_wrongly_is_found_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And so can the planner: with one in forty patches called buried, it hides what doubles see."""
    monkeypatch.setattr(
        "sightline.sight.prepared.outside_solids", lambda cut, _: cut.only(np.arange(cut.count) % 40 > 0)
    )
    moment = moment_of("mirror", tmp_path)
    moment = replace(moment, eyes=moment.eyes[1:3])
    judge = Judge(moment, {"doubles": DoublesCaster})
    opinion = judge.opinion("hatch")
    assert len(judge.rays.hidden_wrongly["planner"]) > 20
    assert not judge.rays.hidden_wrongly["doubles"]
    with pytest.raises(AssertionError):
        check_rays(judge.rays)
    with pytest.raises(AssertionError):
        compare(check(moment), "hatch", opinion)


class DoublesCaster:
    """Our own doubles in the place of a library, for the two tests of the test."""

    def __init__(self, triangles: Points, centre_m: Points):
        self.triangles = triangles

    def blocked(self, starts: Points, ends: Points) -> Bools:
        return blocked(starts, ends, self.triangles)


def test_required_means_that_a_skip_is_a_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing() -> Callable[[Points, Points], Caster]:
        raise ImportError("no such library")

    monkeypatch.setitem(LIBRARIES, "absent", (missing, "nothing"))
    monkeypatch.delenv("SIGHTLINE_ORACLES", raising=False)
    with pytest.raises(pytest.skip.Exception, match="absent cannot be used here"):
        library("absent")
    monkeypatch.setenv("SIGHTLINE_ORACLES", "required")
    with pytest.raises(pytest.fail.Exception, match="SIGHTLINE_ORACLES=required"):
        library("absent")


@pytest.mark.parametrize("depth_mm", [-0.05, 0.05, 0.5])
def test_a_patch_just_under_a_surface_is_left_to_rays(depth_mm: float) -> None:
    """What these oracles found: rays start 0.1 mm off a patch, so one less deep than that in a solid was dropped as
    buried though its rays escape. Doubt counts as seen."""
    text = f"""
        covers: [{{name: block, box: {{width: 1 m, depth: 1 m, height: 1 m}}, at: [0 m, 0 m, 0.5 m]}}]
        secrets:
          - {{name: target, rectangle: {{width: 20 cm, height: 20 cm}}, at: [0 m, 0 m, {1 - depth_mm / 1000:.6f} m], facing: [0, 0, 1]}}
        eyes: [{{id: E1, at: [0.3 m, -1 m, 3 m]}}]
    """
    assert leak_of_scene(text)["verdict"] == ("hidden" if depth_mm > 0.1 else "seen")
