"""The steps of dressing that a scene's parts suggest where it writes none. Times: common practice, no source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sightline.scene.dressing import DressStep, Undo
from sightline.scene.scene import Scene
from sightline.staging.body import Side, hidden_side


def usual_steps(scene: Scene) -> Iterator[DressStep]:
    """The steps that the scene's parts suggest, each needing only what must come before it. All times are assumed."""
    if scene.performer is None:
        return
    hidden = hidden_side(scene.performer)
    visible: Side = "right" if hidden == "left" else "left"
    thing = scene.prop.name if scene.prop else None
    shirts = [c.shirt for c in scene.costume if c.shirt is not None]
    under: list[str] = []
    for shirt in shirts[:1]:
        under = [f"put on the {shirt.name}"]
        yield DressStep(
            step=under[0], hands=2, seconds=30.0, undo=Undo(seconds=10.0, hands=2, say=f"take off the {shirt.name}")
        )
    for cloth in (c.sleeve for c in scene.costume):
        if cloth is not None and cloth.on == "visible arm":
            step = f"{visible} arm into the {cloth.name}"
            yield DressStep(
                step=step,
                needs=under,
                hands=1,
                seconds=8.0,
                undo=Undo(seconds=5.0, hands=1, say=f"{visible} arm out of the {cloth.name}"),
            )
    rig: list[str] = []
    for strap in (r.strap for r in scene.rig):
        if strap is not None:
            over = f" over the {strap.over} shoulder" if strap.over else ""
            name = f"buckle the {strap.name}{over}"
            yield _closing(name, under, 20.0, "buckle", "open, on its peg", 3.0, f"unbuckle the {strap.name}{over}")
            rig.append(name)
    for plate in (r.plate for r in scene.rig):
        if plate is not None:
            name = f"belt on the {plate.name}"
            yield _closing(
                name,
                [*under, *rig],
                20.0,
                "belt buckle",
                "open, belt at full length",
                3.0,
                f"unbuckle the {plate.name}",
            )
            rig.append(name)
    outer: list[str] = []
    for shirt in shirts[1:]:
        name = f"close the {shirt.name}"
        ready = "open, over a chair; the closure parts under a pull"
        yield _closing(name, [*under, *rig], 15.0, "closure at the neck", ready, 4.0, f"open the {shirt.name}")
        outer.append(name)
    if thing is not None:
        yield from _usual_prop(scene, thing, hidden, visible, under, rig, outer)


def _closing(
    name: str,
    needs: Sequence[str],
    seconds: float,
    fastening: str,
    start: str,
    undo_s: float,
    say: str,
    *,
    takes_prop: bool = False,
) -> DressStep:
    """A fastening for two hands that can be cut."""
    undo = Undo(seconds=undo_s, hands=1, cut=True, say=say)
    return DressStep(
        step=name,
        needs=list(needs),
        hands=2,
        seconds=seconds,
        fastening=fastening,
        start=start,
        undo=undo,
        takes_prop=takes_prop,
    )


def _usual_prop(
    scene: Scene, thing: str, hidden: Side | None, visible: Side, under: list[str], rig: list[str], outer: list[str]
) -> Iterator[DressStep]:
    """What has to do with the prop: it, the false limbs, the cuff, the arm, the puppet, the hand that shows."""
    ready = f"{thing} on the table, back to the wearer"
    if any(part.hook for part in scene.rig):
        prop_on = f"hang the {thing} on its hook"
        off = f"lift the {thing} off its hook"
        yield _closing(prop_on, rig, 15.0, "hook", ready, 3.0, off, takes_prop=True)
    elif rig:
        prop_on = f"clip the {thing} to the rig"
        off = f"unclip the {thing} and let it down"
        yield _closing(prop_on, rig, 20.0, "snap hook", ready, 3.0, off, takes_prop=True)
    else:
        prop_on = f"take up the {thing}"
        yield DressStep(
            step=prop_on,
            needs=under,
            hands=2,
            seconds=5.0,
            takes_prop=True,
            undo=Undo(seconds=3.0, hands=1, say=f"put the {thing} down"),
        )
    arms = [str(limb.name or f"false {limb.replaces}") for limb in scene.false_limbs]
    sleeves = []
    for sleeve in (c.sleeve for c in scene.costume):
        if sleeve is not None and sleeve.on == "false arm" and arms:
            sleeves = [f"pull the {sleeve.name} over the {arms[0]}"]
            # It stays on the false arm when that comes off.
            yield DressStep(step=sleeves[0], hands=2, seconds=20.0, undo=Undo(seconds=0.0, hands=0))
    for k, arm in enumerate(arms):
        needs = [*under, prop_on, *(sleeves if k == 0 else [])]
        yield _closing(
            f"fix the {arm} at the shoulder",
            needs,
            30.0,
            "snap at the shoulder",
            f"hand end on the {thing}",
            4.0,
            f"open the {arm} at the shoulder",
        )
    tied = [prop_on]
    for cuff in (c.cuff for c in scene.costume):
        if cuff is not None:
            onto = "costume" if not outer else outer[-1].removeprefix("close the ")
            tied.append(f"close the {cuff.name} to the {onto}")
            yield _closing(
                tied[-1],
                [prop_on, *(outer or under)],
                15.0,
                "hook and loop",
                f"open, folded on the {thing}",
                2.0,
                f"open the {cuff.name}",
            )
    if hidden is None:
        return
    arm_in = f"{hidden} arm into the {thing}"
    out = Undo(seconds=3.0, hands=0, say=f"pull the {hidden} arm straight out")
    yield DressStep(step=arm_in, needs=tied, hands=0, seconds=8.0, takes_hand=hidden, undo=out)
    if scene.puppet is not None:
        step = f"{scene.puppet.name} on the {hidden} hand"
        yield DressStep(
            step=step,
            needs=[arm_in],
            hands=0,
            seconds=5.0,
            undo=Undo(seconds=2.0, hands=0, say=f"drop the {scene.puppet.name}"),
        )
    if scene.pose.visible_hand is not None:
        step = f"{visible} hand on the {thing}"
        yield DressStep(
            step=step,
            needs=[prop_on],
            hands=0,
            seconds=2.0,
            takes_hand=visible,
            undo=Undo(seconds=1.0, hands=0, say=f"{visible} hand lets go"),
        )
