"""Which arm is better: the act as written beside the same act built for the other arm."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sightline.errors import Misfit, SightlineError
from sightline.sight.check import Thresholds, check
from sightline.staging.stage import put_together
from sightline.workshop import comfort
from sightline.workshop.bench import Bench
from sightline.workshop.grips import grips
from sightline.workshop.masses import masses
from sightline.workshop.mirroring import mirrored_scene, obstacle, other_side
from sightline.workshop.raised import raised
from sightline.workshop.reach import mm
from sightline.workshop.section import Item, Section

NAME = "which arm"
# Builds are told apart from these differences on. Common practice, no source.
CLEAR_M, RAISE_DEG, MOMENT_NM = 0.002, 1.0, 0.1
# An eye in a crowd may stand for half a person: less than one whole person tells nothing.
WHOLE = 1.0 - 1e-9
# One facing of the other build is its mirror; nearer to full front than this the two are one.
SAME_RAD = float(np.radians(0.5))


@dataclass(frozen=True)
class Build:
    """One build: weighted eyes that can see a secret, grips reached, least clearance, highest raise, shoulder moment.

    None where it is not known. `facing_rad` is the facing at which it was looked at.
    """

    arm: str
    facing_rad: float
    seen: float
    eyes: float
    reached: int
    asked: int
    clear_m: float | None
    raise_deg: float | None
    moment_nm: float | None


def section(bench: Bench) -> Section:
    """The section of the report; never raises for a scene that could be staged."""
    stop = obstacle(bench.scene)
    if stop is None and bench.scene.puppet is None:
        stop = "the scene has no puppet"
    if stop:
        return Section(NAME, [Item("which arm", "not known", f"Which arm is better is not known: {stop}.")])
    try:
        here, there = builds(bench)
    except SightlineError as error:
        words = f"Which arm is better is not known: the other build does not go together. {error.sentence}"
        return Section(NAME, [Item("which arm", "not known", words)])
    items = [_leaks(here, there), _reached(here, there), _clear(here, there), _raise(here, there), _moment(here, there)]
    return Section(
        NAME, [*items, _verdict(here, there)], [],
        ["For the other arm the act is mirrored as it stands: prop, hole, grip, moves, rig, costume and both hands. Its facing "
         "is tried as written and mirrored, and the better one taken. Leaks are looked at with heads still."],
        ["which hand the performer is better with, old injuries, and which side the way on and off favours"],
    )  # fmt: skip


def builds(bench: Bench) -> tuple[Build, Build]:
    """The build as written and the mirrored one, at its better facing. Raises SightlineError where that cannot be built."""
    written = replace(bench.written, model=mirrored_scene(bench.scene))
    other = Bench(written, put_together(written, bench.staged.house))
    facing = bench.staged.facing_rad
    facings = [facing] if abs(facing) < SAME_RAD else [facing, -facing]
    return _build(bench, [facing]), _build(other, facings)


def _build(bench: Bench, facings: list[float]) -> Build:
    assert bench.scene.performer is not None
    noticing = bench.scene.noticing
    limits = Thresholds(noticing.spot_arcmin, noticing.line_arcsec, sway=False)
    seen: list[tuple[float, float]] = []
    eyes = 0.0
    for facing in facings:
        try:
            finding = check(bench.staged.moment(facing_rad=facing), limits, must_sees=False, brief=True)
        except Misfit as misfit:
            raise SightlineError(misfit.sentence) from misfit
        seen.append((finding.weighted_seen(), facing))
        eyes = float(sum(eye.weight for eye in finding.moment.eyes))
    least = min(seen, key=lambda entry: entry[0])
    found = grips(bench)
    best = [grip.best for grip in found if grip.best is not None]
    known = [way.least_m for way in best if way.edge is not None or way.wall is not None]
    return Build(
        str(bench.scene.performer.hide[0]), least[1], least[0], eyes, len(best), len(found),
        min(known, default=None), max((way.raise_deg for way in best), default=None), _shoulder_nm(bench),
    )  # fmt: skip


def _shoulder_nm(bench: Bench) -> float | None:
    """The moment at the hidden shoulder in its heaviest pose, N m; None where it is not known."""
    try:
        poses = raised(bench, masses(bench))
    except SightlineError:
        return None
    return max((pose.most_nm for pose in poses), default=None)


def _pair(key: str, words: str, values: list[float | None], unit: str | None, source: str | None = None) -> Item:
    known = all(value is not None for value in values)
    return Item(key, "told" if known else "not known", words, list(values), unit, source)


def _leaks(here: Build, there: Build) -> Item:
    turned = "" if there.facing_rad == here.facing_rad else " (with the facing mirrored)"
    words = (
        f"People who can see a secret, heads still, of the {here.eyes:g} that the eyes stand for: {here.arm} hidden "
        f"{here.seen:g}, {there.arm} hidden {there.seen:g}{turned}."
    )
    return _pair("leaks", words, [here.seen, there.seen], "weighted eyes")


def _reached(here: Build, there: Build) -> Item:
    words = f"Grips reached: {here.arm} {here.reached} of {here.asked}, {there.arm} {there.reached} of {there.asked}."
    return _pair("grips", words, [here.reached, there.reached], "grips")


def _clear(here: Build, there: Build) -> Item:
    def said(build: Build) -> str:
        if build.clear_m is None:
            return f"{build.arm} not known"
        return f"{build.arm} {'clears by' if build.clear_m >= 0 else 'presses by'} {mm(build.clear_m)}"

    words = f"Least clearance to the prop by the best elbows: {said(here)}, {said(there)}."
    return _pair("clearance", words, [here.clear_m, there.clear_m], "m")


def _raise(here: Build, there: Build) -> Item:
    def said(build: Build) -> str:
        if build.raise_deg is None:
            return f"{build.arm} not known"
        return f"{build.arm} {build.raise_deg:.0f} deg, {comfort.WORDS[comfort.band(build.raise_deg)]}"

    words = f"Upper arm raised at most: {said(here)}; {said(there)}."
    return _pair("comfort", words, [here.raise_deg, there.raise_deg], "deg", comfort.SOURCE)


def _moment(here: Build, there: Build) -> Item:
    if here.moment_nm is None or there.moment_nm is None:
        return Item("load", "not known", "The load on the hidden shoulder is not known for both builds.")
    words = (
        f"Moment at the hidden shoulder: {here.arm} {here.moment_nm:.1f} N m, {there.arm} {there.moment_nm:.1f} N m."
    )
    return _pair("load", words, [here.moment_nm, there.moment_nm], "N m")


def better(here: Build, there: Build) -> tuple[str | None, str]:
    """The better arm, or None where nothing tells them apart, and by what: reach before leaks before room and comfort."""
    for what, one, other, least in (
        ("it reaches more grips", here.reached, there.reached, 0.5),
        ("fewer people see a secret", -here.seen, -there.seen, WHOLE),
        ("the arm has more room", here.clear_m, there.clear_m, CLEAR_M),
        ("the upper arm is held lower", _minus(here.raise_deg), _minus(there.raise_deg), RAISE_DEG),
        ("it is lighter on the shoulder", _minus(here.moment_nm), _minus(there.moment_nm), MOMENT_NM),
    ):
        if one is not None and other is not None and abs(one - other) > least:
            return (here.arm if one > other else there.arm), what
    return None, ""


def _minus(value: float | None) -> float | None:
    return None if value is None else -value


def _verdict(here: Build, there: Build) -> Item:
    arm, why = better(here, there)
    if arm is None:
        words = f"Nothing looked at here tells the two builds apart: hide the {here.arm}, as written, or the one you prefer."
        return Item("better arm", "told", words, None)
    kept = "as written" if arm == here.arm else f"not the {other_side(arm)} as written"
    return Item("better arm", "told" if arm == here.arm else "warn", f"Better hide the {arm}, {kept}: {why}.", arm)
