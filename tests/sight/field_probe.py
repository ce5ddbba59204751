"""Fields held against exact rays, pair by pair: shared by the tests and the benchmark."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.blocking.placing import Placing
from sightline.scene.reading import read_scene
from sightline.sight.check import Thresholds
from sightline.sight.leak import expanded, facing_among, unblocked
from sightline.sight.looking import head_positions
from sightline.sight.prepared import PreparedSurface
from sightline.staging.stage import put_together
from tests.conftest import REPOSITORY


@dataclass
class Count:
    """Pairs of eye and patch that fields settle as hidden, those of them that exact rays see, and all facing pairs."""

    settled: int = 0
    wrong: int = 0
    pairs: int = 0
    verdicts: int = 0
    unequal: int = 0
    unequal_by_field_alone: int = 0


def placing_of(name: str, side: int, sway: bool = True) -> Placing:
    written = read_scene(REPOSITORY / "examples" / f"{name}.yaml")
    return Placing(put_together(written), Thresholds(sway=sway), side=side)


def random_placements(name: str, count: int, seed: int) -> list[tuple[tuple[float, float], float]]:
    """Marks all over the stage, or a step about the middle of a pitch, facing anywhere."""
    random = np.random.default_rng(seed)
    wide = (2.5, (0.3, 3.5)) if "stage" in name else (0.3, (-0.3, 0.3))
    return [
        ((float(random.uniform(-wide[0], wide[0])), float(random.uniform(*wide[1]))), float(random.uniform(-3.1, 3.1)))
        for _ in range(count)
    ]


def compare(placing: Placing, placements: list[tuple[tuple[float, float], float]], verdicts: bool = True) -> Count:
    out = Count()
    fields, scenery = placing.fields, placing.fields.scenery
    for mark, facing in placements:
        moment = placing.moment(mark, facing)
        at = head_positions(moment, placing.thresholds.sway)[0]
        near = fields.near(at, 0.0)
        asked = [(secret, 0, False) for secret in moment.still.secrets]
        asked += [(secret, i, True) for i, pose in enumerate(moment.poses) for secret in pose.secrets]
        for secret, pose, moves in asked:
            ready = scenery.prepared(secret, pose)
            if not isinstance(ready, PreparedSurface):
                continue
            field = fields.of(secret, pose, moves)
            settled = ~field.unsettled(at, 0.0, near)
            rows, clusters = np.nonzero(settled)
            rows, columns, _ = expanded(rows, clusters, *field.members)
            front = facing_among(ready.patches, at, rows, columns)
            groups = [scenery.still, *([scenery.pose(pose)[1]] if moves else [])]
            out.wrong += len(unblocked(ready.patches, front, groups, at).rows)
            out.settled += len(front.rows)
            out.pairs += len(at) * ready.count
        if verdicts:
            quick, exact = placing.quick(mark, facing), placing.exact(mark, facing)
            alone = placing.rank(np.array([mark]), np.array([facing]))[0] > 0
            for name, found in quick.secrets.items():
                out.verdicts += len(found.verdict)
                out.unequal += int((found.verdict != exact.secrets[name].verdict).sum())
            out.unequal_by_field_alone += int((alone != (exact.worst_verdict() > 0)).sum())
    return out
