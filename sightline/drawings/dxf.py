"""A drawing as DXF in millimetres, one layer to each kind of line."""

from __future__ import annotations

import io
from typing import Any

import numpy as np

from sightline.drawings.drawing import Drawing, refuse_broken
from sightline.drawings.lettering import FONT_FILE, plain
from sightline.drawings.looks import LOOKS, Look

# Black on paper, white on a dark screen: DXF colour index 7.
_COLOUR = 7
_MILLIMETRES, _METRIC = 4, 1


def dxf_of(drawing: Drawing) -> bytes:
    """The DXF file (DXF R2010), (0, 0) at the drawing's lower left corner; the same drawing gives the same bytes.

    It holds the drawing alone: a cutting machine takes what is on the layer `cut`. Raises ValueError for a drawing
    that is none.
    """
    refuse_broken(drawing)
    import ezdxf
    from ezdxf.enums import TextEntityAlignment

    # The package exports these names without saying so to a type checker.
    library: Any = ezdxf
    stays = library.options.write_fixed_meta_data_for_testing
    library.options.write_fixed_meta_data_for_testing = True
    try:
        document = library.new("R2010")
        document.header["$INSUNITS"], document.header["$MEASUREMENT"] = _MILLIMETRES, _METRIC
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (0, 0, 0), (drawing.width_mm, drawing.height_mm, 0)
        document.header.custom_vars.append("Title", plain(drawing.title))
        document.styles.add("letters", font=FONT_FILE)
        for name, look in LOOKS.items():
            layer = document.layers.add(name, color=_COLOUR, lineweight=round(look.weight_mm * 100))
            layer.description = plain(drawing.meanings.get(name, look.meaning))
            if look.dashes:
                document.linetypes.add(name.upper(), _pattern(look), description=look.meaning)
                layer.dxf.linetype = name.upper()
        space = document.modelspace()
        for stroke in drawing.strokes:
            points = [(float(x), float(y)) for x, y in np.asarray(stroke.points, dtype=float)]
            space.add_lwpolyline(points, close=stroke.closed, dxfattribs={"layer": stroke.layer})
        places = {
            "start": TextEntityAlignment.LEFT, "middle": TextEntityAlignment.CENTER, "end": TextEntityAlignment.RIGHT,
        }  # fmt: skip
        for words in drawing.words:
            entity = space.add_text(
                _literal(words.text), height=words.height_mm, rotation=words.turn_deg,
                dxfattribs={"layer": words.layer, "style": "letters"},
            )  # fmt: skip
            entity.set_placement(words.at, align=places[words.anchor])
        buffer = io.StringIO()
        document.write(buffer)
    finally:
        library.options.write_fixed_meta_data_for_testing = stays
    return buffer.getvalue().encode("utf-8")


def _pattern(look: Look) -> list[float]:
    """ezdxf's pattern: whole length, then dashes positive and gaps negative."""
    signed = [value if k % 2 == 0 else -value for k, value in enumerate(look.dashes)]
    return [sum(look.dashes), *signed]


def _literal(text: str) -> str:
    """The text without DXF's own codes: `%%u` would underline, `^J` break the line, `\\U+0041` be another letter."""
    return plain(text).replace("%%", "% %").replace("^", "^ ").replace("\\U+", "\\ U+").replace("\\M+", "\\ M+")
