"""What is said about wind and wet where the act plays outdoors, and who stops it then."""

from __future__ import annotations

from pydantic import model_validator

from sightline.scene.fields import Part, Words, wrong

WANTED = "venue: {outdoors: {wind limit: 6 m/s, wet: stop at the first drops, decides: the handler}}"


class Outdoors(Part):
    """`wind limit` and `wet` are when to stop, in the company's own words; `decides` is who says so, and nobody argues."""

    wind_limit: Words | None = None
    wet: Words | None = None
    decides: Words | None = None

    @model_validator(mode="after")
    def _decided(self) -> Outdoors:
        if self.decides is None and (self.wind_limit is not None or self.wet is not None):
            raise wrong(
                "Say who stops the act for wind or wet (decides: the handler); a limit that nobody calls is none."
            )
        return self


def stop_words(said: Outdoors | None) -> str | None:
    """The stop decision in a sentence; None where none is written."""
    if said is None or (said.wind_limit is None and said.wet is None):
        return None
    limits = [f"wind: {said.wind_limit}"] if said.wind_limit else []
    limits += [f"wet: {said.wet}"] if said.wet else []
    return (
        f"Outdoors the act stops for {'; '.join(limits)}. Decides: {said.decides}. Taken as written: what wind does to "
        "cloth and prop, and wet to grip and floor, is in no figure here."
    )


def open_questions(said: Outdoors | None) -> list[str]:
    """What of wind and wet nobody has entered, for the list of what was not checked."""
    given = said or Outdoors()
    missing = [name for name, value in (("wind", given.wind_limit), ("wet", given.wet)) if value is None]
    if not missing:
        return []
    return [
        f"{' and '.join(missing)}, where the act plays outdoors: no limit and nobody who stops it is entered ({WANTED})"
    ]
