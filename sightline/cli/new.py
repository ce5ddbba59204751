"""`sightline new`: a commented scene to start from, made of a builder's answers."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from sightline.errors import SightlineError

Answers = dict[str, str]
_BODY, _BOX, _ARM, _PLACE = "You", "The box and its opening", "The arms and the puppet", "Where you perform"


def _option(name: str, help: str, panel: str) -> object:
    return typer.Option(name, help=help, rich_help_panel=panel, show_default=False)


def new(
    name: Annotated[Path, typer.Argument(help="The file to write; .yaml is added.", show_default=False)],
    title: Annotated[str | None, _option("--title", "Name of the act.", _BODY)] = None,
    stature: Annotated[str | None, _option("--stature", "Your height, such as '172 cm' or '5 ft 8 in'.", _BODY)] = None,
    hide: Annotated[str | None, _option("--hide", "The hidden arm: 'left arm' or 'right arm'.", _BODY)] = None,
    box: Annotated[str | None, _option("--box", "Width x depth x height: '46 x 34 x 30 cm'.", _BOX)] = None,
    wall: Annotated[str | None, _option("--wall", "Thickness of the box's walls: '4 mm'.", _BOX)] = None,
    opening: Annotated[
        str | None, _option("--opening", "In the back: 'round 15 cm', 'slot 16 x 12 cm' or 'rectangle ...'.", _BOX)
    ] = None,
    ahead: Annotated[str | None, _option("--ahead", "How far ahead of you the box's middle is.", _BOX)] = None,
    up: Annotated[str | None, _option("--up", "How high the box's middle is above the floor.", _BOX)] = None,
    hand: Annotated[
        str | None, _option("--hand", "Where the false hand rests: 'left wall' or 'left, 3 cm, 2 cm'.", _ARM)
    ] = None,
    grip: Annotated[
        str | None, _option("--grip", "Your fist from the box's middle: left, towards you, up: '0, 0, 2 cm'.", _ARM)
    ] = None,
    venue: Annotated[str | None, _option("--venue", "A ready venue by name.", _PLACE)] = None,
    mark: Annotated[
        str | None, _option("--mark", "Your mark: stage left of centre, upstage: '0 m, 1 m'.", _PLACE)
    ] = None,
    facing: Annotated[str | None, _option("--facing", "'10 deg', '1/4 left', 'full front'.", _PLACE)] = None,
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Ask nothing; take the defaults.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write a commented scene to start from; asks what it needs, and every question can be an option instead."""
    from sightline.cli.say import tell, write_whole
    from sightline.form.start import new_scene
    from sightline.scene.reading import scene_from_text

    path = name if name.suffix in (".yaml", ".yml") else name.with_name(name.name + ".yaml")
    if path.exists() and not force:
        raise SightlineError(f"'{path}' is already there; say --force to write over it.")
    given = {
        "title": title, "stature": stature, "hide": hide, "box": box, "wall": wall, "opening": opening, "ahead": ahead,
        "up": up, "hand": hand, "grip": grip, "venue": venue, "mark": mark, "facing": facing,
    }  # fmt: skip
    asking = sys.stdin.isatty() and not yes
    if asking:
        tell("Press Enter to take what stands in [brackets]. Left and right are the performer's own.\n")
    answers = _answers(given, path.stem, asking)
    try:
        text = new_scene(answers)
    except ValueError as error:
        raise SightlineError(str(error)) from error
    scene_from_text(text, str(path), path.parent)
    write_whole(path, text.encode("utf-8"), force)
    tell(f"Wrote {path}. Next: sightline check {path}")


@dataclass(frozen=True)
class _Ask:
    """One thing asked: the option's name, the prompt, how an answer is taken apart, and what Enter gives."""

    name: str
    prompt: str
    take: Callable[[str], Answers]
    default: Callable[[Answers], str]


def _asks(stem: str) -> list[_Ask]:
    from sightline.form import spoken
    from sightline.form.venues import venue_marks

    def one(question: str) -> Callable[[str], Answers]:
        return lambda text: {question: text}

    def same(question: str) -> Callable[[Answers], str]:
        return lambda said: said[question]

    def arm(text: str) -> Answers:
        word = text.casefold().removesuffix(" arm").strip()
        return {"hide": {"l": "left arm", "r": "right arm"}.get(word, f"{word} arm")}

    def list_of(names: tuple[str, ...], what: str) -> Callable[[str], Answers]:
        return lambda text: spoken.places(text, names, what)

    def ready(text: str) -> Answers:
        from sightline.house.ready import ready_path

        ready_path(text)
        return {"venue": text}

    venues, spot, fist = venue_marks(), ("mark.x", "mark.y"), ("grip.left", "grip.back", "grip.up")
    first = next(iter(venues), "")
    return [
        _Ask("title", "Name of the act", one("title"), lambda _: stem.replace("-", " ").replace("_", " ").capitalize()),
        _Ask("stature", "How tall are you, barefoot", one("stature"), same("stature")),
        _Ask("hide", "Which arm is hidden (left or right)", arm, same("hide")),
        _Ask("box", "Outside of the box, width x depth x height", spoken.box, lambda _: "46 x 34 x 30 cm"),
        _Ask("wall", "Thickness of its walls", one("box.wall"), same("box.wall")),
        _Ask("opening", "Opening in its back: round, slot or rectangle, and size", spoken.opening,
             lambda _: "round 15 cm"),
        _Ask("ahead", "How far ahead of you is the box's middle", one("at.ahead"), same("at.ahead")),
        _Ask("up", "How high is the box's middle above the floor", one("at.up"), same("at.up")),
        _Ask("hand", "Wall that the false hand rests on", spoken.hand,
             lambda said: said["hide"].split()[0] + f" wall, {said['limb.across']}, {said['limb.up']}"),
        _Ask("grip", "Your fist from the box's middle: to your left, towards you, up",
             list_of(fist, "three lengths: to your left, towards you, up, such as 0 cm, 0 cm, 2 cm"),
             lambda said: ", ".join(said[name] for name in fist)),
        _Ask("venue", f"Venue ({', '.join(venues)})", ready,
             lambda said: said["venue"] if said["venue"] in venues else first),
        _Ask("mark", "Your mark: to stage left of the centre, upstage",
             list_of(spot, "two lengths: to stage left, upstage, such as 0 m, 1 m"),
             lambda said: ", ".join(venues.get(said["venue"], ("", "0 m", "0 m"))[1:])),
        _Ask("facing", "Facing (0 deg is full front, positive to your left)", one("facing"), same("facing")),
    ]  # fmt: skip


def _answers(given: dict[str, str | None], stem: str, asking: bool) -> Answers:
    """Every answer by question id. Raises SightlineError for an option that will not do."""
    from sightline.form.start import defaults

    said = defaults()
    for ask in _asks(stem):
        option, default = given[ask.name], ask.default(said)
        if option is None and not asking:
            option = default
        if option is not None:
            taken, wrong = _take(ask, option, said)
            if wrong and given[ask.name] is None:
                raise SightlineError(f"The usual answer '{default}' will not do here; say --{ask.name}. {wrong}")
            if wrong:
                raise SightlineError(f"--{ask.name}: {wrong}")
        else:
            taken = _prompt(ask, default, said)
        said |= taken
    return said


def _prompt(ask: _Ask, default: str, said: Answers) -> Answers:
    """Ask at the terminal until an answer will do."""
    while True:
        sys.stderr.write(f"{ask.prompt} [{default}]: ")
        sys.stderr.flush()
        line = sys.stdin.readline()
        if not line:
            raise SightlineError("The questions were broken off; nothing was written.")
        taken, wrong = _take(ask, line.strip() or default, said)
        if not wrong:
            return taken
        sys.stderr.write(f"  {wrong}\n")


def _take(ask: _Ask, text: str, said: Answers) -> tuple[Answers, str]:
    """The answers in a text, and what is wrong with them, if anything, in one sentence."""
    from sightline.form.start import problems
    from sightline.units import QuantityError

    try:
        taken = ask.take(text.strip())
    except QuantityError as error:
        return {}, "Please " + str(error) + "."
    except SightlineError as error:
        return {}, str(error)
    # A smaller box may make the starter's opening too large; that is for the question about the opening.
    found = problems(said | taken)
    return taken, next((sentence for name, sentence in found.items() if name in taken), "")
