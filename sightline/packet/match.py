"""The match sheet: skin, glove and sleeve of the real and the false limb side by side, to judge under every light."""

from __future__ import annotations

from sightline.packet.brief import Brief
from sightline.packet.flow import Flow
from sightline.packet.paper import Kind, LeftOut, Sheets
from sightline.pictures import style
from sightline.scene.fields import CONTRAST_WORDS
from sightline.staging.body import hidden_side

SWATCH_MM, GAP_MM = (34.0, 20.0), 5.0
LIGHTS = ("daylight", "work light", "show light, each state", "a phone's flash")
# From how near it is looked at: arm's length, the first row, mid house. Common practice, no source.
DISTANCES = ("1 m", "3 m", "8 m")


def _sheets(brief: Brief) -> Sheets:
    brief.act()
    if not brief.scene.false_limbs:
        raise LeftOut("The scene has no false limb to match.")
    said = (
        "Paste or clip a real piece over each swatch. Printed colours are only a hint: what counts is cloth, paint and skin "
        "under the lamps."
    )
    flow = Flow(brief.paper, "Match sheet", said)
    for limb in brief.scene.false_limbs:
        name = limb.name or f"false {limb.replaces}"
        flow.head(f"{name[:1].upper() + name[1:]} beside the real arm", 60.0)
        for what, real, false in pairs(brief, name):
            _row(flow, what, real, false)
        flow.para(
            f"Contrast of its seams, as the scene says: {contrast_word(limb.contrast)} ({limb.contrast:g}). {MEANING} If the sheet "
            "finds another word, write it in the scene as 'contrast' and check again.",
        )
        columns = (
            ("light", 40),
            *((f"seam at {far}", 24) for far in DISTANCES),
            ("colour, from where", 40),
            ("who looked", 30),
        )
        flow.table(
            columns,
            [[light, *([""] * 5)] for light in LIGHTS],
            "Under every light: does somebody who does not know point to it?",
        )
    flow.head("From a photo: rough")
    flow.para(
        "Photograph the real hand and the false one together, beside a white card, in the show's light, exposed so that "
        "the card is not burnt out. Pick one even patch on each (not the seam, no shine), read their brightness, and divide "
        "the difference by the brighter: the scene's word is the first whose figure is not below that. "
        "A camera bends brightness; take this as a word for the scene, not as a measurement."
    )
    flow.blanks(["brightness of the real hand", "of the false hand", "word for the scene"])
    flow.blanks(["glove number, paint, cloth and where they were bought", "signed"])
    return Sheets(flow.pages)


MEANING = f"The words run: {', '.join(f'{word} {value:g}' for word, value in CONTRAST_WORDS.items())}."


def contrast_word(value: float) -> str:
    """The scene's word that is nearest to a contrast, not below it."""
    return next((word for word, most in CONTRAST_WORDS.items() if value <= most + 1e-9), "stark")


def pairs(brief: Brief, limb: str) -> list[tuple[str, str, str]]:
    """What is matched, with the colours of the real and of the false one as the scene has them."""
    names = brief.palette.by_name
    hidden = hidden_side(brief.scene.performer) if brief.scene.performer else None
    shown = "left" if hidden == "right" else "right"
    sleeves = [part.sleeve for part in brief.scene.costume if part.sleeve is not None]
    real = next((names.get(sleeve.name) for sleeve in sleeves if sleeve.on == "visible arm"), None)
    false = next((names.get(sleeve.name) for sleeve in sleeves if sleeve.on != "visible arm"), None)
    skin = names.get(f"{shown} arm") or style.PLAIN
    out = [("skin or glove", skin, names.get(limb) or skin)]
    if real or false:
        out.append(("sleeve", real or style.PAPER, false or style.PAPER))
    return out


def _row(flow: Flow, what: str, real: str, false: str) -> None:
    """Two swatches that meet, as hand and hand do on the prop, and an empty pair to paste on."""
    from matplotlib.patches import Rectangle

    wide, tall = SWATCH_MM
    page, top = flow.space(tall + 8.0)
    x = flow.left + 28.0
    page.say(flow.left, top + tall / 2 + 3.0, what, flow.text_pt, weight="bold")
    for pair, fills in (("as drawn", (real, false)), ("paste here", ("white", "white"))):
        for k, (fill, side) in enumerate(zip(fills, ("real", "false"), strict=True)):
            at = x + k * wide
            page.axes.add_patch(Rectangle((at, top + 4.0), wide, tall, fc=fill, ec=style.QUIET, lw=style.THIN))
            said = f"{side}, {fill}" if pair == "as drawn" else f"{side}, {pair}"
            page.say(at + 0.5, top + 2.8, said, 6.6, color=style.QUIET)
        x += 2 * wide + GAP_MM


KINDS = [Kind("match", "match-sheet", "Match sheet", ("builder", "dresser", "lighting"), "closed", _sheets)]
