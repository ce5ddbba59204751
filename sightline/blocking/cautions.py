"""What can hurt people where a plan is carried out: said where the work is done, a few plain sentences each.

Nothing here replaces the venue, its fire authority, local code, or a licensed professional.
"""

from __future__ import annotations

# Walking with the floor out of sight.
BLIND = (
    "The performer does not see the floor close by: the way is walked and cleared first, and edges, stairs and ways out are "
    "lit and guarded as the venue and local code say."
)
CROWD = "Crowd safety and local code are the venue's; a performer who cannot see needs the handler's eyes."
# A turn on the mark hides the act from one side and may open it to another.
LOOK_BEHIND = "A turn may expose the act to others: then look who is behind."
EDGE = (
    "The performer does not see the floor close by: near an edge nobody uses the whole lozenge, and edges are guarded as the "
    "venue and local code say."
)
# What `advise` may propose.
SCENERY = (
    "Flats, walls and masking are braced and weighted by a qualified person; where they stand is agreed with the venue and its "
    "fire authority, and outdoors the wind decides."
)
HEAT = "A cape, a lid or a longer sleeve keeps heat in: the performer says when it is too hot, and rests."
PEOPLE = "Where people sit and stand, and how far they are kept back, is for the venue and the crowd's own stewards to decide."
LOADS = (
    "A changed prop or pose is another load: ask sightline fit again, and stop at pain or numbness; for either a licensed "
    "professional."
)
ADVISE = (SCENERY, HEAT, PEOPLE, LOADS, BLIND)
# A new mark in a house that nobody has walked.
NEW_MARK = (
    "A new mark is looked at in its venue before anybody stands on it: edges, exits and aisles that no file draws are for the "
    "venue and its fire authority to say."
)
# Trying it in card, with cameras on stands.
MOCKUP = (
    "Blades: cut away from the hand, in light passes, along a steel edge; blade in when it is put down.",
    "The performer walks with hands full and the floor out of sight: a helper's eyes go along, and the floor is cleared of people's "
    "things, strings and stands first.",
    "Camera stands are weighted and stand out of the way; nobody climbs on a chair to reach a height.",
    "Stop at pain or numbness; for either ask a licensed professional.",
)
# Work in a dressing room between two sets.
REPAIR = (
    "Glue and tape in a room with people: no solvent glue indoors without extraction; open air, no flame, and the glue's own sheet "
    "goes before this one.",
    "Blades are capped when put down, needles and blades counted back in before a person puts it on.",
    "Let it dry and air before a person wears it; then pull at strap and breakaway by hand.",
)
CHILD = (
    "The work of children is under local law: licence, hours, breaks, a chaperone. No load before a doctor's word, and whoever is "
    "still growing stops at the first pain."
)
