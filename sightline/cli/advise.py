"""`sightline advise`: the smallest changes that hide what shows, and what they cost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.blocking.advise import Advice, Suggestion
    from sightline.blocking.trial import Outcome
    from sightline.scene.reading import Written
    from sightline.scene.scene import Scene

KINDS = ("turn", "cross", "raise", "lower", "tilt", "slide", "bend", "flap", "sleeve", "drape", "masking", "wall")
HOUSE_KINDS = ("ring", "sector", "seats held")
# What a kind holds where its own word does not say all of it.
HOLDS = (
    "flap also tries lips, a lid and a smaller opening; sleeve a cloth tunnel and seams moved; drape a cape and cloth under the prop; "
    "bend the false elbow and the hidden one held; masking side flats; wall a flat behind"
)


def advise(
    scene: SceneArgument,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only",
            help=f"Search this kind only (may be repeated): {', '.join((*KINDS, *HOUSE_KINDS))}. Of these {HOLDS}.",
        ),
    ] = None,
    changes: Annotated[int, typer.Option("--changes", min=1, max=3, help="At most so many changes together.")] = 3,
    apply: Annotated[
        int | None, typer.Option("--apply", min=1, help="Write the scene with this suggestion made; needs --out.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", help="Where --apply writes the changed scene.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Search the smallest changes after which fewer, or nobody, can see a secret; each is checked on every eye."""
    import sys

    from sightline.blocking.advise import advise as search
    from sightline.cli.say import print_json, progress, refuse_existing, tell
    from sightline.cli.work import misfits_placed, write_scene
    from sightline.errors import SightlineError
    from sightline.scene.reading import read_scene

    if (apply is None) != (out is None):
        raise typer.BadParameter("--apply N and --out NEW.yaml belong together.")
    wrong = [kind for kind in only or [] if kind not in (*KINDS, *HOUSE_KINDS)]
    if wrong:
        raise typer.BadParameter(f"'{wrong[0]}' is no kind of change; there are: {', '.join((*KINDS, *HOUSE_KINDS))}.")
    if out is not None:
        refuse_existing(out, force)
    written = read_scene(scene, root)
    with progress("searching") as bar, misfits_placed(written):
        advice = search(written, frozenset(only) if only else None, changes, bar, _fit(written))
    if apply is not None and apply > len(advice.suggestions):
        raise SightlineError(f"There is no suggestion {apply}; {len(advice.suggestions)} were found.")
    if json:
        print_json(document(written, advice, scene.name))
    else:
        sys.stdout.write("\n".join(_lines(written, advice)) + "\n")
    if apply is not None and out is not None:
        write_scene(written, advice.suggestions[apply - 1].after.text, out, force)
        tell(f"The scene with suggestion {apply} is in {out}; see the change with sightline compare {scene} {out}.")


def _fit(written: Written[Scene]) -> Callable[[Written[Scene]], tuple[list[str], list[str]]]:
    """Compares the fit of a changed scene with that of the scene as it is, which is worked out once."""
    from sightline.errors import SightlineError
    from sightline.workshop.limits import broken, fit_items

    before = fit_items(written)

    def compare(changed: Written[Scene]) -> tuple[list[str], list[str]]:
        try:
            return broken(before, fit_items(changed))
        except SightlineError as error:
            return [str(error).splitlines()[0]], []

    return compare


def document(written: Written[Scene], advice: Advice, name: str) -> dict[str, Any]:
    """The advice as one JSON document."""
    from sightline.blocking.cautions import ADVISE
    from sightline.blocking.trial import lost
    from sightline.sight.report import rounded

    def state(outcome: Outcome) -> dict[str, Any]:
        return {
            "eyes_seen": outcome.eyes_seen,
            "weighted_eyes_seen": rounded(outcome.weighted),
            "eye_seconds": None,
            "secrets": dict(outcome.by_secret),
            "must_see": {name: int(clear.sum()) for name, clear in outcome.clear.items()},
        }

    return {
        "schema_version": 1,
        "title": written.model.title,
        "scene": name,
        "before": state(advice.before),
        "suggestions": [
            {
                "number": number,
                "cost": rounded(suggestion.cost),
                "changes": [
                    {"kind": change.kind or change.lever, "name": change.lever, "size": rounded(change.size),
                     "cost": rounded(change.cost), "words": change.words,
                     "edits": [{"path": [*edit.path], "value": edit.value, "append": edit.append} for edit in change.edits]}
                    for change in suggestion.changes
                ],
                "blocking": _blocking_words(written, advice, suggestion),
                "after": state(suggestion.after),
                "margin_deg": None if suggestion.margin_deg is None else round(suggestion.margin_deg, 1),
                "must_see_lost": {name: lost(advice.before, suggestion.after, name) for name in advice.before.clear},
                "side_effects": list(suggestion.side_effects),
            }
            for number, suggestion in enumerate(advice.suggestions, 1)
        ],
        "refused": [{"changes": [change.words for change in refused.changes], "why": refused.why} for refused in advice.refused],
        "says": says(written, advice),
        "limits": list(advice.limits),
        "cautions": list(ADVISE),
        **_rests_on(advice),
    }  # fmt: skip


def _rests_on(advice: Advice) -> dict[str, list[str]]:
    """What the search takes for granted and does not look at, with what the scene itself takes and leaves out."""
    return {
        "assumptions": [*ASSUMPTIONS, *advice.granted],
        "not_checked": list(dict.fromkeys([*advice.not_checked, *NOT_CHECKED, *advice.unseen])),
    }


ASSUMPTIONS = (
    "The search asks eyes that stand for the house; every suggestion printed was checked on all of them by exact rays.",
    "What is smallest follows the cost table of the scene (cost: ...), by default common practice, no source.",
)
NOT_CHECKED = (
    "whether cloth hangs as drawn; what of the fit the scene does not tell (sightline fit)",
    "changes of other kinds than those listed, and sizes beyond the limits stated",
)


def says(written: Written[Scene], advice: Advice) -> str | None:
    """What must be said when no suggestion leaves nobody who can see a secret."""
    if not advice.before.eyes_seen:
        return "Nobody can see a secret; nothing needs to be changed."
    best = min((s.after.eyes_seen for s in advice.suggestions), default=None)
    if best == 0:
        return None
    facing = ""
    if advice.best_facing is not None and advice.best_facing[1] > 0:
        deg, seen = advice.best_facing
        facing = (
            f" No facing alone does it: the best of 24 tried all round, {deg:.0f} deg, leaves {seen} of those asked."
        )
        if advice.surrounded:
            facing = " No facing works when surrounded: add a back flap or stand at a wall." + facing
    if best is None:
        return "No change of the kinds searched, within the limits stated, hides anything from anybody." + facing
    left = "person" if best == 1 else "people"
    return (
        f"No change within the limits stated hides everything: the best leaves {best} {left} who can see a secret."
        + facing
    )


def _blocking_words(written: Written[Scene], advice: Advice, suggestion: Suggestion) -> str | None:
    """Mark and facing after the change, as stage managers write them; None where they stay."""
    from sightline.blocking.notation import acting_area, blocking_words
    from sightline.staging.audience import audience

    if not any(change.lever in ("turn", "cross") for change in suggestion.changes):
        return None
    area = acting_area(audience(written))
    blocking, after = written.model.blocking, suggestion.after
    return blocking_words(blocking.mark, after.mark_m, advice.before.facing_rad, after.facing_rad, area)


def _lines(written: Written[Scene], advice: Advice) -> Iterator[str]:
    from sightline.blocking.cautions import ADVISE
    from sightline.blocking.trial import lost
    from sightline.cli.say import closing

    before = advice.before
    total = len(before.ids)
    yield f"{written.model.title}: {before.eyes_seen} of {total} can see a secret"
    for number, suggestion in enumerate(advice.suggestions, 1):
        after = suggestion.after
        yield ""
        weigh = "" if before.eyes_seen == before.weighted else f" (by weight {before.weighted:g} -> {after.weighted:g})"
        yield f"  {number}. {before.eyes_seen} -> {after.eyes_seen} can see a secret{weigh}; cost {suggestion.cost:.1f}"
        for change in suggestion.changes:
            yield f"       {change.words}"
        words = _blocking_words(written, advice, suggestion)
        if words:
            yield f"       {words}"
        left = [f"{name} {count}" for name, count in after.by_secret.items() if count]
        if left:
            yield f"       still seen: {', '.join(left)}"
        if suggestion.margin_deg is not None:
            yield f"       to spare: least {suggestion.margin_deg:.1f} deg"
        gone = [f"{name} by {n}" for name in before.clear if (n := lost(before, after, name))]
        yield f"       clear view lost: {', '.join(gone) if gone else 'by nobody'}"
        yield from (f"       {said}" for said in suggestion.side_effects)
    said = says(written, advice)
    if said:
        yield ""
        yield f"  {said}"
    if advice.refused:
        yield ""
        yield "  Not proposed:"
        yield from (
            f"    - {' + '.join(c.words for c in refused.changes)}: {refused.why}" for refused in advice.refused
        )
    yield ""
    yield "  Searched within: " + "; ".join(advice.limits)
    yield "  Before any of it is done:"
    yield from (f"    ! {said}" for said in ADVISE)
    rests = _rests_on(advice)
    yield from closing(rests["assumptions"], rests["not_checked"])
