"""The puppet and the hand in it: every pose of the hidden arm, with the puppet where it puts it."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import Placement
from sightline.moment import MustSee, Pose, Secret
from sightline.props.puppet import puppet_mesh
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.body import Body, Carried
from sightline.staging.hidden import ELBOWS, HiddenPose, hidden_poses
from sightline.staging.imported import sided
from sightline.staging.wearing import for_arm


def puppet_poses(
    written: Written[Scene], notes: list[str], body: Body, carried: Carried | None, elbows: int = ELBOWS
) -> tuple[list[Pose], list[HiddenPose]]:
    """All poses, rest first, and the arm in each; what was left out goes to `notes`. Raises FileError with its place."""
    scene = written.model
    puppet = scene.puppet
    base = None
    if puppet is not None:
        if carried is None:
            raise written.problem(("puppet",), "The puppet lives in the prop; the scene has none.")
        with written.at("puppet", "mesh"):
            base = puppet_mesh(puppet.form, puppet.height)
            if puppet.mesh:
                base, _ = sided(puppet.name, written.mesh(puppet.mesh), [])
    if body.hidden is None:
        if puppet is None or base is None or carried is None:
            return [Pose("as placed")], []
        at = Placement(carried.placement.rotation, carried.placement.points(np.array(puppet.grip)))
        return [Pose("as placed", must_see=(MustSee(puppet.name, base.placed(at)),))], []
    if puppet is None or base is None or carried is None or scene.prop is None:
        raise written.problem(
            ("performer", "hide"),
            "A hidden arm works a puppet in a prop: say where its grip is (puppet: {grip: [...]}).",
        )
    opening = next((o for o in scene.prop.openings if for_arm(o)), None)
    if scene.prop.box is not None and opening is None:
        raise written.problem(
            ("prop",), "The hidden arm needs an opening in the back wall: openings: [{wall: back, diameter: 15 cm}]."
        )
    wall = scene.prop.box.wall if scene.prop.box else 0.0
    sleeves = [c.sleeve for c in scene.costume if c.sleeve is not None and c.sleeve.on == "hidden arm"]
    extra = max((s.ease + s.thickness for s in sleeves), default=0.0)
    with written.at():
        found, left_out = hidden_poses(body, carried, puppet, opening, wall, scene.pose.hidden_elbow, extra, elbows)
    name = f"real {body.hidden} arm"
    moves = puppet.moves is None or bool(puppet.moves)
    notes.append(
        f"The hidden arm is looked at in {len(found)} poses: the elbow positions that joints and opening allow, "
        f"times {len({p.name.split(',')[0] for p in found})} puppet moves; between them nothing is looked at."
        + (f" Out of reach, so left out: {', '.join(left_out)}." if left_out else "")
    )
    # The puppet is in one place per move, however the elbow is: one mesh, so that work on it is done once.
    puppets = {pose.move: MustSee(puppet.name, base.placed(pose.grip)) for pose in found}
    poses = [
        Pose(pose.name, secrets=(Secret(name, "limb", pose.arm, moves=moves),), must_see=(puppets[pose.move],))
        for pose in found
    ]
    return poses, found
