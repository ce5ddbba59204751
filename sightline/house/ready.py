"""The venues that come with the program."""

from __future__ import annotations

from pathlib import Path

from sightline.errors import SightlineError

_PACKAGE = Path(__file__).resolve().parent.parent
# In the wheel the files lie inside the package, in a source checkout beside it.
_FOLDERS = (_PACKAGE / "venues", _PACKAGE.parent / "venues")


class NoSuchVenueError(SightlineError):
    """No ready venue has this name."""


def _folder() -> Path | None:
    return next((folder for folder in _FOLDERS if folder.is_dir()), None)


def ready_names() -> list[str]:
    """Names of the ready venues, sorted."""
    folder = _folder()
    return sorted(path.stem for path in folder.glob("*.yaml")) if folder else []


def ready_path(name: str) -> Path:
    """The file of a ready venue; NoSuchVenueError with the nearest name for a wrong one."""
    names = ready_names()
    folder = _folder()
    # Only names out of the list are looked up, so no name can lead out of the folder.
    if folder is None or name not in names:
        from difflib import get_close_matches

        near = get_close_matches(name, names, n=1)
        shown = "".join(c if c.isprintable() else "?" for c in name[:60])
        hint = f"did you mean '{near[0]}'?" if near else f"the ready venues are {', '.join(names) or 'not installed'}."
        raise NoSuchVenueError(f"There is no ready venue named '{shown}'; {hint}")
    return folder / f"{name}.yaml"
