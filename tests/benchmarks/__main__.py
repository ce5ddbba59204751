"""How fast, as ratios measured in one run: `python -m tests.benchmarks [PART ...]`.

Machines are shared and noisy, so only ratios of things timed side by side count, each the best of several turns.
Targets (issue): pairs per second at least 1.5 x Open3D, aim 4 x; `--help` at most 3 x importing typer; `check` without
sway and pose family at most 2 x the imports it needs plus 0.5 s; with them under 10 s.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

# As the program itself sets it, before numpy is there.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from tests.benchmarks.arena import arena

REPOSITORY = Path(__file__).parents[2]
STAGE = REPOSITORY / "examples" / "courier-stage.yaml"
EYES, PATCHES = 20_000, 1_500
IMPORTS = "import numpy, scipy, trimesh, pydantic, embreex, manifold3d"


def best(work: Callable[[], Any], turns: int = 3) -> float:
    """Least seconds of several turns."""
    times = []
    for _ in range(turns):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def command(*words: str) -> None:
    subprocess.run([sys.executable, *words], cwd=REPOSITORY, check=True, stdout=subprocess.DEVNULL)


def pairs() -> None:
    """Every (eye, patch) pair of a large house: ours with all that it does, against all pairs through Open3D."""
    import open3d

    from sightline.scene.reading import read_scene
    from sightline.sight.leak import Pairs, over_eyes
    from sightline.sight.prepared import PreparedSurface
    from sightline.sight.rays import LIFT_M, threads
    from sightline.sight.scenery import Scenery
    from sightline.sight.shields import Clusters
    from sightline.staging import stage

    moment = stage(read_scene(STAGE))
    scenery = Scenery(moment)
    ready = PreparedSurface(moment.poses[0].secrets[0], scenery, 0)
    ready.patches = ready.patches.thinned(PATCHES)
    turn = np.linspace(-1.2, 1.2, 200)
    rows = np.linspace(5.0, 60.0, EYES // 200)
    at = np.array([[r * np.sin(t), -r * np.cos(t), 0.25 + 0.28 * (r - 5.0)] for r in rows for t in turn])
    groups = scenery.surfaces(0)

    def ours() -> int:
        ready.shield(scenery, 0, Clusters.over(at[None]))

        def work(part: slice) -> int:
            left = ready.start(at[part], groups, part)
            assert isinstance(left, Pairs)
            return len(left.rows)

        return sum(over_eyes(len(at), ready.count, work))

    caster = open3d.t.geometry.RaycastingScene(nthreads=threads())
    for cover in scenery.covers(0):
        caster.add_triangles(cover.mesh.vertices.astype(np.float32), cover.mesh.faces.astype(np.uint32))
    starts = (ready.patches.centres + ready.patches.normals * LIFT_M).astype(np.float32)
    size = max(1, 400_000 // ready.count)

    def theirs() -> None:
        for first in range(0, len(at), size):
            eyes = at[first : first + size].astype(np.float32)
            rays = np.empty((len(eyes), len(starts), 6), dtype=np.float32)
            rays[..., :3] = starts[None]
            np.subtract(eyes[:, None], starts[None], out=rays[..., 3:])
            caster.test_occlusions(open3d.core.Tensor(rays.reshape(-1, 6)), tfar=1.0 - 1e-5)

    count = len(at) * ready.patches.count
    a, b = best(ours), best(theirs)
    print(f"pairs: {len(at)} eyes x {ready.patches.count} patches on {threads()} threads")
    print(f"  sightline                 {a:7.2f} s   {count / a / 1e6:7.1f} M pairs/s")
    print(f"  Open3D test_occlusions    {b:7.2f} s   {count / b / 1e6:7.1f} M pairs/s")
    print(f"  ratio                     {b / a:7.2f} x   (at least 1.5, aim 4)")


def start_up() -> None:
    typer = best(lambda: command("-c", "import typer"), 5)
    helped = best(lambda: command("-m", "sightline", "--help"), 5)
    print(f"start-up: --help {helped:.2f} s, import typer {typer:.2f} s: {helped / typer:.2f} x (at most 3)")


def example() -> None:
    imports = best(lambda: command("-c", IMPORTS), 5)
    text = STAGE.read_text(encoding="utf-8").replace("  gaze: audience", "  hidden elbow: 0 deg\n  gaze: audience", 1)
    start = text.index("  moves:")
    text = text[:start] + "  moves: {}\n" + text[text.index("venue:") :] + "noticing: {sway: no}\n"
    short = Path("/tmp") / "sightline-benchmark.yaml"
    short.write_text(text, encoding="utf-8")
    quick = ("--json", "--no-margins")
    plain = best(lambda: command("-m", "sightline", "check", str(short), *quick), 5)
    whole = best(lambda: command("-m", "sightline", "check", str(STAGE), *quick), 2)
    margins = best(lambda: command("-m", "sightline", "check", str(STAGE), "--json"), 2)
    allowed = 2 * imports + 0.5
    print(
        f"check of 420 seats, no margins: imports {imports:.2f} s; without sway and family {plain:.2f} s (at most {allowed:.2f} s)"
    )
    print(
        f"  with sway and the pose family {whole:.2f} s (under 10 s); and with margins, fields cached, {margins:.2f} s"
    )


def placements(name: str = "courier-stage-mended", exact_turns: int = 12, quick_turns: int = 40) -> None:
    """1,000 placements x 420 seats: fields to rank by, built within the time, and with the exact fall-back.

    Exact rays are timed on a few of the placements and multiplied up; all three have the same staged moment, the exact
    ones too with everything built that they can share.
    """
    from tests.sight.field_probe import placing_of, random_placements

    chosen = random_placements(name, 1000, 5)
    placing = placing_of(name, 64)
    placing.exact(*chosen[0])
    start = time.perf_counter()
    for mark, facing in chosen[:exact_turns]:
        placing.exact(mark, facing)
    exact = (time.perf_counter() - start) / exact_turns * 1000
    fresh = placing_of(name, 64)
    assert fresh.own.poses
    start = time.perf_counter()
    fresh.rank(np.array([mark for mark, _ in chosen]), np.array([facing for _, facing in chosen]))
    rank = time.perf_counter() - start
    fresh = placing_of(name, 64)
    assert fresh.own.poses
    start = time.perf_counter()
    fresh.quick(*chosen[0])
    built = time.perf_counter() - start
    start = time.perf_counter()
    for mark, facing in chosen[1 : quick_turns + 1]:
        fresh.quick(mark, facing)
    quick = built + (time.perf_counter() - start) / quick_turns * 999
    print(f"1,000 placements x {len(fresh.staged.house.eyes)} seats of {name}, {len(fresh.own.poses)} poses")
    print(f"  exact rays ({exact_turns} timed)      {exact:8.1f} s")
    print(f"  ranked by fields, built {rank:8.1f} s   {exact / rank:6.1f} x   (at least 15, aim 50)")
    print(f"  with exact fall-back    {quick:8.1f} s   {exact / quick:6.1f} x   (at least 4; {quick_turns} timed)")


WALK = """
blocking:
  ease: even
  beats:
    - {at: 0 s, name: from, mark: [-1.2 m, 1.6 m], facing: 3 deg}
    - {at: SECONDS s, name: to, mark: [1.2 m, 1.0 m], facing: -4 degPROP}
"""


def rehearsal(frames: int = 600, exact_turns: int = 12, moved_frames: int = 24) -> None:
    """A walk of 600 frames with the pose held, and one in which the prop is held another way in every frame."""
    from sightline.blocking import stager
    from sightline.blocking.rehearsal import rehearse
    from sightline.scene.reading import scene_from_text
    from tests.sight.field_probe import placing_of, random_placements

    text = (REPOSITORY / "examples" / "courier-stage-mended.yaml").read_text(encoding="utf-8")
    text = text[: text.index("blocking:")]
    placing = placing_of("courier-stage-mended", 64)
    chosen = random_placements("courier-stage-mended", exact_turns, 3)
    placing.exact(*chosen[0])
    start = time.perf_counter()
    for mark, facing in chosen:
        placing.exact(mark, facing)
    each = (time.perf_counter() - start) / exact_turns
    walk = WALK.replace("SECONDS", f"{(frames - 1) / 10:g}")
    start = time.perf_counter()
    found = rehearse(scene_from_text(text + walk.replace("PROP", "")), 10)
    held = time.perf_counter() - start
    print(
        f"rehearse, pose held: {len(found.times_s)} frames, {len(found.schemes)} looks, {found.confirmed} by rays alone"
    )
    print(
        f"  600 exact checks ({exact_turns} timed) {each * 600:7.1f} s; rehearse {held:7.1f} s   {each * 600 / held:5.1f} x   (at least 5)"
    )

    staging = 0.0
    plain = stager.Stager.posed

    def timed(self: stager.Stager, scheme: Any, t_s: float) -> Any:
        nonlocal staging
        begun = time.perf_counter()
        made = plain(self, scheme, t_s)
        assert made.own.poses
        staging += time.perf_counter() - begun
        return made

    stager.Stager.posed = timed  # type: ignore[method-assign]
    walk = WALK.replace("SECONDS", f"{(moved_frames - 1) / 10:g}").replace("PROP", ", prop: {tilt: 5 deg}")
    start = time.perf_counter()
    found = rehearse(scene_from_text(text + walk), 10)
    moved = time.perf_counter() - start - staging
    stager.Stager.posed = plain  # type: ignore[method-assign]
    # What a check of a pose never seen before costs: its blockers and patches are part of it.
    single = []
    for mark, facing in chosen[:4]:
        fresh = placing_of("courier-stage-mended", 64)
        assert fresh.own.poses
        begun = time.perf_counter()
        fresh.exact(mark, facing)
        single.append(time.perf_counter() - begun)
    alone = float(np.mean(single)) * len(found.schemes)
    print(
        f"  a pose that changes in every frame: {moved:.1f} s without staging, exact checks {alone:.1f} s: "
        f"{moved / alone:.2f} x   (at most 1.3)"
    )


def pattern(turns: int = 3) -> None:
    """The pattern of the example's limb, all that `sightline pattern` makes but for the files, beside one exact check."""
    from statistics import median

    from sightline.pattern.made import bench_for_pattern, make
    from sightline.scene.reading import read_scene
    from sightline.sight.check import check
    from sightline.staging import stage

    written = read_scene(REPOSITORY / "examples" / "courier-stage-mended.yaml")
    steps: dict[str, float] = {}

    def made() -> float:
        start = last = time.perf_counter()
        step = "bench"

        def tick(name: str) -> None:
            nonlocal last, step
            now = time.perf_counter()
            steps[step] = steps.get(step, 0.0) + (now - last) / turns
            last, step = now, name

        make(bench_for_pattern(written, None), tick=tick)
        tick("")
        return time.perf_counter() - start

    moment = stage(written)
    check(moment)
    exact = best(lambda: check(stage(written)), 2)
    times = [made() for _ in range(turns)]
    middle = median(times)
    print(f"pattern of the example limb, no best nesting: median of {turns} {middle:.2f} s (under 10 s on two cores)")
    print(f"  one exact check {exact:.2f} s: {middle / exact:.2f} x; each run {', '.join(f'{t:.2f}' for t in times)} s")
    print("  " + "; ".join(f"{name} {spent:.2f} s" for name, spent in steps.items() if spent >= 0.05))


TOUR = """version: 1
title: A season
venues: [thrust-220, proscenium-420, convention-aisle, street-circle]
scenes: [stage.yaml, pitch.yaml]
"""


def tour() -> None:
    """Two acts in four ready venues, as a tour with one process of one thread and with two; no results kept before.

    Nominal pairs are eyes x patches x poses x head positions; most are settled without a ray of their own.
    """
    import tempfile

    from sightline.tour.plan import read_plan
    from sightline.tour.run import Where, run
    from sightline.tour.store import Store
    from sightline.tour.table import COLUMNS, as_csv, table

    with tempfile.TemporaryDirectory() as folder:
        for name in ("stage", "pitch"):
            text = (REPOSITORY / "examples" / f"courier-{name}-mended.yaml").read_text(encoding="utf-8")
            (Path(folder) / f"{name}.yaml").write_text(text, encoding="utf-8")
        path = Path(folder) / "tour.yaml"
        path.write_text(TOUR, encoding="utf-8")
        plan = read_plan(path)
        pairs = [_nominal(point, folder) for point in plan.points()]
        os.environ["SIGHTLINE_THREADS"] = "1"
        took, spent, tables, seconds = {}, {}, [], []
        for workers in (1, 2):
            start, begun = time.perf_counter(), _cpu()
            ran = run(plan, Store(Path(folder) / f"state {workers}"), Where(workers))
            took[workers], spent[workers] = time.perf_counter() - start, _cpu() - begun
            tables.append(as_csv(table(ran), COLUMNS))
            seconds.append([result["seconds"] for result in ran.looked.values()])
        del os.environ["SIGHTLINE_THREADS"]
        start = time.perf_counter()
        again = run(plan, Store(Path(folder) / "state 1"), Where(1))
        kept = time.perf_counter() - start
        rows = table(ran)
    load = ", ".join(f"{x:.1f}" for x in os.getloadavg())
    same = "the same table" if tables[0] == tables[1] else "DIFFERENT TABLES"
    print(f"tour: {len(pairs)} points, {sum(row['eyes'] or 0 for row in rows)} eyes, {same}; load average {load}")
    for point, count, lasted in zip(plan.points(), pairs, seconds[0], strict=True):
        name = f"{plan.stops[point.stop].name}, {plan.variants[point.variant].name}"
        print(f"  {name:26} {count / 1e6:8.1f} M pairs  {lasted:6.2f} s")
    each, pair = spent[1] / len(pairs), spent[1] / sum(pairs) * 1e9
    print(
        f"  one process, one thread {took[1]:6.1f} s, {spent[1]:.1f} s of a core: {each:.2f} a point, {pair:.0f} ns a nominal pair"
    )
    print(
        f"  two processes           {took[2]:6.1f} s, {spent[2]:.1f} s of a core, their start included: {took[1] / took[2]:.2f} x"
    )
    print(f"  once more, {again.kept} results kept {kept:6.2f} s")


def _cpu() -> float:
    """Seconds of a core that this process and its ended children have used: nearly the same on a crowded machine."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def _nominal(point: Any, folder: str) -> int:
    """Eyes x patches x poses x head positions of one point."""
    from sightline.scene.reading import scene_from_text
    from sightline.sight.scenery import Scenery
    from sightline.staging import stage

    moment = stage(scene_from_text(point.scene_text(), point.file, Path(folder)))
    scenery = Scenery(moment)
    patches = sum(
        scenery.prepared(secret, i).count
        for i, pose in enumerate(moment.poses)
        for secret in (*moment.still.secrets, *pose.secrets)
    )
    return len(moment.eyes) * patches * 5


def fields() -> None:
    """Fields against exact rays on 300 random placements of both examples at 32, 64 and 128 cells a side."""
    from tests.sight.field_probe import compare, placing_of, random_placements

    for name in ("courier-stage-mended", "courier-pitch-mended"):
        for side in (32, 64, 128):
            found = compare(placing_of(name, side), random_placements(name, 300, 7), verdicts=side == 64)
            print(
                f"fields: {name}, {side} a side: {found.wrong} of {found.settled} pairs called hidden are seen "
                f"({1e5 * found.wrong / max(found.settled, 1):.2f} in 100,000; {found.settled / found.pairs:.0%} of all)"
            )
            if side == 64:
                alone = found.unequal_by_field_alone / (found.verdicts / 5)
                print(
                    f"  verdicts with the exact fall-back: {found.unequal} of {found.verdicts} differ; by fields alone "
                    f"{alone:.1%} of eyes differ in whether they see anything"
                )


def memory() -> None:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"peak memory of this process, Open3D included: {peak:.2f} GB (sightline alone is to stay under 1 GB)")


ALL = {
    "start-up": start_up,
    "example": example,
    "pairs": pairs,
    "placements": placements,
    "rehearsal": rehearsal,
    "pattern": pattern,
    "tour": tour,
}
# Only when asked for by name: they take many minutes.
MORE = {"fields": fields, "arena": arena}

if __name__ == "__main__":
    for name in sys.argv[1:] or ALL:
        (ALL | MORE)[name]()
    memory()
