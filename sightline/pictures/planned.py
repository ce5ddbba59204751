"""The one calm line at the foot of what is drawn: it is planned, and where the list of what that rests on is."""

from __future__ import annotations

from collections.abc import Iterable

CHECK = "sightline check"
# Of pictures of what an eye sees: their light and cloth are not the show's.
AS_COMPUTED = "The light is this picture's own; cloth hangs as computed."


def planned(assumptions: Iterable[str] = (), where: str = CHECK) -> str:
    """The line. `assumptions` are the scene's, to say whether the body is estimated; `where` is what lists everything."""
    body = "body sizes partly estimated; " if any("sizes are estimated" in said for said in assumptions) else ""
    return f"Planned, not walked: {body}the show's light, moving cloth and what people do were not looked at. The whole list: {where}."
