"""What the performer brings: body, prop, limbs, rig, costume and puppet, placed on the mark."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray, Placement
from sightline.geometry.mesh import Cover, Mesh
from sightline.moment import MustSee, Pose, Secret
from sightline.props.box import apertures, box_mesh, box_size, prop_placement
from sightline.props.falselimb import FalseArm, false_arm, limb_name
from sightline.props.scannedarm import ScannedArm
from sightline.scene.prop import FalseLimb, LimbSeam
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.body import Body, Carried, Side, body_covers, body_of, face_of, hand_on
from sightline.staging.hidden import ELBOWS, HiddenPose
from sightline.staging.imported import sided
from sightline.staging.pierced import pierced
from sightline.staging.puppeteer import puppet_poses
from sightline.staging.rigging import rig_secret
from sightline.staging.wearing import costume_cover, flesh_under, for_arm


@dataclass
class Act:
    """The pieces gathered so far, in the performer's frame.

    `carried`, `body`, `false_arms` and `hidden` are what they were made from, for those who measure; always in the
    performer's frame.
    """

    covers: list[Cover] = field(default_factory=list)
    secrets: list[Secret] = field(default_factory=list)
    must_see: list[MustSee] = field(default_factory=list)
    poses: list[Pose] = field(default_factory=list)
    apertures: list[Cover] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    carried: Carried | None = None
    body: Body | None = None
    false_arms: list[FalseArm] = field(default_factory=list)
    hidden: list[HiddenPose] = field(default_factory=list)

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
            [*map(cover, self.apertures)], self.notes, self.carried, self.body, self.false_arms, self.hidden,
        )  # fmt: skip


def act_of(written: Written[Scene], elbows: int = ELBOWS) -> Act:
    """Everything that goes with the performer, in the performer's frame. Raises FileError with its place.

    `elbows`: positions of the hidden elbow at most, for every puppet move."""
    scene = written.model
    act = Act()
    carried = _prop(written, act)
    act.carried = carried
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
            act.secrets.append(rig_secret(written, part, body, carried, torso, act.notes))
    for i, piece in enumerate(scene.costume):
        with written.at("costume", i):
            cover = costume_cover(written, piece, body, carried, false_arms)
            if cover is not None:
                act.covers.append(cover)
                said = pierced(cover, flesh_under(piece, parts, false_arms))
                if said:
                    act.notes.append(said)
    act.poses, act.hidden = puppet_poses(written, act.notes, body, carried, elbows)
    act.body, act.false_arms = body, false_arms
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
            if for_arm(opening):
                act.secrets.append(Secret(hole.name, "inside", placed, two_sided=True, covers=False))
    return Carried(size, placement)


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
                    scan = written.mesh(limb.mesh)
                act.covers.append(Cover(name, scan))
                if limb.landmarks is not None:
                    of: Side = "left" if limb.replaces == "left arm" else "right"
                    _seams(written, i, limb, act, ScannedArm.of(name, of, scan, limb.landmarks).seam_path)
                elif limb.seams or limb.darts:
                    act.notes.append(
                        f"Seams and darts of '{name}' are not looked at: only landmarks tell where on a mesh they lie."
                    )
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
            _seams(written, i, limb, act, arm.seam_path)
    return arms


def _seams(written: Written[Scene], i: int, limb: FalseLimb, act: Act, drawn: Callable[[LimbSeam], FloatArray]) -> None:
    """Every seam and dart of a limb as a secret on its skin."""
    name = limb_name(limb)
    for key, seams in (("seams", limb.seams), ("darts", limb.darts)):
        for j, seam in enumerate(seams):
            with written.at("false limbs", i, key, j):
                path = drawn(seam)
            contrast = limb.contrast if seam.contrast is None else seam.contrast
            act.secrets.append(
                Secret(
                    seam.name, "seam", Mesh.empty(), covers=False, contrast=contrast, path=path, on=name,
                    width_m=seam.width,
                )
            )  # fmt: skip
