"""The tour on this machine: one process for each core, and none of the work lost when one of them is killed."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from multiprocessing.process import BaseProcess

from sightline.tour.bundle import Bundle
from sightline.tour.point import Point, batches
from sightline.tour.program import Program
from sightline.tour.store import Result
from sightline.tour.work import Task, laid_out, work

Done = Callable[[Point, Result], None]

# A point that was worked on all by itself when a process ended, so often, is what ends them.
MOST_DEATHS = 2
DIED = "The process that worked on it was ended from outside or ran out of memory."


def cores() -> int:
    """How many processes this machine can run side by side."""
    return max(1, len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1)


def died(point: Point) -> Result:
    return {"rows": [], "error": DIED, "seconds": 0.0}


def on_this_machine(
    points: Sequence[Point], bundle: Bundle, program: Program, state: str | None, workers: int, done: Done
) -> None:
    """Work all points out with so many processes; `done` is told each as it is there, in no certain order."""
    folder = str(laid_out(bundle.files))
    if workers <= 1 or len(points) <= 1:
        for point in points:
            done(point, work(Task((point,), program, state), None, folder)[0])
        return
    _Pool(points, folder, program, state, workers, done).run()


class _Pool:
    """Processes, begun anew whenever one of them was killed, until every point is there or has ended too many."""

    def __init__(
        self, points: Sequence[Point], folder: str, program: Program, state: str | None, workers: int, done: Done
    ):
        self.folder, self.program, self.state, self.workers, self.done = folder, program, state, workers, done
        self.left = dict.fromkeys(points)
        # What was worked on when a process ended, and how often that was so with nothing beside it.
        self.deaths: dict[Point, int] = {}

    def run(self) -> None:
        while self.left:
            workers = min(self.workers, len(self.left))
            executor = _executor(workers)
            whole = False
            try:
                whole = self._round(executor, workers)
                if whole:
                    return
            finally:
                processes = list((executor._processes or {}).values())
                executor.shutdown(wait=False, cancel_futures=True)
                _stop(processes, 2.0 if whole else 0.0)

    def _round(self, executor: ProcessPoolExecutor, workers: int) -> bool:
        """Give out what is left; whether all of it came back."""
        clear = [point for point in self.left if point not in self.deaths]
        todo = list(reversed(batches(clear, workers)))
        # What may have ended a process comes last, one at a time, to find out which one it was.
        alone: list[tuple[Point, ...]] = [(point,) for point in reversed(self.left) if point in self.deaths]
        running: dict[Future[list[Result]], tuple[Point, ...]] = {}
        while todo or alone or running:
            if not todo and not running:
                todo, alone, workers = alone, [], 1
            # No more is given out than is worked on, so that it is known what a process had when it was ended.
            while todo and len(running) < workers:
                part = todo.pop()
                try:
                    with _interrupts_kept_off():
                        future = executor.submit(work, Task(part, self.program, self.state), None, self.folder)
                    running[future] = part
                except BrokenProcessPool:
                    self._died(list(running.values()))
                    return False
            finished, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in finished:
                part = running.pop(future)
                try:
                    results = future.result()
                except BrokenProcessPool:
                    self._died([part, *running.values()])
                    return False
                for point, result in zip(part, results, strict=True):
                    self._take(point, result)
        return True

    def _take(self, point: Point, result: Result) -> None:
        if point in self.left:
            del self.left[point]
            self.done(point, result)

    def _died(self, parts: Sequence[tuple[Point, ...]]) -> None:
        points = [point for part in parts for point in part]
        for point in points:
            self.deaths[point] = self.deaths.get(point, 0) + (len(points) == 1)
            if self.deaths[point] >= MOST_DEATHS:
                self._take(point, died(point))


def _executor(workers: int) -> ProcessPoolExecutor:
    import multiprocessing

    each = max(1, cores() // workers)
    return ProcessPoolExecutor(
        workers, mp_context=multiprocessing.get_context("spawn"), initializer=_begin, initargs=(each,)
    )


@contextmanager
def _interrupts_kept_off() -> Iterator[None]:
    """A process begun inside never gets the terminal's Ctrl-C, which is left to the one that asks and reaches it after.

    Otherwise it would complain with a traceback while it is still being loaded.
    """
    import signal
    from multiprocessing import resource_tracker

    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # It lets interrupts in again once it has been begun.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(threads: int) -> None:
    """In a new process: its share of the cores, Ctrl-C left to the one that asks, and no life without it."""
    import atexit
    import signal
    import threading
    from multiprocessing import parent_process
    from multiprocessing.connection import wait as wait_for

    os.environ["SIGHTLINE_THREADS"] = str(threads)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # Nothing is left to tidy up when it ends, and the library of solids would complain that nobody did.
    atexit.register(os._exit, 0)
    parent = parent_process()
    if parent is not None:

        def follow(sentinel: int = parent.sentinel) -> None:
            wait_for([sentinel])
            os._exit(1)

        threading.Thread(target=follow, daemon=True).start()


def _stop(processes: Sequence[BaseProcess], patience_s: float) -> None:
    """See our own processes end: those without work by themselves, the others at once."""
    for process in processes:
        with suppress(OSError, ValueError):
            process.join(patience_s)
            if process.is_alive():
                process.kill()
    for process in processes:
        with suppress(OSError, ValueError):
            process.join(5.0)
