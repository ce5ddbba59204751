"""`sightline schema`: the scene file's JSON Schema, for editors."""

from __future__ import annotations

from typing import Annotated

import typer


def schema(
    venue: Annotated[bool, typer.Option("--venue", help="The schema of a venue file instead.")] = False,
) -> None:
    """Print a JSON Schema, so that an editor completes and checks scene files."""
    from sightline.cli.say import print_json
    from sightline.scene.scene import Scene
    from sightline.scene.venue import Venue

    document = (Venue if venue else Scene).model_json_schema(by_alias=True)
    print_json({"$schema": "https://json-schema.org/draft/2020-12/schema", **document})
