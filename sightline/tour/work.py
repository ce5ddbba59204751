"""What a worker does: lay out the tour's files once, work out points one by one, and keep each as soon as it is there."""

from __future__ import annotations

import atexit
import json
import os
import shutil
import tempfile
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sightline.errors import SightlineError
from sightline.scene.wholefiles import lay_out
from sightline.tour.bundle import digest_of
from sightline.tour.plan import problem_words
from sightline.tour.point import Point
from sightline.tour.program import Program, here, refuse_other
from sightline.tour.store import Result, Store

# What is laid out in this process, by digest; and the last act that was put together, by thread.
_LAID_OUT: dict[str, Path] = {}
_LOCK = threading.Lock()
_LAST: dict[int, tuple[Any, Any]] = {}


@atexit.register
def _forget() -> None:
    """Let go of what was put together: the library of solids complains of those that outlive it."""
    import gc

    _LAST.clear()
    gc.collect()


@dataclass(frozen=True)
class Task:
    """Points for one worker; `program` is the one that asks. With `state` each result is kept in that folder at once."""

    points: tuple[Point, ...]
    program: Program
    state: str | None = None


def work(task: Task, files: Mapping[str, bytes] | None, folder: str | None = None) -> list[Result]:
    """The results of all points, in their order. The tour's files come along, or lie in `folder` already.

    Raises OtherProgramError. A point that cannot be worked out is a result with its `error`.
    """
    if folder is None:
        # A process of this machine's own pool is of the same program.
        refuse_other(here(), _place(), task.program)
    root = Path(folder) if folder is not None else laid_out(files or {})
    store = Store(Path(task.state)) if task.state is not None else None
    return [_kept(point, root, task.program.name, store) for point in task.points]


def laid_out(files: Mapping[str, bytes]) -> Path:
    """A folder with these files, made once in a process and gone with it."""
    name = digest_of(files)
    with _LOCK:
        if name not in _LAID_OUT:
            made = Path(tempfile.mkdtemp(prefix="sightline-tour-")).resolve()
            atexit.register(shutil.rmtree, made, ignore_errors=True)
            lay_out(files, made)
            _LAID_OUT[name] = made
        return _LAID_OUT[name]


def _place() -> str:
    import socket

    return f"{socket.gethostname()}, process {os.getpid()}"


def _kept(point: Point, root: Path, program: str, store: Store | None) -> Result:
    name = point.key(program)
    found = store.fetch(name) if store is not None else None
    if found is not None:
        return found
    result = result_of(point, root)
    if store is not None and result["error"] is None:
        store.store(name, result)
    return result


def result_of(point: Point, root: Path) -> Result:
    """One point worked out; whatever fails is its `error`, and nobody else's. `seconds` is how long it took."""
    start = time.perf_counter()
    try:
        found: dict[str, Any] = _worked_out(point, root)
        error = None
    except SightlineError as wrong:
        found, error = {"rows": []}, problem_words(wrong)
    except MemoryError:
        found, error = {"rows": []}, "There was not enough memory for this."
    except Exception as defect:
        # A defect of ours in one venue must not take the other ones along.
        found, error = {"rows": []}, f"A defect of this program: {type(defect).__name__}: {defect}"
    said = None if error is None else error.replace(f"{root}/", "").replace(str(root), "")
    # As it comes back from where it is kept.
    whole: Result = json.loads(json.dumps({**found, "error": said, "seconds": round(time.perf_counter() - start, 3)}))
    return whole


def _worked_out(point: Point, root: Path) -> Result:
    from sightline.scene.reading import scene_from_text
    from sightline.tour.looking import Act
    from sightline.tour.retarget import retarget

    if point.kind == "retarget":
        return retarget(scene_from_text(point.scene_text(), point.file, (root / point.file).parent, root))
    thread, key = threading.get_ident(), (str(root), *point.act, point.look)
    if _LAST.get(thread, (None, None))[0] != key:
        written = scene_from_text(point.scene_text(), point.file, (root / point.file).parent, root)
        _LAST[thread] = (key, Act(written, point.look))
    act: Act = _LAST[thread][1]
    return act.meant() if point.stray is None else act.strayed(point.stray)
