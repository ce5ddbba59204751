"""One look for every picture: type, line weights, one scale of our own, and the colours of things.

The scale runs from light to dark so that it reads in grey and by the colour-blind; verdicts also differ in shape.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.colors import LinearSegmentedColormap

PAPER = "#fbfaf7"
INK = "#23262b"
QUIET = "#8b8f94"
FAINT_LINE = "#d5d3cc"
HIDDEN = "#5f7d8c"
MARKED = "#c2255c"
# Hidden to fully seen: pale straw over clay and wine to near black, even steps of lightness.
SCALE_STOPS = ("#f3e3b3", "#e8b96b", "#d5803f", "#a84a3f", "#6f2645", "#34123a")

# Line weights in points, from drawing practice: 0.18, 0.35 and 0.5 mm.
THIN, MEDIUM, HEAVY = 0.51, 0.99, 1.42
# Type in points: a picture's title, what is said under it and in text, labels on a drawing, row letters; the foot's line.
TITLE_PT, TEXT_PT, LABEL_PT, SMALL_PT, FOOT_PT = 13.0, 8.5, 7.5, 5.2, 6.0
# Every gap is a multiple of one step, in inches: 4 at the sheet's edge, 2 between panels, 1 from a word to its thing.
STEP_IN = 0.075
EDGE_IN = 4 * STEP_IN
# A way out and what must be kept clear; better and worse in a comparison.
CLEAR, BETTER, WORSE = "#3f7d55", "#2f6f8f", "#c2255c"

# Colours of things in views, by words in their names; the first that fits is taken.
MATERIALS = (
    ("hand", "#c99a7d"), ("false", "#c99a7d"), ("sleeve", "#46566b"), ("shirt", "#4d5e74"), ("head", "#cfa286"),
    ("face", "#d4a88c"), ("right arm", "#cfa286"), ("left arm", "#cfa286"), ("torso", "#566273"),
    ("legs", "#3b404a"), ("owl", "#a98d63"), ("puppet", "#a98d63"), ("strap", "#33373d"), ("drape", "#7c6f62"),
    ("flap", "#8a7862"), ("cuff", "#6d6257"), ("stage", "#8e867b"), ("proscenium", "#9b9488"), ("leg", "#3a3f45"),
    ("border", "#3a3f45"), ("cape", "#7d5a5e"),
    ("cloth", "#b9b3a8"), ("arm", "#cfa286"),
    ("wall", "#b7b1a6"), ("rail", "#77716a"), ("balcony", "#a29a8d"),
)  # fmt: skip
PLAIN = "#b08a5a"
BACKDROP = "#edebe6"


def material(name: str) -> str:
    return next((colour for word, colour in MATERIALS if word in name), PLAIN)


def scale() -> LinearSegmentedColormap:
    """The tool's one colour scale, 0 (nothing) to 1 (most)."""
    from matplotlib.colors import LinearSegmentedColormap

    return LinearSegmentedColormap.from_list("sightline", SCALE_STOPS, N=256)


def figure(width_in: float, height_in: float, dots: int = 150) -> Any:
    """An empty matplotlib figure in the house style, drawn without any screen; as PNG with `dots` to the inch."""
    import matplotlib

    matplotlib.rcParams.update(
        {
            "font.family": "DejaVu Sans", "font.size": 9, "text.color": INK, "axes.edgecolor": QUIET,
            "axes.labelcolor": INK, "xtick.color": QUIET, "ytick.color": QUIET, "svg.hashsalt": "sightline",
            "svg.fonttype": "none", "pdf.fonttype": 42, "axes.linewidth": THIN, "hatch.linewidth": 0.6,
        }
    )  # fmt: skip
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    made = Figure(figsize=(width_in, height_in), dpi=dots, facecolor=PAPER)
    FigureCanvasAgg(made)
    return made


def picture_bytes(drawn: Any, kind: str) -> bytes:
    """The figure as PNG, SVG or PDF; the same figure gives the same bytes."""
    import io

    buffer = io.BytesIO()
    if kind == "png":
        # The paper is opaque: without the channel of transparency the file is a tenth smaller.
        from PIL import Image

        drawn.canvas.draw()
        sheet = Image.frombuffer("RGBA", drawn.canvas.get_width_height(), drawn.canvas.buffer_rgba()).convert("RGB")
        sheet.save(buffer, kind, dpi=(drawn.dpi, drawn.dpi))
        return buffer.getvalue()
    by_kind: dict[str, dict[str, Any]] = {
        "svg": {"Date": None, "Creator": "sightline"},
        "pdf": {"CreationDate": None, "ModDate": None, "Creator": "sightline", "Producer": "sightline"},
    }
    drawn.savefig(buffer, format=kind, facecolor=drawn.get_facecolor(), metadata=by_kind[kind])
    return buffer.getvalue()
