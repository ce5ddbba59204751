"""What the page is made of: its style, its scripts, its template, and how they are named to the page's policy."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from sightline.pictures import style

HERE = Path(__file__).parent
SCRIPTS = ("unpack", "noticing", "scenery", "quick", "plan", "keep", "view3d", "words", "page")


def page_style() -> str:
    """The style sheet, with the colours of `pictures/style.py` put in front."""
    steps = "".join(f"--s{k}:{colour};" for k, colour in enumerate(style.SCALE_STOPS))
    root = (
        f":root{{--paper:{style.PAPER};--ink:{style.INK};--faint-line:{style.FAINT_LINE};"
        f"--hidden:{style.HIDDEN};--marked:{style.MARKED};{steps}}}\n"
    )
    return root + asset("assets/page.css")


@cache
def own_script() -> str:
    """All modules of the page, one after the other."""
    return "".join(asset(f"js/{name}.js") for name in SCRIPTS)


@cache
def three_script() -> str:
    """The part of three.js that the 3D pane uses, bundled once (assets/README.md says how)."""
    return asset("assets/three.bundle.js")


def fixed_bytes() -> int:
    return len(own_script()) + len(three_script()) + len(page_style())


def asset(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8")
