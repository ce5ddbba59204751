"""`python -m tests.published.gallery`: look at all scenes again and write docs/gallery.md."""

from __future__ import annotations

from tests.conftest import REPOSITORY
from tests.published.gallery.paths import Looking
from tests.published.gallery.table import SECTIONS, head, section

PAGE = REPOSITORY / "docs" / "gallery.md"


def page() -> str:
    parts = [section(title, cases, [Looking(case).got() for case in cases]) for title, cases in SECTIONS]
    return "\n".join([head(), *parts])


def main() -> None:
    text = page()
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(text, encoding="utf-8")
    print(f"{PAGE.relative_to(REPOSITORY)} is written.")


if __name__ == "__main__":
    main()
