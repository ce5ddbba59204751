"""`sightline drift`: how far the performer may miss the mark before anybody sees more, and how likely that is."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.blocking.drift import Drift, Reach, Turn
    from sightline.blocking.odds import Odds
    from sightline.staging.stage import Staged


def drift(
    scene: SceneArgument,
    stray: Annotated[
        str | None, typer.Option("--stray", help="How far marks are missed, two standard deviations: '50 mm'.")
    ] = None,
    turn: Annotated[str | None, typer.Option("--turn", help="How far facings are missed, likewise: '5 deg'.")] = None,
    draws: Annotated[int | None, typer.Option("--draws", min=1, max=10_000, help="How many strays are tried.")] = None,
    seed: Annotated[
        int | None, typer.Option("--seed", min=0, max=100_000, help="The same seed, the same strays.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", help="Also draw it: PNG, SVG or PDF.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Tell how far and how much the performer may stray or turn from the mark before any eye sees more."""
    import sys

    from sightline.blocking.cautions import EDGE
    from sightline.blocking.drift import drift_of
    from sightline.blocking.nearby import Nearby
    from sightline.blocking.notation import datum
    from sightline.blocking.odds import odds_of
    from sightline.cli.say import closing, print_json, progress, tell, write_whole
    from sightline.cli.work import misfits_placed, picture_target, placed

    kind = picture_target(out, force)
    said: dict[str, float] = {key: value for key, value in (("draws", draws), ("seed", seed)) if value is not None}
    said |= {key: _quantity(text, key) for key, text in (("distance", stray), ("turn", turn)) if text is not None}
    written, placing = placed(scene, root)
    staged = placing.staged
    loose = written.model.blocking.stray.model_copy(update=said)
    with misfits_placed(written), progress("straying") as bar:
        nearby = Nearby(placing, staged.mark_m, staged.facing_rad)
        found = drift_of(nearby, bar)
    with misfits_placed(written), progress("drawing strays") as bar:
        odds = odds_of(nearby, loose, bar)
    assumptions = [*_assumptions(found, odds), *staged.notes]
    not_checked = [*_not_checked(written.model.blocking.beats != [], staged.house.lamps != []), *_of_scene(staged)]
    cautions = [EDGE]
    warnings = _warnings(found, placing, written.model.blocking.from_edges)
    if out:
        from sightline.pictures.drift import draw_drift
        from sightline.pictures.style import picture_bytes

        drawn = draw_drift(found, odds, staged.title, staged.house.name, staged.house.outlines)
        write_whole(out, picture_bytes(drawn, kind), force)
        tell(f"The drawing is in {out}.")
    if json:
        document = _document(found, odds, staged.title, scene.name)
        said_too = {"warnings": warnings, "cautions": cautions}
        print_json(document | said_too | {"assumptions": assumptions, "not_checked": not_checked})
    else:
        lines = [*_words(found, odds, staged.title, staged.house.name, datum(staged.house.outlines), warnings)]
        lines += [*(f"  {caution}" for caution in cautions), "", *closing(assumptions, not_checked)]
        sys.stdout.write("\n".join(lines) + "\n")


def _quantity(text: str, key: Literal["distance", "turn"] | str) -> float:
    """What an option says, the most of a range. Raises SightlineError where it cannot be read."""
    from sightline.errors import SightlineError
    from sightline.units import QuantityError, Unknown, parse

    option = "--stray" if key == "distance" else "--turn"
    try:
        value = parse(text, "length" if key == "distance" else "angle").high
    except QuantityError as error:
        raise SightlineError(f"{option}: {error}.") from error
    except Unknown:
        raise SightlineError(f"{option} must be said; leave it away for what the scene says.") from None
    most = 10.0 if key == "distance" else 2 * math.pi
    if not 0 <= value <= most:
        raise SightlineError(
            f"{option} '{text}' cannot be: it is from nothing to {'10 m' if key == 'distance' else 'a full turn'}."
        )
    return value


def _assumptions(found: Drift, odds: Odds) -> list[str]:
    from sightline.blocking.drift import BEARINGS, FARTHEST_M, FINE_M, INSIDE_M

    again = (
        f"; {odds.confirmed} of those without a leak, the farthest, were confirmed by rays alone"
        if odds.confirmed
        else ""
    )
    return [
        "Worse means: any eye sees more of any secret than from the mark itself (hidden, faint, seen).",
        f"The region was searched along {BEARINGS} bearings to {FINE_M * 1000:.0f} mm, out to {FARTHEST_M:g} m, with direction "
        "fields and rays; the disc at 8 bearings, the lozenge at 16 places of its edges and the turns by rays alone; the "
        "lozenge every 2 cm along its edges and inside, too.",
        f"Inside the disc places {INSIDE_M * 100:.0f} cm apart were asked, with direction fields and rays. Between those, and "
        "elsewhere between the bearings, somebody may still see more.",
        "The region is for the facing that was meant, the turns for the mark that was meant; both at once eat into each other.",
        f"Strays are independent and normal in x, y and turn, what is stated being two standard deviations{again}.",
    ]  # fmt: skip


def _not_checked(beats: bool, lamps: bool) -> list[str]:
    said = ["whether the floor goes on under the region; prop and arm that are held otherwise than said"]
    if beats:
        said.append("beats: only the scene's own mark, facing and prop were looked at (sightline rehearse)")
    if lamps:
        said.append("shadows of secrets, on the mark and off it: see sightline check for the mark itself")
    return said


def _of_scene(staged: Staged) -> list[str]:
    """What the check itself does not look at, but for what is looked at here."""
    from sightline.staging.stage import STRAYING

    return [said for said in staged.moment().not_checked if said != STRAYING]


def _warnings(found: Drift, placing: Any, from_edges_m: float) -> list[str]:
    """Where the lozenge reaches what must be kept away from."""
    import numpy as np

    from sightline.blocking.keepout import obstacles

    keep = obstacles(placing.staged.house)
    ring = np.vstack([found.lozenge.corners_m, found.lozenge.corners_m[:1]]) + found.mark_m
    for points, what in ((np.array([found.mark_m]), ""), (ring, "Whoever uses the whole lozenge: ")):
        refused = keep.refusal(points, from_edges_m)
        if refused:
            return [what + (refused.replace("The way", "the way along its edge") if what else refused)]
    return []


def _document(found: Drift, odds: Odds, title: str, scene: str) -> dict[str, Any]:
    def deg(value: float) -> float:
        return _nine(math.degrees(value))

    shape = found.lozenge
    return {
        "schema_version": 1, "title": title, "scene": scene,
        "mark_m": [_nine(v) for v in found.mark_m], "facing_deg": deg(found.facing_rad),
        "base": {"eyes": found.eyes, "eyes_seen": found.eyes_seen},
        "disc_m": _nine(found.disc_m),
        "turn_left_deg": deg(found.left.turn_rad), "turn_right_deg": deg(found.right.turn_rad),
        "turn_left_leak": _leak(found.left), "turn_right_leak": _leak(found.right),
        "lozenge_m": {"downstage": _nine(shape.down_m), "stage_left": _nine(shape.left_m),
                      "upstage": _nine(shape.up_m), "stage_right": _nine(shape.right_m)},
        "region": [[deg(r.bearing_rad), _nine(r.distance_m), r.eye, r.secret] for r in found.region],
        "slices": [
            {"turn_deg": deg(s.turn_rad), "offsets_m": [_nine(v) for v in s.offsets_m.tolist()], "clean": s.clean.tolist()}
            for s in found.slices
        ],
        "stray": {
            "distance_m": _nine(odds.stray.distance), "turn_deg": deg(odds.stray.turn), "draws": odds.stray.draws,
            "seed": odds.stray.seed, "p_worse": _nine(odds.p_worse), "p_worse_low": _nine(odds.worse_interval[0]),
            "p_worse_high": _nine(odds.worse_interval[1]), "p_seen": _nine(odds.p_seen),
            "p_seen_low": _nine(odds.seen_interval[0]), "p_seen_high": _nine(odds.seen_interval[1]),
        },
    }  # fmt: skip


def _leak(turn: Turn) -> dict[str, str | None] | None:
    return {"eye": turn.eye, "secret": turn.secret} if turn.eye else None


def _nine(value: float) -> float:
    return float(f"{value:.9g}")


def _words(found: Drift, odds: Odds, title: str, venue: str, base: str, warnings: list[str]) -> Iterator[str]:
    """For a person at a terminal."""
    from sightline.blocking.drift import first_leaks, middle_turn
    from sightline.blocking.notation import depth_words, facing_words, side_words
    from sightline.blocking.tapeout import degrees_down, direction, length

    yield f"{title}: drift from the mark" + (f", {venue}" if venue else "")
    yield f"  mark {side_words(found.mark_m[0])}, {depth_words(found.mark_m[1], base)}; facing {facing_words(found.facing_rad)}"
    yield ""
    if found.eyes_seen:
        yield f"  {found.eyes_seen} of {found.eyes} can see a secret on the mark itself; what follows is how far it gets no worse."
    if found.disc_m >= 0.01:
        yield f"  Anywhere within {length(found.disc_m)} of the mark, facing exactly as meant, nobody sees more."
    else:
        yield "  No room: the least step off the mark, one way or another, shows somebody more."
    shape = found.lozenge
    if shape.down_m > 0:
        yield (
            f"  To tape out, corners from the mark: {length(shape.down_m)} downstage, {length(shape.left_m)} to stage left "
            f"(house right), {length(shape.up_m)} upstage, {length(shape.right_m)} to stage right (house left)."
        )
    for turn, own in ((found.left, "left"), (found.right, "right")):
        yield f"  Turning to own {own}: {degrees_down(turn.turn_rad)} deg" + _then(turn)
    middle = middle_turn(found)
    if middle is not None:
        half = degrees_down((found.left.turn_rad + found.right.turn_rad) / 2)
        own = "left" if middle > 0 else "right"
        yield f"  Facing {abs(math.degrees(middle)):.0f} deg farther to own {own} would leave {half} deg each way."
    yield ""
    yield "  First to see more when the performer strays:"
    for reaches in first_leaks(found):
        nearest = min(reaches, key=lambda reach: reach.distance_m)
        yield f"    {direction(nearest.bearing_rad)}, from {length(nearest.distance_m)}: {_who(nearest)}"
    if not any(reach.eye for reach in found.region):
        yield "    nobody"
    yield ""
    stated = f"{odds.stray.distance * 1000:g} mm and {math.degrees(odds.stray.turn):.3g} deg (two standard deviations)"
    yield f"  Strays of {stated}, {odds.stray.draws} draws, seed {odds.stray.seed}:"
    low, high = odds.worse_interval
    yield f"    somebody sees more than from the mark: {_percent(odds.p_worse)} (95 %: {_percent(low)} to {_percent(high)})"
    low, high = odds.seen_interval
    yield f"    somebody sees a secret: {_percent(odds.p_seen)} (95 %: {_percent(low)} to {_percent(high)})"
    yield from (f"  ! {warning}" for warning in warnings)


def _percent(share: float) -> str:
    return f"{share * 100:.1f} %"


def _then(turn: Turn) -> str:
    if turn.eye is None:
        return " or more (not searched farther)"
    return f"; then {_who(turn)}"


def _who(leak: Turn | Reach) -> str:
    return f"{leak.eye} sees the {leak.secret}" if leak.secret else f"the performer runs into {leak.eye}"
