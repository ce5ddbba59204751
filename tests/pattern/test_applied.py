"""Chosen seams in the scene's text: only they change, and what is written is what was chosen."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import yaml

from sightline.errors import SightlineError
from sightline.pattern.applied import applied, item
from sightline.pattern.onskin import Skin, TubeSkin
from sightline.pattern.pattern import SeamLine
from sightline.pattern.plain import elbow
from sightline.pattern.routing import seam_line
from sightline.scene.editing import EditError
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.check import check
from sightline.staging.stage import put_together, stage
from tests.conftest import REPOSITORY
from tests.pattern.shown_limbs import LIMB, arm_scene, row_of

EXAMPLE = (REPOSITORY / "examples" / "courier-stage.yaml").read_text(encoding="utf-8")
SKIN = TubeSkin(elbow((0.055, 0.048, 0.036), (0.28, 0.26), 1.2))


def lines(skin: Skin = SKIN) -> list[SeamLine]:
    return [
        seam_line(skin, "inner seam", "lengthwise", np.array([[0.0, 3.0], [0.4, 2.6], [1.0, 3.2]])),
        seam_line(skin, "elbow seam", "ring", np.array([[0.52, 0.0], [0.5, 1.6], [0.52, 2 * np.pi]])),
        seam_line(skin, "dart 1", "dart", np.array([[0.52, 4.7], [0.40, 4.7]])),
    ]


def test_a_block_list_is_replaced_and_all_else_stays() -> None:
    done = applied(scene_from_text(EXAMPLE), LIMB, lines(), SKIN)
    old, new = EXAMPLE.splitlines(), done.text.splitlines()
    gone, come = ([line for line in one if line not in other] for one, other in ((old, new), (new, old)))
    assert all("seam" in line for line in gone)
    assert all(line.strip().startswith(("- {name: ", "darts: [")) for line in come)
    assert [seam.name for seam in done.written.model.false_limbs[0].seams] == ["inner seam", "elbow seam"]
    assert [seam.name for seam in done.written.model.false_limbs[0].darts] == ["dart 1"]
    assert set(done.replaced) == {s.name for s in scene_from_text(EXAMPLE).model.false_limbs[0].seams} - {"inner seam"}
    path = done.written.model.false_limbs[0].seams[0].path
    assert path is not None
    assert np.array(path) == pytest.approx(np.array([[0.0, 3.0], [0.4, 2.6], [1.0, 3.2]]), abs=2e-3)


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize(
    "seams",
    [
        "    seams: [{name: a, side: inner},\n      {name: b, ring: 0.5}]   # two\n",
        "    seams:\n      - {name: a, side: inner}   # gone\n      # gone too\n      - name: b\n        ring: 0.5\n",
        "    seams:\n    - {name: a, side: inner}\n\n",
        "    seams: []\n",
        "",
    ],
)
def test_every_way_of_writing_them(seams: str, newline: str) -> None:
    head, tail = arm_scene(row_of(-5)).split("false limbs:\n")
    limb = "    # the limb\n    replaces: left arm\n    hand at: {wall: left, at: [0 cm, 0 cm]}   # held\n"
    text = f"{head}false limbs:\n  -\n{limb}{seams}    girth: 1.1\n{tail[tail.index('eyes:') :]}"
    done = applied(scene_from_text(text.replace("\n", newline)), LIMB, lines(), SKIN)
    assert yaml.safe_load(done.text)
    for kept in ("# the limb", "# held", "    girth: 1.1", "eyes:"):
        assert kept in done.text
    assert "gone" not in done.text
    assert (done.text.count("\r\n") == done.text.count("\n")) == (newline == "\r\n")
    limbs = done.written.model.false_limbs
    assert limbs[0].girth == 1.1
    assert [seam.name for seam in (*limbs[0].seams, *limbs[0].darts)] == ["inner seam", "elbow seam", "dart 1"]


def test_again_and_again_comes_to_the_same() -> None:
    once = applied(scene_from_text(EXAMPLE), LIMB, lines(), SKIN)
    assert applied(once.written, LIMB, lines(), SKIN).text == once.text
    none = applied(once.written, LIMB, lines()[:2], SKIN)
    assert none.written.model.false_limbs[0].darts == []
    assert none.replaced == ("dart 1",)


def test_width_and_contrast_stay_with_their_seam() -> None:
    text = arm_scene(row_of(-5)).replace("side: inner}", "side: inner, width: 3 mm, contrast: strong}")
    written = scene_from_text(text)
    done = applied(written, LIMB, lines(), SKIN).written.model.false_limbs[0]
    inner, ring = done.seams
    assert inner.width == ring.width == pytest.approx(0.003)
    # A new one is no fainter than the strongest there was.
    assert inner.contrast == ring.contrast == 0.6
    assert "width" not in item(lines()[0], SKIN, scene_from_text(EXAMPLE).model.false_limbs[0])


def test_what_is_kept_stays_as_it_was() -> None:
    done = (
        applied(scene_from_text(EXAMPLE), LIMB, lines(), SKIN, kept=["wrist seam"]) if "wrist seam" in EXAMPLE else None
    )
    assert done is not None
    was = next(s for s in scene_from_text(EXAMPLE).model.false_limbs[0].seams if s.name == "wrist seam")
    assert was in done.written.model.false_limbs[0].seams
    assert "wrist seam" not in done.replaced
    with pytest.raises(SightlineError, match="no seam 'tail' that could stay"):
        applied(scene_from_text(EXAMPLE), LIMB, lines(), SKIN, kept=["tail"])


@pytest.mark.parametrize("name", ["a: b", "yes", 'say "so"', "#1", "Naht außen", "1", "[x]"])
def test_names_survive(name: str) -> None:
    line = seam_line(SKIN, name, "lengthwise", np.array([[0.0, 1.0], [1.0, 1.0]]))
    assert applied(scene_from_text(EXAMPLE), LIMB, [line], SKIN).written.model.false_limbs[0].seams[0].name == name


def test_what_is_shared_is_not_changed() -> None:
    text = arm_scene(row_of(-5)).replace("seams: [", "seams: &s [")
    with pytest.raises(EditError, match="mark of its own"):
        applied(scene_from_text(text), LIMB, lines(), SKIN)
    with pytest.raises(SightlineError, match="did you mean 'false left arm'"):
        applied(scene_from_text(text), "false left leg", lines(), SKIN)


def test_what_is_drawn_is_what_was_chosen() -> None:
    """The seam as read again lies within half a millimetre of the one that was chosen, and the check has it."""
    written = scene_from_text(arm_scene(row_of(-5)))
    skin = skin_of(written)
    share = np.linspace(0, 1, 90)
    wavy = SeamLine(
        "inner seam", "lengthwise", share, 3.0 + 0.3 * np.sin(7 * share), skin.points(share, 3.0 + 0 * share)
    )
    done = applied(written, LIMB, [wavy], skin)
    path = done.written.model.false_limbs[0].seams[0].path
    assert path is not None
    assert 5 < len(path) < 60
    said = np.interp(share, *np.array(path).T)
    assert np.abs(said - wavy.around_rad).max() * 0.05 < 0.0006
    finding = check(stage(done.written))
    assert finding.secrets["inner seam"].sighting.secret.path is not None
    assert "outer seam" not in finding.secrets


def skin_of(written: Written[Scene]) -> Skin:
    from sightline.pattern.onskin import ArmSkin

    return ArmSkin(put_together(written).act.false_arms[0])


def test_a_ring_is_written_round_and_shows_as_one() -> None:
    written = scene_from_text(arm_scene(row_of(-5)))
    skin = skin_of(written)
    ring = seam_line(skin, "ring", "ring", np.array([[0.5, 5.0], [0.5, 5.0 + 2 * np.pi]]))
    done = applied(written, LIMB, [ring], skin)
    secret = check(stage(done.written)).secrets["ring"].sighting
    around = skin.points(np.full(200, 0.5), np.linspace(0, 2 * np.pi, 200))
    girth = float(np.linalg.norm(np.diff(around, axis=0), axis=1).sum())
    assert secret.first.line.ring  # type: ignore[union-attr]
    assert secret.first.area_m2 / 0.001 == pytest.approx(girth, rel=0.02)


def test_nothing_is_written(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(EXAMPLE, encoding="utf-8")
    applied(scene_from_text(EXAMPLE, str(path), tmp_path), LIMB, lines(), SKIN)
    assert path.read_text(encoding="utf-8") == EXAMPLE
    assert [p.name for p in tmp_path.iterdir()] == ["scene.yaml"]


def test_points_of_a_path_differ() -> None:
    for line in lines():
        said = yaml.safe_load(item(line, SKIN, scene_from_text(EXAMPLE).model.false_limbs[0]))["path"]
        assert len(said) >= 2
        assert all(here != there for here, there in pairwise(said))
