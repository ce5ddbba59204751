"""The scene: everything one file says, checked. The models mirror the file; nothing is computed here."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.accepted import AcceptedLeak
from sightline.scene.allowances import Allowances
from sightline.scene.asbuilt import BuiltTaken
from sightline.scene.blocking import Blocking, ClosedSector, Cost
from sightline.scene.colours import Colours
from sightline.scene.crowd import EyeSpot
from sightline.scene.dressing import DressStep, Signals
from sightline.scene.fields import (
    COARSEST_M,
    Count,
    Distance,
    Flag,
    Part,
    Positive,
    Spacing,
    Words,
    as_list,
    wrong,
)
from sightline.scene.fitting import Fitting
from sightline.scene.load import Load
from sightline.scene.materials import Materials
from sightline.scene.moves import MoveTaken
from sightline.scene.outdoors import Outdoors
from sightline.scene.papers import Papers
from sightline.scene.performer import Performer, Pose
from sightline.scene.prop import FalseLimb, Prop, Puppet
from sightline.scene.release import Release
from sightline.scene.shapes import CoverShape, MustSeeShape, SecretShape
from sightline.scene.travel import Travel
from sightline.scene.venue import Venue, eye_entries
from sightline.scene.wear import CostumePart, RigPart

# Farther back than this nobody is kept by a handler. Common practice, no source.
MOST_KEPT_BACK_M = 30.0


class SceneVenue(Venue):
    """A venue in place, or `use:` a ready one by name or a FILE.yaml; what else is given then comes on top.

    `held seats` are not sold: nobody sits there. In a closed sector nobody stands, a handler sees to it. `keep back`
    is how near to the mark people may stand; those nearer step straight back. `outdoors` says when wind or wet stops
    the act, and who decides: `{wind limit: 6 m/s, wet: stop at the first drops, decides: the handler}`.
    """

    use: Words | None = None
    held_seats: Annotated[list[Words], BeforeValidator(as_list), Field(max_length=10_000)] = []
    closed_sectors: Annotated[list[ClosedSector], BeforeValidator(as_list), Field(max_length=36)] = []
    keep_back: Distance = 0.0
    outdoors: Outdoors | None = None

    @model_validator(mode="after")
    def _near(self) -> SceneVenue:
        if self.keep_back > MOST_KEPT_BACK_M:
            raise wrong(f"Nobody can keep people {self.keep_back:g} m back; the most here is {MOST_KEPT_BACK_M:g} m.")
        return self


class Require(Part):
    """What must hold for `check` to end well: at most so many eyes that can see a secret."""

    seen: Count


class Noticing(Part):
    """Overrides of what an eye can notice; see `sightline/sight/noticing.py` for the defaults and their sources."""

    spot_arcmin: Positive | None = None
    line_arcsec: Positive | None = None
    sway: Flag = True


class Scene(Part):
    """One scene file, `version: 1`."""

    version: Literal["1"]
    title: Words = "Untitled"
    performer: Performer | None = None
    pose: Pose = Pose()
    prop: Prop | None = None
    false_limbs: Annotated[list[FalseLimb], BeforeValidator(as_list), Field(max_length=4)] = []
    rig: Annotated[list[RigPart], BeforeValidator(as_list), Field(max_length=60)] = []
    costume: Annotated[list[CostumePart], BeforeValidator(as_list), Field(max_length=60)] = []
    puppet: Puppet | None = None
    materials: Materials = Materials()
    colours: Colours = Colours()
    load: Load = Load()
    release: Release = Release()
    dressing: Annotated[list[DressStep], BeforeValidator(as_list), Field(max_length=40)] = []
    signals: Signals = Signals()
    papers: Papers = Papers()
    travel: Travel = Travel()
    venue: SceneVenue | None = None
    blocking: Blocking = Blocking()
    cost: Cost = Cost()
    covers: Annotated[list[CoverShape], BeforeValidator(as_list), Field(max_length=1000)] = []
    secrets: Annotated[list[SecretShape], BeforeValidator(as_list), Field(max_length=200)] = []
    must_see: Annotated[list[MustSeeShape], BeforeValidator(as_list), Field(max_length=200)] = []
    eyes: Annotated[list[EyeSpot], BeforeValidator(eye_entries), Field(max_length=100_000)] = []
    heads: Literal["count", "ignore"] = "ignore"
    detail: Spacing = COARSEST_M
    require: Require | None = None
    accepted: Annotated[list[AcceptedLeak], BeforeValidator(as_list), Field(max_length=200)] = []
    moves_taken: Annotated[list[MoveTaken], BeforeValidator(as_list), Field(max_length=200)] = []
    as_built: Annotated[list[BuiltTaken], BeforeValidator(as_list), Field(max_length=200)] = []
    noticing: Noticing = Noticing()
    allowances: Allowances = Allowances()
    fit: Fitting = Fitting()
