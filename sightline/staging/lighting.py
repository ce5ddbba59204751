"""What a plan must say of mirrors and lamps: what is taken for granted, and what is not looked at."""

from __future__ import annotations

from sightline.house.build import House

MIRRORS_NOTE = (
    "A mirror shows as much as a clear view would; one reflection is followed, not two. What must be seen, and "
    "what there is to spare, is of direct looks only. Of glass and polished floors only what is drawn as a mirror reflects."
)
LAMPS_NOTE = (
    "Lamps are points. sightline check tells who sees the sharp shadow of a secret's own surface, not soft edges, nor those of "
    "seams and cords, nor light let through; a shadow lies on the lit side of an opaque surface, and is looked at directly, "
    "heads still. sightline compare counts whoever sees one as check does. No other command counts whoever sees a shadow."
)


def light_notes(house: House) -> list[str]:
    """What is taken for granted of the mirrors and lamps that are drawn."""
    return [note for note, drawn in ((MIRRORS_NOTE, house.mirrors), (LAMPS_NOTE, house.lamps)) if drawn]


def light_not_checked(house: House) -> tuple[str, ...]:
    """What is not looked at for want of mirrors or lamps in the venue."""
    if house.mirrors and house.lamps:
        return ()
    missing = "mirrors" if house.lamps else "lamps" if house.mirrors else "mirrors and lamps"
    return (f"{missing} not drawn: not checked",)
