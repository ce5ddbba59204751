"""`sightline clock`: for an act with people all round, where nothing shows, and what to do where it does."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.blocking.clock import Clock


def clock(
    scene: SceneArgument,
    out: Annotated[Path | None, typer.Option("--out", help="Also draw the card, A7: PNG, SVG or PDF.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Tell by the clock from where nothing shows, how near people may come, and the least turn when one steps round."""
    import sys

    from sightline.blocking.cautions import CROWD, LOOK_BEHIND
    from sightline.blocking.clock import clock_of
    from sightline.blocking.ring import Ring
    from sightline.cli.say import closing, print_json, progress, tell, write_whole
    from sightline.cli.work import misfits_placed, picture_target, placed

    kind = picture_target(out, force)
    written, placing = placed(scene, root)
    staged = placing.staged
    with misfits_placed(written), progress("looking all round") as bar:
        found = clock_of(Ring(placing, staged.mark_m, staged.facing_rad), bar)
    assumptions = [*_assumptions(), *staged.notes]
    not_checked = [
        "bearings between those asked, every 10 deg, and distances and heights between the ones said",
        "the real audience: who stands where, and whose heads are in the way (sightline check)",
        "whom else a turn exposes to; ways out, and how many people a place holds: those are the venue's",
    ]
    if written.model.blocking.beats:
        not_checked.append("beats: only the scene's own mark, facing and prop were looked at (sightline rehearse)")
    not_checked += staged.moment().not_checked
    cautions = [CROWD, LOOK_BEHIND]
    if out:
        from sightline.blocking.notation import body_position
        from sightline.pictures.clock import draw_clock
        from sightline.pictures.style import picture_bytes

        where = "; ".join(x for x in (staged.house.name, f"facing {body_position(staged.facing_rad)}") if x)
        write_whole(out, picture_bytes(draw_clock(found, staged.title, where), kind), force)
        tell(f"The card is in {out}.")
    if json:
        document = _document(found, staged.title, scene.name)
        print_json(document | {"cautions": cautions, "assumptions": assumptions, "not_checked": not_checked})
    else:
        lines = [*_words(found, staged.title, staged.house.name), *(f"  {caution}" for caution in cautions)]
        lines += ["", *closing(assumptions, not_checked)]
        sys.stdout.write("\n".join(lines) + "\n")


def _assumptions() -> list[str]:
    from sightline.blocking.clock import STEPS_ROUND_M
    from sightline.blocking.ring import DISTANCES_M, HEIGHTS_M, KINDS

    heights = ", ".join(f"{kind} {height:.3f} m" for kind, height in zip(KINDS, HEIGHTS_M, strict=True))
    return [
        f"Eyes of our own stand all round, {DISTANCES_M[0]:g} to {DISTANCES_M[-1]:g} m away, at these heights above the performing "
        f"floor: {heights}. Clean means: from all heights nothing shows, not even faintly; every clean eye was confirmed by rays alone.",
        "12 o'clock is straight ahead of the performer, 3 o'clock the performer's right, 9 o'clock the performer's left.",
        "Scenery of the venue covers as it stands; where an eye would be inside something, nobody stands.",
        f"A turn is the least, in steps of 10 deg, after which nothing shows to whoever stands {STEPS_ROUND_M:g} m away there.",
    ]  # fmt: skip


def _document(found: Clock, title: str, scene: str) -> dict[str, Any]:
    from sightline.blocking.ring import DISTANCES_M, hour_of

    def deg(value: float | None) -> float | None:
        return None if value is None else float(f"{math.degrees(value):.9g}")

    spot = found.photo
    return {
        "schema_version": 1, "title": title, "scene": scene,
        "mark_m": list(found.mark_m), "facing_deg": deg(found.facing_rad),
        "bearings": [
            {
                "bearing_deg": deg(ray.bearing_rad), "hour": hour_of(ray.bearing_rad), "nearest_clean_m": ray.nearest_m,
                "clean_at_m": {f"{d:g}": clean for d, clean in zip(DISTANCES_M, ray.clean, strict=True)},
                "worst": {"height_kind": ray.kind, "secret": ray.secret} if ray.kind else None,
                "turn_left_deg": deg(ray.left_rad), "turn_right_deg": deg(ray.right_rad),
            }
            for ray in found.rays
        ],
        "hours": [
            {
                "hour": hour.hour, "nearest_clean_m": hour.nearest_m,
                "turn_left_deg": deg(hour.left_rad), "turn_right_deg": deg(hour.right_rad),
            }
            for hour in found.hours
        ],
        "sectors": [
            {"from_deg": deg(s.from_rad), "to_deg": deg(s.to_rad), "distance_m": s.distance_m} for s in found.sectors
        ],
        "photo_spot": None if spot is None else {
            "bearing_deg": deg(spot.bearing_rad), "hour": hour_of(spot.bearing_rad), "distance_m": spot.distance_m,
            "must_see": {name: float(f"{share:.9g}") for name, share in spot.clear.items()},
        },
        "posts": [
            {
                "bearing_deg": deg(post.bearing_rad), "hour": hour_of(post.bearing_rad), "wide_deg": deg(post.wide_rad),
                "leaks_to_m": post.leaks_to_m,
            }
            for post in found.posts
        ],
    }  # fmt: skip


def _words(found: Clock, title: str, venue: str) -> Iterator[str]:
    """For a person at a terminal."""
    from sightline.blocking.clock import HONEST, SECTORS_M, STEPS_ROUND_M
    from sightline.blocking.notation import facing_words
    from sightline.blocking.ring import hour_of
    from sightline.blocking.tapeout import direction

    yield f"{title}: the handler's clock" + (f", {venue}" if venue else "")
    yield f"  facing {facing_words(found.facing_rad)}; left and right are the PERFORMER's own"
    yield ""
    yield f"  hour  clean from           turn when somebody is {STEPS_ROUND_M:g} m away   first to see"
    for hour in found.hours:
        near = "never" if hour.nearest_m is None else f"{hour.nearest_m:g} m on"
        worst = f"{hour.first.kind} eye: {hour.first.secret}" if hour.first.kind else ""
        yield f"  {hour.hour:>4}  {near:<18}   {hour.turn_words():<33}   {worst}".rstrip()
    yield ""
    for distance in SECTORS_M:
        sectors = [sector for sector in found.sectors if sector.distance_m == distance]
        share = found.clean_share(distance) * 100
        yield f"  Clean from {distance:g} m on: {share:.0f} % of the circle" + (":" if sectors else "")
        for sector in sectors:
            if sector.wide_rad >= 2 * math.pi - 1e-9:
                yield "      all round"
            elif sector.wide_rad == 0:
                yield f"      {_bearing(sector.from_rad)} ({hour_of(sector.from_rad)} o'clock) alone"
            else:
                ends = [f"{_bearing(b)} ({hour_of(b)} o'clock)" for b in (sector.from_rad, sector.to_rad)]
                wide = f"{math.degrees(sector.wide_rad):.0f} deg by way of {_middle(sector.from_rad, sector.wide_rad)}"
                yield f"      {ends[0]} to {ends[1]}, {wide}"
    share = found.clean_share(6.0)
    if share == 0:
        yield f"  {HONEST}"
    elif share < 1:
        yield "  Surrounded, no facing hides all: put the side that leaks to a wall, or add a back flap."
    yield ""
    if found.photo is None:
        yield "  No spot for photographs: nothing within 60 deg of the front is clean at 1.5 and 2 m."
    else:
        spot = found.photo
        clear = ", ".join(f"{name} {share * 100:.0f} % clear" for name, share in spot.clear.items())
        yield (
            f"  Photographs from {hour_of(spot.bearing_rad)} o'clock ({_bearing(spot.bearing_rad)}), {spot.distance_m:g} m"
            + (f": {clear}" if clear else "")
        )
    for n, post in enumerate(found.posts, 1):
        far = f"{post.leaks_to_m:g} m" + (" or more" if post.leaks_to_m >= 6 else "")
        yield (
            f"  Handler {n}: {hour_of(post.bearing_rad)} o'clock ({direction(found.facing_rad + post.bearing_rad)}), watches "
            f"{math.degrees(post.wide_rad):.0f} deg; it leaks there out to {far}"
        )


def _bearing(bearing_rad: float) -> str:
    degrees = round(math.degrees(math.remainder(bearing_rad, 2 * math.pi)))
    return f"{abs(degrees)} deg" + ("" if degrees % 180 == 0 else " left" if degrees > 0 else " right")


def _middle(from_rad: float, wide_rad: float) -> str:
    from sightline.blocking.ring import hour_of

    return f"{hour_of(from_rad + wide_rad / 2)} o'clock"
