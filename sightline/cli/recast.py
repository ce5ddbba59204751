"""`sightline recast`: a second body in the same act - what changes, what stays, what cannot work."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption
from sightline.cli.performing import (
    AgeOption,
    MassOption,
    MeasuredOption,
    ProportionsOption,
    SexOption,
    StatureOption,
    quantity,
    taped_measure,
)

if TYPE_CHECKING:
    from sightline.scene.reading import Written
    from sightline.scene.scene import Scene
    from sightline.workshop.bodyswap import Wanted
    from sightline.workshop.recast import Change, MarkSeen, Recast
    from sightline.workshop.recastlook import Look

GROUPS = ("prop", "rig", "opening", "false limb", "mount", "load")


def recast(
    scene: SceneArgument,
    stature: StatureOption = None,
    sex: SexOption = None,
    age: AgeOption = None,
    mass: MassOption = None,
    proportions: ProportionsOption = None,
    measured: MeasuredOption = None,
    performer: Annotated[
        Path | None, typer.Option("--performer", help="Take the performer of this other scene instead.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="Write the scene with the new performer and changes.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Put another performer into an act: what must be set or cut anew, what stays, what cannot work, who sees more."""
    import sys

    from sightline.cli.say import print_json, progress, refuse_existing, tell
    from sightline.cli.work import misfits_placed, write_scene
    from sightline.errors import SightlineError
    from sightline.scene.reading import read_scene
    from sightline.sight.fieldcache import FieldCache
    from sightline.workshop.recast import recast as worked_out

    said = [stature, sex, age, mass, proportions, measured or None]
    if (performer is None) == (stature is None and age is None and not measured):
        raise typer.BadParameter(
            "Say who comes in: --stature '181 cm' (and --sex, --mass ...), or --performer OTHER.yaml."
        )
    if performer is not None and any(value is not None for value in said):
        raise typer.BadParameter("--performer already says the whole body; leave the other options away.")
    if out is not None:
        refuse_existing(out, force)
    written = read_scene(scene, root)
    if performer is not None:
        wanted = _from(written, performer, root)
    else:
        wanted = _of(
            written, stature=stature, sex=sex, age=age, mass=mass, proportions=proportions,
            measured=dict(taped_measure(text) for text in measured or ()),
        )  # fmt: skip
    with progress("recasting") as bar, misfits_placed(written):
        found = worked_out(written, wanted, FieldCache(), bar)
    if json:
        print_json(document(written.model.title, scene.name, found))
    else:
        sys.stdout.write("\n".join(_lines(written.model.title, found)) + "\n")
    if out is not None:
        if not found.fits:
            raise SightlineError(f"'{out}' is not written: the act cannot be put together with this performer.")
        write_scene(written, found.text, out, force)
        tell(f"The recast scene is in {out}; see the change with sightline compare {scene} {out}.")


def _from(written: Written[Scene], performer: Path, root: Path | None) -> Wanted:
    from sightline.scene.reading import read_scene
    from sightline.workshop.bodyswap import wanted_from

    return wanted_from(written, read_scene(performer, root))


def _of(written: Written[Scene], **said: Any) -> Wanted:
    """The options as a performer. Raises SightlineError naming the option that is wrong."""
    from sightline.workshop.bodyswap import wanted_of

    quantity("--stature", said["stature"], "length")
    quantity("--mass", said["mass"], "mass")
    return wanted_of(written, **said)


def document(title: str, name: str, found: Recast) -> dict[str, Any]:
    """The recast as one JSON document; values in SI units, angles in degrees."""
    from sightline.sight.report import rounded

    def change(entry: Change) -> dict[str, Any]:
        return {
            "key": entry.key, "group": entry.before.group, "what": entry.before.what, "unit": entry.before.unit,
            "before": rounded(entry.before.value), "after": rounded(entry.after.value), "to_set": not entry.before.told,
            "before_words": entry.before.words(), "after_words": entry.after.words(),
        }  # fmt: skip

    def look(at: Look) -> dict[str, Any]:
        return {
            "eyes": at.eyes, "eyes_seen": None if at.why else len(at.seen), "seen": list(at.seen), "eyes_faint": at.faint,
            "must_see": dict(at.clear), "why_not": at.why,
        }  # fmt: skip

    return {
        "schema_version": 1, "title": title, "scene": name, "fits": found.fits,
        "before": {"stature_m": rounded(found.before.stature_m), "mass_kg": rounded(found.before.mass_kg)},
        "after": {"stature_m": rounded(found.after.stature_m), "mass_kg": rounded(found.after.mass_kg)},
        "changes": [change(entry) for entry in found.changes],
        "stays": list(found.stays),
        "cannot": [{"limit": limit.limit, "words": limit.words} for limit in found.cannot],
        "look_at": list(found.look_at), "by_hand": list(found.by_hand),
        "marks": [
            {
                "name": mark.before.name, "mark_m": [*mark.before.mark_m],
                "before": look(mark.before), "after": look(mark.after), "worse": mark.worse,
                "turn_deg": mark.turn_deg, "eyes_seen_turned": mark.seen_turned,
            }
            for mark in found.marks
        ],
        "cautions": list(found.cautions), "assumptions": list(found.assumptions),
        "not_checked": list(found.not_checked),
    }  # fmt: skip


def _lines(title: str, found: Recast) -> Iterator[str]:
    from sightline.cli.say import closing
    from sightline.workshop.bodyswap import body_words

    yield f"{title}: another performer"
    yield f"  from {body_words(found.before)}"
    yield f"  to   {body_words(found.after)}"
    if found.cannot:
        yield ""
        yield "  What cannot work"
        yield from (f"    NO {limit.limit}: {limit.words}" for limit in found.cannot)
    if found.marks:
        yield ""
        yield "  Who can see a secret, by the exact check"
        yield from (f"    {line}" for mark in found.marks for line in _mark(mark))
    set_anew = [entry for entry in found.changes if not entry.before.told]
    yield ""
    yield "  What changes" if set_anew else "  Nothing has to be set or cut anew."
    for group in GROUPS:
        entries = [entry for entry in set_anew if entry.before.group == group]
        if entries:
            yield f"    {group}"
            yield from (f"      {_change(entry)}" for entry in entries)
    if found.look_at or found.by_hand:
        yield ""
        yield "  To look at"
        yield from (f"    ! {said}" for said in (*found.by_hand, *found.look_at))
    told = [entry for entry in found.changes if entry.before.told]
    if told:
        yield ""
        yield "  What comes with the body"
        yield from (f"    {_change(entry)}" for entry in told)
    yield ""
    yield "  What stays"
    yield from (f"    {said}" for said in found.stays)
    yield ""
    yield "  Before the new performer carries it"
    yield from (f"    ! {said}" for said in found.cautions)
    yield ""
    yield from closing(found.assumptions, found.not_checked)


def _change(entry: Change) -> str:
    return f"{entry.before.what}: {entry.before.words()} -> {entry.after.words()}"


def _mark(mark: MarkSeen) -> Iterator[str]:
    """`the mark: 0 -> 3 of 420 eyes can see it`, who is new, and the turn that mends it."""
    before, after = mark.before, mark.after
    if after.why or before.why:
        yield f"{before.name}: {'could not be played before, either' if before.why else 'cannot be played'}: {after.why or before.why}"
        return
    faint = f" (faint: {before.faint} -> {after.faint})" if before.faint or after.faint else ""
    yield f"{before.name}: {len(before.seen)} -> {len(after.seen)} of {after.eyes} eyes can see it{faint}"
    new = [eye for eye in after.seen if eye not in before.seen]
    if new:
        more = f" and {len(new) - 6} more" if len(new) > 6 else ""
        yield f"  new: {', '.join(new[:6])}{more}"
    if mark.turn_deg is not None:
        own = "left" if mark.turn_deg > 0 else "right"
        yield f"  turned {abs(mark.turn_deg)} deg more to the performer's own {own}: {mark.seen_turned} can see it"
    elif mark.worse:
        yield "  no turn within 20 deg brings it back: see sightline advise with the new scene"
    lost = [
        f"{name} {had} -> {now}" for (name, had), (_, now) in zip(before.clear, after.clear, strict=False) if now < had
    ]
    if lost:
        yield f"  clear view of: {', '.join(lost)}"
