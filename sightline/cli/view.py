"""`sightline view`: what one eye sees, or a sheet of the eyes that matter."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption

if TYPE_CHECKING:
    from sightline.pictures.palette import Palette
    from sightline.pictures.view import Manner, View
    from sightline.scene.reading import Written
    from sightline.scene.scene import Scene
    from sightline.sight.check import Finding
    from sightline.staging.stage import Staged

# The widest and largest that is drawn: A4 across less its margins, and pixels of a side.
WIDEST_MM, MOST_PIXELS = 190.0, 6000
NEAREST_CM = 10.0


def view(
    scene: SceneArgument,
    eye: Annotated[str | None, typer.Option("--eye", help="The eye's id; default the one that sees most.")] = None,
    out: Annotated[Path | None, typer.Option("--out", help="PNG, SVG or PDF; default SCENE-EYE.png.")] = None,
    contact: Annotated[
        bool, typer.Option("--contact", help="A sheet of the eyes that matter: centre, extremes, front, back, kinds.")
    ] = False,
    clean: Annotated[bool, typer.Option("--clean", "--plain", help="Only the picture, nothing marked.")] = False,
    silhouette: Annotated[bool, typer.Option("--silhouette", help="The act as one dark shape.")] = False,
    arcmin: Annotated[
        bool, typer.Option("--arcmin", help="One arcminute to each pixel: no finer than an eye.")
    ] = False,
    hold: Annotated[
        str | None, typer.Option("--hold", help="Size it so that angles are true, printed and held so far: '40 cm'.")
    ] = None,
    width: Annotated[float | None, typer.Option("--width", min=0.5, max=120.0, help="Degrees across.")] = None,
    pose: Annotated[str | None, typer.Option("--pose", help="A pose by name; default the one that shows most.")] = None,
    rays: Annotated[
        bool, typer.Option("--rays", help="Cast the picture with rays even where OpenGL is there.")
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="Also print the eye's entry, or the sheet's, as JSON.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Draw what one person sees from their place, with what they can see of a secret marked; or a sheet of views."""
    from sightline.cli.say import print_json, progress, tell, write_whole
    from sightline.cli.work import eye_index, finding_of, picture_target
    from sightline.pictures.style import picture_bytes
    from sightline.pictures.view import draw_view
    from sightline.scene.reading import read_scene
    from sightline.sight.report import document
    from sightline.staging.stage import put_together

    if contact and (eye or width or pose or arcmin or hold):
        raise typer.BadParameter(
            "--contact chooses its own eyes; --eye, --width, --pose, --arcmin and --hold do not fit."
        )
    if arcmin and hold:
        raise typer.BadParameter("--arcmin and --hold each say the size; give one.")
    picture_target(out, force)
    hold_m = _hold(hold)
    written = read_scene(scene, root)
    staged = put_together(written)
    palette = palette_for(written, staged)
    manner: Manner = "silhouette" if silhouette else "colour"
    with progress("looking") as bar:
        finding = finding_of(written, staged, bar)
    if contact:
        target = out or Path(f"{scene.stem}-contact.png")
        _contact(finding, scene, target, palette, manner, not clean, json, force)
        return
    index = eye_index(finding, eye)
    name = finding.moment.eyes[index].id
    target = out or Path(f"{scene.stem}-{name.replace(' ', '-').replace('/', '-')}.png")
    kind = picture_target(target, force)
    seen = _view(finding, index, pose, width, arcmin, hold_m)
    picture = None
    if manner == "colour" and not rays:
        from sightline.pictures import opengl

        if opengl.available():
            picture = opengl.render(finding.looked.scenery.covers(seen.pose), seen.camera, palette)
        else:
            tell("No OpenGL here: the picture is cast with rays.")
    figure = draw_view(finding, seen, not clean, picture, palette, manner)
    write_whole(target, picture_bytes(figure, kind), force)
    if json:
        whole = document(finding, scene.name)
        print_json({"schema_version": 1, "scene": scene.name, **whole["eyes"][index], **_rests_on(whole)})
    tell(f"The view from {name} is in {target}.")


def _hold(text: str | None) -> float | None:
    """How far the print is held, metres. Raises SightlineError for what is no such distance."""
    from sightline.errors import SightlineError
    from sightline.units import QuantityError, Unknown, parse

    if text is None:
        return None
    try:
        away = parse(text, "length").value
    except (QuantityError, Unknown) as error:
        raise SightlineError(f"--hold: {str(error) or 'unknown is no distance here'}.") from error
    if not NEAREST_CM / 100 <= away <= 10.0:
        raise SightlineError(f"--hold: '{text}' is no distance to hold a print at; {NEAREST_CM:g} cm to 10 m will do.")
    return away


def palette_for(written: Written[Scene], staged: Staged) -> Palette:
    """The scene's colours. Raises FileError for a name that nothing has."""
    from difflib import get_close_matches

    from sightline.pictures.palette import known_names, palette_of

    scene, moment = written.model, staged.moment()
    names = known_names(scene, moment)
    for name in scene.colours.named:
        if name not in names:
            near = get_close_matches(name, names, n=1)
            hint = f"did you mean '{near[0]}'?" if near else f"there are: {', '.join(names[:20])}."
            raise written.problem(("colours", "named", name), f"Nothing here is called '{name}'; {hint}")
    return palette_of(scene, moment, staged.act.body.skeleton if staged.act.body else None)


def _view(
    finding: Finding, index: int, pose: str | None, width: float | None, arcmin: bool, hold_m: float | None
) -> View:
    """The view as asked for. Raises SightlineError for a pose that is not there, or a picture too large."""
    import math

    from sightline.errors import SightlineError
    from sightline.pictures.view import by_arcmin, held_at, paper_in, view_of

    poses = [p.name for p in finding.moment.poses]
    if pose is not None and pose not in poses:
        raise SightlineError(f"There is no pose '{pose}'; there are: {', '.join(poses)}.")
    seen = view_of(finding, index, poses.index(pose) if pose else None, math.radians(width) if width else None)
    across = math.degrees(seen.camera.width_rad)
    if arcmin:
        seen = by_arcmin(seen)
        if max(seen.camera.size) > MOST_PIXELS:
            raise SightlineError(
                f"At one arcminute to a pixel this view of {across:.0f} deg has {seen.camera.size[0]} pixels across; "
                "say --width 20 for a part of it."
            )
    if hold_m is not None:
        wide_mm = paper_in(seen.camera, hold_m) * 25.4
        if wide_mm > WIDEST_MM:
            raise SightlineError(
                f"Held at {hold_m * 100:.0f} cm this view of {across:.0f} deg would be {wide_mm / 10:.0f} cm wide, too wide for A4; "
                f"say --hold '{math.floor(hold_m * 100 * WIDEST_MM / wide_mm)} cm', or --width for a part of it."
            )
        seen = held_at(seen, hold_m)
    return seen


def _rests_on(whole: dict[str, Any]) -> dict[str, list[str]]:
    """What the check takes for granted and does not look at, and what a picture adds to that."""
    from sightline.pictures.planned import AS_COMPUTED

    return {"assumptions": [*whole["assumptions"], AS_COMPUTED], "not_checked": whole["not_checked"]}


def _contact(
    finding: Finding, scene: Path, target: Path, palette: Palette, manner: Manner, marked: bool, json: bool, force: bool
) -> None:
    """The contact sheet, always cast with rays: a dozen small pictures."""
    from sightline.blocking.contacteyes import contact_eyes
    from sightline.cli.say import print_json, tell, write_whole
    from sightline.cli.work import picture_target
    from sightline.pictures.contact import draw_contact
    from sightline.pictures.style import picture_bytes
    from sightline.sight.report import document

    kind = picture_target(target, force)
    eyes = contact_eyes(finding)
    write_whole(target, picture_bytes(draw_contact(finding, eyes, palette, manner, marked), kind), force)
    if json:
        whole = document(finding, scene.name)
        seen = [{"why": e.why, **whole["eyes"][e.index]} for e in eyes]
        print_json({"schema_version": 1, "scene": scene.name, "eyes": seen, **_rests_on(whole)})
    tell(f"The contact sheet of {len(eyes)} eyes is in {target}.")
