"""How long the parts of the day take, as written. Defaults: common practice, no source."""

from __future__ import annotations

from sightline.scene.fields import Part, Time


class Day(Part):
    """Before the start: unpack, dress, the check in the mirror, the walk to the place, and standing there in time; after
    the last set: out of it, everything hung to dry, packed. Left out, `dress` and `doff` take what the dressing steps say.
    """

    unpack: Time = 1800.0
    dress: Time | None = None
    mirror_check: Time = 600.0
    walk: Time = 300.0
    places: Time = 300.0
    doff: Time | None = None
    dry: Time = 1200.0
    pack: Time = 1200.0
