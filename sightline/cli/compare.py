"""`sightline compare`: what got better or worse from one scene to another."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from sightline.cli.check import RootOption, end_unless
from sightline.cli.map import ForceOption

# What is told of each of the two by itself.
SIDE = ("scene", "summary", "seen_as_built", "shadow_seen_from")


def compare(
    before: Annotated[Path, typer.Argument(help="The scene as it was.", show_default=False)],
    after: Annotated[Path | None, typer.Argument(help="The scene as it is now.", show_default=False)] = None,
    as_built: Annotated[
        Path | None,
        typer.Option(
            "--as-built", help="The sheet of what was measured and seen (mockup --sheet), in place of a second scene."
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Also draw both plans: PNG, SVG or PDF; or write the scene as built: NEW.yaml."),
    ] = None,
    require_seen: Annotated[
        int | None,
        typer.Option("--require-seen", min=0, help="End with code 3 if more eyes than this then see a secret."),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Tell for every eye and secret what got better or worse: from scene to scene, or from the plan to what was built."""
    import sys

    from sightline.cli.say import print_json, progress, tell, write_whole
    from sightline.cli.work import allowed_to_see, counted_beside, find, picture_target
    from sightline.sight.report import document

    if as_built is not None and after is None:
        from sightline.cli.asbuilt import compare_as_built

        compare_as_built(before, as_built, out, require_seen, json, force, root)
        return
    if after is None or as_built is not None:
        raise typer.BadParameter("Give a second scene, or --as-built SHEET in its place.")
    kind = picture_target(out, force)
    with progress("looking at the first") as bar:
        was, old = find(before, root, bar)
    with progress("looking at the second") as bar:
        now, new = find(after, root, bar)
    result = comparison(
        document(old, before.name) | counted_beside(was, old), document(new, after.name) | counted_beside(now, new)
    )
    if out is not None:
        from sightline.pictures.compare import draw_comparison
        from sightline.pictures.style import picture_bytes

        write_whole(out, picture_bytes(draw_comparison(old, new, (before.name, after.name)), kind), force)
        tell(f"The picture is in {out}.")
    if json:
        print_json(result)
    else:
        sys.stdout.write(_words(result))
    end_unless(set(new.seen_ids()), result["after"], allowed_to_see(now, require_seen))


def comparison(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """Both reports as one: per eye and secret the verdicts before and after, and how they changed.

    The reports come with what `counted_beside` says of them.
    """
    from sightline.sight.check import RANK

    later = {eye["id"]: eye for eye in new["eyes"]}
    eyes = []
    for eye in old["eyes"]:
        if eye["id"] not in later:
            continue
        entry: dict[str, Any] = {"id": eye["id"], "secrets": {}}
        for name, a in eye["secrets"].items():
            b = later[eye["id"]]["secrets"].get(name)
            if b is None:
                continue
            step = RANK[b["verdict"]] - RANK[a["verdict"]]
            if step == 0 and a["verdict"] != "hidden":
                step = (b["solid_angle_sr"] > 1.1 * a["solid_angle_sr"]) - (
                    b["solid_angle_sr"] < 0.9 * a["solid_angle_sr"]
                )
            change = "worse" if step > 0 else "better" if step < 0 else "same"
            entry["secrets"][name] = {
                "before": a["verdict"], "after": b["verdict"], "change": change,
                "angular_size_arcmin_before": a["angular_size_arcmin"], "angular_size_arcmin_after": b["angular_size_arcmin"],
            }  # fmt: skip
        eyes.append(entry)
    old_ids = {eye["id"] for eye in old["eyes"]}
    counts: dict[str, dict[str, int]] = {}
    for entry in eyes:
        for name, found in entry["secrets"].items():
            counts.setdefault(name, {"better": 0, "same": 0, "worse": 0})[found["change"]] += 1
    return {
        "schema_version": 1,
        "before": {key: old[key] for key in SIDE},
        "after": {key: new[key] for key in SIDE},
        "secrets": counts,
        "must_see": {
            name: {"before": found["eyes_with_clear_view"], "after": new["must_see"][name]["eyes_with_clear_view"]}
            for name, found in old["must_see"].items()
            if name in new["must_see"]
        },
        "eyes": eyes,
        **taken_for_granted(old, new),
        "only_before": {
            "eyes": [eye["id"] for eye in old["eyes"] if eye["id"] not in later],
            "secrets": [name for name in old["secrets"] if name not in new["secrets"]],
        },
        "only_after": {
            "eyes": [eye for eye in later if eye not in old_ids],
            "secrets": [name for name in new["secrets"] if name not in old["secrets"]],
        },
    }


def taken_for_granted(old: dict[str, Any], new: dict[str, Any]) -> dict[str, list[str]]:
    """What both rest on, and what only one does: a threshold that differs makes a difference of its own."""
    only = [("before", old, new), ("after", new, old)]
    differing = [
        f"Only {which} ({one['scene']}): {said}"
        for which, one, other in only
        for said in one["assumptions"]
        if said not in other["assumptions"]
    ]
    alike = [said for said in old["assumptions"] if said in new["assumptions"]]
    return {
        "assumptions": [*differing, *alike],
        "not_checked": list(dict.fromkeys([*old["not_checked"], *new["not_checked"]])),
    }


def _words(result: dict[str, Any]) -> str:
    from sightline.cli.retelling import told_words
    from sightline.cli.say import closing

    a, b = result["before"], result["after"]
    lines = [
        f"{a['scene']} -> {b['scene']}: eyes that can see a secret {a['summary']['eyes_seen']} -> {b['summary']['eyes_seen']}"
    ]
    shaded = [len(side["shadow_seen_from"]) for side in (a, b)]
    if any(shaded):
        lines.append(f"  the shadow of a secret is seen by {shaded[0]} -> {shaded[1]}")
    lines += [f"  ! {side['scene']}: {told_words(side['seen_as_built'])}" for side in (a, b) if side["seen_as_built"]]
    for name, count in result["secrets"].items():
        better, worse, same = count["better"], count["worse"], count["same"]
        lines.append(f"  {name}: better for {better}, worse for {worse}, the same within a tenth for {same}")
    for name, found in result["must_see"].items():
        lines.append(f"  clear view of {name}: {found['before']} -> {found['after']}")
    for key, word in (("only_before", "only before"), ("only_after", "only after")):
        for kind, names in result[key].items():
            if names:
                lines.append(f"  {kind} {word}: {', '.join(sorted(names)[:8])}{' ...' if len(names) > 8 else ''}")
    lines += closing(result["assumptions"], result["not_checked"])
    return "\n".join(lines) + "\n"
