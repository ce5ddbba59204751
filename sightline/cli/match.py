"""`sightline match`: from a photo of the real and the false limb beside a white card, the contrast word for the scene."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

import typer

MOST_BYTES = 50_000_000
ASSUMPTIONS = (
    "The card is white, lies in the same light as both limbs, and the camera changed nothing from one place to the other.",
    "One even spot stands for the whole limb.",
)
NOT_CHECKED = (
    "how it looks in the light of the show, on other skin or paint than at these spots, and when it is wet or worn",
    "gloss, texture and edges, which give a false limb away as colour does: look at it from the nearest seat",
)
_PLACE = "in pixels from the upper left of the file as stored: x,y."


def match(
    photo: Annotated[Path, typer.Argument(help="A PNG or JPEG, saved upright.", show_default=False)],
    real: Annotated[str, typer.Option("--real", help=f"An even spot on the real limb, {_PLACE}")],
    false: Annotated[str, typer.Option("--false", help=f"The same spot on the false limb, {_PLACE}")],
    white: Annotated[str, typer.Option("--white", help=f"The white card, {_PLACE}")],
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
) -> None:
    """Tell how well a false limb matches the real one, as the word that the scene takes for contrast: from a photo, rough."""
    import sys

    from sightline.cli.say import closing, print_json, tell
    from sightline.scene.document import read_bytes
    from sightline.scene.fields import CONTRAST_WORDS
    from sightline.sight.report import rounded
    from sightline.workshop.matching import match as matched
    from sightline.workshop.matching import read_picture

    places = [_place(text, name) for text, name in ((real, "--real"), (false, "--false"), (white, "--white"))]
    picture = read_picture(read_bytes(photo, MOST_BYTES, "The photo"), photo.name)
    found = matched(picture, places[0], places[1], places[2])
    for warning in found.warnings:
        tell(warning)
    if json:
        print_json({
            "schema_version": 1, "photo": photo.name, "contrast": rounded(found.contrast), "ciede2000": rounded(found.difference),
            "word": found.word, "scene_contrast": CONTRAST_WORDS[found.word], "warnings": list(found.warnings),
            "trust": "from a photo: rough", "assumptions": list(ASSUMPTIONS), "not_checked": list(NOT_CHECKED),
        })  # fmt: skip
        return
    sys.stdout.write(
        f"contrast: {found.word}\n  From a photo: rough. Brightness differs by {found.contrast:.0%} of the brighter, colour by "
        f"{found.difference:.1f} (CIEDE2000); the worse of the two gives the word.\n\n"
    )
    sys.stdout.write("\n".join(closing(ASSUMPTIONS, NOT_CHECKED)) + "\n")


def _place(text: str, option: str) -> tuple[int, int]:
    found = re.fullmatch(r"\s*(\d{1,6})\s*,\s*(\d{1,6})\s*", text)
    if not found:
        raise typer.BadParameter(f"{option} is two whole numbers, x,y, such as 812,440; not '{text[:40]}'.")
    return int(found[1]), int(found[2])
