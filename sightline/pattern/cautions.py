"""What can hurt the person who cuts and glues. Product sheets and local rules come before every line here."""

from __future__ import annotations

FIRST = "Read the safety data sheet of each glue, foam, cleaner and paint; it, the shop's guide and local rules go before this list."
CAUTIONS = (
    FIRST,
    "Solvent glue: its fumes harm people and burn. Take them away where they arise, by extraction or a spray booth; an open door or "
    "work out of doors is no ventilation to rely on. A respirator is no substitute for that: if the glue's own sheet asks for one, wear "
    "the type and filter it names, fitted by somebody trained.",
    "No flame, spark, heater, heat gun or cigarette near open glue or its wet parts; lids on, rags in a closed metal bin, an extinguisher "
    "of the kind the product sheets name. Water-based or hot glue may do: try it on an off-cut first.",
    "Gloves that the glue's sheet names; nobody who is pregnant, asthmatic or allergic to it glues without a doctor's or occupational "
    "health professional's word. Air the limb until nothing smells before a person puts it on.",
    "Blades: a new one cuts with less force. Cut away from the hand, several light passes along a steel edge, fingers behind it; blade in "
    "or capped when it is put down; used blades in a tin. A cut that gapes or does not stop bleeding needs medical help.",
    "Heat gun: it burns skin and foam, and hot foam gives off fumes: only foam whose sheet allows it, never glued foam, never near "
    "solvent, with ventilation; stand it on its foot until it is cold.",
    "Dust of sanded or ground foam: extraction at the tool and eye protection; a dust mask or respirator by the foam's own sheet. Sweep "
    "wet or vacuum, never blow.",
    "Fire: foam burns fast and its smoke harms people. Ask the seller for the flame test certificate of the batch, keep it with the "
    "cut list, and let the venue's fire authority decide whether it may go on stage.",
)  # fmt: skip
