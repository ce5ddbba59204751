"""A worker that is ended by some points, as one that runs out of memory is."""

from __future__ import annotations

import os
import signal
from collections.abc import Mapping

from sightline.tour.store import Result
from sightline.tour.work import Task, work


def work_or_die(task: Task, files: Mapping[str, bytes] | None, folder: str | None = None) -> list[Result]:
    if any(edit.value == "poison" for point in task.points for edit in point.edits):
        os.kill(os.getpid(), signal.SIGKILL)
    return work(task, files, folder)
