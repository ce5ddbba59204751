"""What the performer brings: body, prop, limbs, rig, costume and puppet, placed on the mark."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from sightline.errors import Misfit
from sightline.figure.cloth import shirt_mesh, sleeve_mesh
from sightline.geometry.frame import Placement
from sightline.geometry.mesh import Cover, Mesh
from sightline.geometry.shapes import box as block
from sightline.moment import MustSee, Pose, Secret
from sightline.props import cloth, rig
from sightline.props.box import apertures, box_mesh, box_size, opening_names, prop_placement
from sightline.props.falselimb import FalseArm, false_arm, limb_name
from sightline.props.puppet import puppet_mesh
from sightline.scene.prop import Opening
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.scene.wear import CostumePart, RigPart, Shirt, Sleeve
from sightline.staging.body import Body, Carried, Side, body_covers, body_of, face_of, hand_on
from sightline.staging.hidden import hidden_poses
from sightline.staging.imported import sided
from sightline.staging.pierced import pierced


@dataclass
class Act:
    """The pieces gathered so far, in the performer's frame."""

    covers: list[Cover] = field(default_factory=list)
    secrets: list[Secret] = field(default_factory=list)
    must_see: list[MustSee] = field(default_factory=list)
    poses: list[Pose] = field(default_factory=list)
    apertures: list[Cover] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def placed(self, on: Placement) -> Act:
        """The same on the mark, in the frame of the stage. What was one mesh stays one mesh."""
        done: dict[int, Mesh] = {}

        def placed(mesh: Mesh) -> Mesh:
            if id(mesh) not in done:
                done[id(mesh)] = mesh.placed(on)
            return done[id(mesh)]

        def cover(c: Cover) -> Cover:
            return Cover(c.name, placed(c.mesh))

        def secret(s: Secret) -> Secret:
            return replace(s, mesh=placed(s.mesh), path=None if s.path is None else on.points(s.path))

        def must(m: MustSee) -> MustSee:
            return replace(m, mesh=placed(m.mesh))

        poses = [
            Pose(p.name, tuple(map(cover, p.covers)), tuple(map(secret, p.secrets)), tuple(map(must, p.must_see)))
            for p in self.poses
        ]
        return Act(
            [*map(cover, self.covers)], [*map(secret, self.secrets)], [*map(must, self.must_see)], poses,
            [*map(cover, self.apertures)], self.notes,
        )  # fmt: skip


def act_of(written: Written[Scene]) -> Act:
    """Everything that goes with the performer, in the performer's frame. Raises FileError with its place."""
    scene = written.model
    act = Act()
    carried = _prop(written, act)
    if scene.performer is None:
        if scene.false_limbs or scene.rig or scene.costume or scene.puppet:
            raise written.problem(
                (), "Limbs, rig, costume and puppet belong to a performer; say who: performer: {stature: 172 cm}."
            )
        act.poses = [Pose("as placed")]
        return act
    body = body_of(written, carried)
    act.notes += _body_notes(body, scene)
    replaced = frozenset(str(limb.replaces) for limb in scene.false_limbs)
    parts = body_covers(body, replaced)
    act.covers += parts
    head = next(c.mesh for c in parts if c.name in ("head", "body"))
    if len(face_of(head, body.skeleton).faces):
        act.must_see.append(MustSee("face", face_of(head, body.skeleton), covers=False))
    false_arms = _false_limbs(written, act, body, carried)
    torso = next(c.mesh for c in parts if c.name in ("torso", "body"))
    for i, part in enumerate(scene.rig):
        with written.at("rig", i):
            act.secrets.append(_rig_secret(written, part, body, carried, torso, act.notes))
    for i, piece in enumerate(scene.costume):
        with written.at("costume", i):
            cover = _costume(written, piece, body, carried, false_arms)
            if cover is not None:
                act.covers.append(cover)
                said = pierced(cover, _flesh_under(piece, parts, false_arms))
                if said:
                    act.notes.append(said)
    act.poses = _poses(written, act, body, carried)
    return act


def _prop(written: Written[Scene], act: Act) -> Carried | None:
    prop = written.model.prop
    if prop is None:
        return None
    with written.at("prop"):
        if prop.box is not None:
            size = box_size(prop.box)
            mesh = box_mesh(prop.box, prop.openings)
        else:
            assert prop.mesh is not None
            with written.at("prop", "mesh"):
                mesh = written.mesh(prop.mesh)
                if not mesh.closed:
                    sentence = (
                        f"'{prop.mesh.file}' is not watertight, so nobody can tell what is inside it. Close its holes, "
                    )
                    raise Misfit((), sentence + "describe a box, or give it as a cover instead.")
                mesh, _ = sided(prop.name, mesh, act.notes)
            # An imported prop is taken about the middle of its bounds, like a box.
            low, high = mesh.bounds
            size = high - low
            mesh = Mesh(mesh.vertices - (low + high) / 2, mesh.faces)
        placement = prop_placement(prop.at, size)
    act.covers.append(Cover(prop.name, mesh.placed(placement)))
    if prop.box is not None:
        for opening, hole in zip(prop.openings, apertures(prop.box, prop.openings), strict=True):
            placed = hole.mesh.placed(placement)
            act.apertures.append(Cover(hole.name, placed))
            if _for_arm(opening):
                act.secrets.append(Secret(hole.name, "inside", placed, two_sided=True, covers=False))
    return Carried(size, placement)


def _for_arm(opening: Opening) -> bool:
    return opening.use == "arm" or (opening.use is None and opening.wall == "back")


def _body_notes(body: Body, scene: Scene) -> list[str]:
    estimated = body.sheet.assumptions()
    source = (
        "Drillis & Contini in Winter"
        if scene.performer and scene.performer.proportions == "drillis-contini"
        else "ANSUR II"
    )
    notes = [
        f"The body is {body.sheet.stature_m * 100:.0f} cm tall; {len(estimated)} of its sizes are estimated ({source}, ANSUR II girths)."
    ]
    if scene.performer and scene.performer.sex is None and not body.sheet.child:
        notes.append("No sex is given: girths and breadths are the mean of women's and men's.")
    return notes


def _false_limbs(written: Written[Scene], act: Act, body: Body, carried: Carried | None) -> list[FalseArm]:
    arms: list[FalseArm] = []
    for i, limb in enumerate(written.model.false_limbs):
        with written.at("false limbs", i):
            name = limb_name(limb)
            if limb.mesh is not None:
                with written.at("false limbs", i, "mesh"):
                    act.covers.append(Cover(name, written.mesh(limb.mesh)))
                continue
            if not limb.replaces.endswith("arm"):
                raise Misfit(("replaces",), "A false leg needs its mesh; only false arms are built from sizes.")
            if carried is None or limb.hand_at is None:
                raise Misfit((), "A false arm holds the prop; this scene has none.")
            side: Side = "left" if limb.replaces == "left arm" else "right"
            shoulder = body.shoulder(side)
            with written.at("false limbs", i, "hand at"):
                hold = hand_on(limb.hand_at, carried, shoulder, side, body.sheet.hand_length_m)
            arm = false_arm(limb, body.sheet, shoulder, hold)
            arms.append(arm)
            act.notes += arm.notes()
            act.covers.append(Cover(name, arm.mesh))
            act.must_see.append(MustSee(f"{name}'s hand", arm.hand(), covers=False))
            for key, seams in (("seams", limb.seams), ("darts", limb.darts)):
                for j, seam in enumerate(seams):
                    with written.at("false limbs", i, key, j):
                        path = arm.seam_path(seam)
                    contrast = limb.contrast if seam.contrast is None else seam.contrast
                    act.secrets.append(
                        Secret(
                            seam.name,
                            "seam",
                            Mesh.empty(),
                            covers=False,
                            contrast=contrast,
                            path=path,
                            on=name,
                            width_m=seam.width,
                        )
                    )
    return arms


def _rig_secret(
    written: Written[Scene], part: RigPart, body: Body, carried: Carried | None, torso: Mesh, notes: list[str]
) -> Secret:
    sheet, shoes = body.sheet, body.skeleton.shoe_m
    waist = (sheet.hip_height_m + sheet.shoulder_height_m) / 2 + shoes
    if part.strap is not None:
        side: Side = "left" if part.strap.over == "left" else "right"
        mesh = rig.strap_mesh(part.strap, torso, body.shoulder(side), waist)
        return Secret(part.strap.name, "rig", mesh, two_sided=True, contrast=part.strap.contrast)
    if part.plate is not None:
        level = np.abs(torso.vertices[:, 2] - (part.plate.up or waist)) < 0.08
        belly = float(torso.vertices[level, 1].min()) if level.any() else -sheet.waist_depth_m / 2
        return Secret(part.plate.name, "rig", rig.plate_mesh(part.plate, belly, waist), contrast=part.plate.contrast)
    if part.mesh is not None:
        mesh = written.mesh(part.mesh.file)
        if part.mesh.on == "prop" and carried is not None:
            mesh = mesh.placed(carried.placement)
        mesh, two_sided = sided(part.mesh.name, mesh, notes)
        return Secret(part.mesh.name, "rig", mesh, two_sided=two_sided, contrast=part.mesh.contrast)
    if carried is None:
        raise Misfit((), "This is fixed to the prop; the scene has none.")
    if part.hook is not None:
        mesh = rig.hook_mesh(part.hook, carried.size_m).placed(carried.placement)
        return Secret(part.hook.name, "rig", mesh, contrast=part.hook.contrast)
    assert part.screw is not None
    mesh = rig.screw_mesh(part.screw, carried.size_m).placed(carried.placement)
    return Secret(part.screw.name, "rig", mesh, contrast=part.screw.contrast)


def _costume(
    written: Written[Scene], piece: CostumePart, body: Body, carried: Carried | None, false_arms: list[FalseArm]
) -> Cover | None:
    if piece.sleeve is not None:
        return _sleeve(piece.sleeve, body, false_arms)
    if piece.shirt is not None:
        return Cover(piece.shirt.name, _shirt(piece.shirt, body, false_arms))
    if piece.mesh is not None:
        mesh = written.mesh(piece.mesh.file)
        on_prop = piece.mesh.on == "prop" and carried is not None
        return Cover(piece.mesh.name, mesh.placed(carried.placement) if on_prop and carried else mesh)
    if carried is None:
        raise Misfit((), "This hangs on the prop; the scene has none.")
    if piece.drape is not None:
        return Cover(piece.drape.name, cloth.drape_mesh(piece.drape, carried.size_m, carried.placement))
    if piece.flap is not None:
        return Cover(piece.flap.name, cloth.flap_mesh(piece.flap, carried.size_m).placed(carried.placement))
    assert piece.cuff is not None
    prop = written.model.prop
    assert prop is not None
    if prop.box is None or not prop.openings:
        raise Misfit(("cuff",), "A cuff sits on an opening of a box; this prop has none.")
    opening = _named_opening(prop.openings, piece.cuff.opening)
    return Cover(piece.cuff.name, cloth.cuff_mesh(piece.cuff, prop.box, opening).placed(carried.placement))


def _flesh_under(piece: CostumePart, parts: list[Cover], false_arms: list[FalseArm]) -> list[Cover]:
    """What a garment is worn over."""
    if piece.shirt is not None:
        return [part for part in parts if part.name == "torso"]
    if piece.sleeve is not None and piece.sleeve.on == "false arm":
        return [Cover(arm.name, arm.mesh) for arm in false_arms[:1]]
    if piece.sleeve is not None:
        return [part for part in parts if part.name in ("left arm", "right arm")]
    return []


def _named_opening(openings: list[Opening], name: str | None) -> Opening:
    if name is None:
        return next((o for o in openings if _for_arm(o)), openings[0])
    names = opening_names(openings)
    if name not in names:
        raise Misfit(("cuff", "opening"), f"There is no opening named '{name}'; there are: {', '.join(names)}.")
    return openings[names.index(name)]


def _sleeve(sleeve: Sleeve, body: Body, false_arms: list[FalseArm]) -> Cover | None:
    if sleeve.on == "hidden arm":
        return None
    size: dict[str, Any] = {
        "start": sleeve.start,
        "end": sleeve.end,
        "ease_m": sleeve.ease,
        "thickness_m": sleeve.thickness,
    }
    if sleeve.on == "false arm":
        if not false_arms:
            raise Misfit(("sleeve", "on"), "There is no false arm to put this sleeve on.")
        arm = false_arms[0]
        mesh = sleeve_mesh(arm.sheet, arm.side, arm.shoulder, arm.elbow, arm.hold.wrist, scale_girth=arm.girth, **size)
        return Cover(sleeve.name, mesh)
    side: Side = "right" if body.hidden == "left" else "left"
    arm_pose = body.skeleton.arm(side)
    return Cover(sleeve.name, sleeve_mesh(body.sheet, side, arm_pose.shoulder, arm_pose.elbow, arm_pose.wrist, **size))


def _shirt(shirt: Shirt, body: Body, false_arms: list[FalseArm]) -> Mesh:
    """The shirt over the trunk and over the shoulders of the arms that are there to be seen, false ones included."""
    skeleton = body.skeleton
    for arm in false_arms:
        skeleton = skeleton.with_arm(arm.side, arm.elbow, arm.hold.wrist, arm.hold.fingers, arm.hold.palm)
    mesh = shirt_mesh(body.sheet, skeleton, ease_m=shirt.ease)
    if shirt.slot is None:
        return mesh
    hole = block(shirt.slot.width, 0.16, shirt.slot.height)
    cutter = Mesh(hole.vertices + np.array(shirt.slot.at), hole.faces)
    return Mesh.from_manifold(mesh.manifold() - cutter.manifold())


def _poses(written: Written[Scene], act: Act, body: Body, carried: Carried | None) -> list[Pose]:
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
            return [Pose("as placed")]
        at = Placement(carried.placement.rotation, carried.placement.points(np.array(puppet.grip)))
        return [Pose("as placed", must_see=(MustSee(puppet.name, base.placed(at)),))]
    if puppet is None or base is None or carried is None or scene.prop is None:
        raise written.problem(
            ("performer", "hide"),
            "A hidden arm works a puppet in a prop: say where its grip is (puppet: {grip: [...]}).",
        )
    opening = next((o for o in scene.prop.openings if _for_arm(o)), None)
    if scene.prop.box is not None and opening is None:
        raise written.problem(
            ("prop",), "The hidden arm needs an opening in the back wall: openings: [{wall: back, diameter: 15 cm}]."
        )
    wall = scene.prop.box.wall if scene.prop.box else 0.0
    sleeves = [c.sleeve for c in scene.costume if c.sleeve is not None and c.sleeve.on == "hidden arm"]
    extra = max((s.ease + s.thickness for s in sleeves), default=0.0)
    with written.at():
        found, left_out = hidden_poses(body, carried, puppet, opening, wall, scene.pose.hidden_elbow, extra)
    name = f"real {body.hidden} arm"
    moves = puppet.moves is None or bool(puppet.moves)
    act.notes.append(
        f"The hidden arm is looked at in {len(found)} poses: the elbow positions that joints and opening allow, "
        f"times {len({p.name.split(',')[0] for p in found})} puppet moves; between them nothing is looked at."
        + (f" Out of reach, so left out: {', '.join(left_out)}." if left_out else "")
    )
    # The puppet is in one place per move, however the elbow is: one mesh, so that work on it is done once.
    puppets = {pose.move: MustSee(puppet.name, base.placed(pose.grip)) for pose in found}
    return [
        Pose(pose.name, secrets=(Secret(name, "limb", pose.arm, moves=moves),), must_see=(puppets[pose.move],))
        for pose in found
    ]
