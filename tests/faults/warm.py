"""A process with all libraries loaded that forks a child for each command: a run costs its work, not its imports.

Jobs come as lines of JSON on stdin, answers go as lines of JSON to stdout. No ray is cast in the process that forks, so
that no thread of a library is lost in a child.
"""

from __future__ import annotations

import gc
import io
import json
import os
import pkgutil
import pwd
import resource
import signal
import sys
import time
import traceback
from importlib import import_module
from pathlib import Path
from typing import Any

LIBRARIES = (
    "embreex.rtcore_scene", "embreex.mesh_construction", "ezdxf", "jinja2", "manifold3d", "matplotlib.figure",
    "matplotlib.backends.backend_agg", "matplotlib.backends.backend_pdf", "matplotlib.backends.backend_svg",
    "matplotlib.font_manager", "platformdirs", "reportlab.pdfgen.canvas", "scipy.optimize", "scipy.sparse.linalg",
    "scipy.spatial", "scipy.special", "scipy.stats", "shapely", "shapely.ops", "threadpoolctl", "trimesh", "trimesh.boolean",
)  # fmt: skip


def load() -> None:
    """Import every module of the program and the libraries that it imports when a command needs them."""
    import sightline

    for found in pkgutil.walk_packages(sightline.__path__, "sightline."):
        if not found.name.endswith("__main__"):
            import_module(found.name)
    for name in LIBRARIES:
        import_module(name)
    gc.collect()
    gc.freeze()


def child(job: dict[str, Any]) -> None:
    """Run one command as the program would, in the process that was forked for it. Never returns."""
    code = 70
    try:
        os.setsid()
        os.environ.clear()
        os.environ.update(job["env"])
        time.tzset()
        os.chdir(job["cwd"])
        os.umask(job["umask"])
        for number, name in ((0, os.devnull), (1, job["stdout"]), (2, job["stderr"])):
            flags = os.O_RDONLY if number == 0 else os.O_WRONLY | os.O_CREAT | os.O_TRUNC
            opened = os.open(name, flags, 0o666)
            os.dup2(opened, number)
            os.close(opened)
        sys.stdin = io.TextIOWrapper(io.FileIO(0, closefd=False), encoding="utf-8")
        sys.stdout = io.TextIOWrapper(
            io.BufferedWriter(io.FileIO(1, "w", closefd=False)), encoding=job.get("encoding", "utf-8")
        )
        # As for a program that has just begun.
        sys.__stdout__ = sys.stdout  # type: ignore[misc]
        sys.stderr = io.TextIOWrapper(
            io.BufferedWriter(io.FileIO(2, "w", closefd=False)),
            encoding="utf-8", errors="backslashreplace", line_buffering=True,
        )  # fmt: skip
        if job.get("back_s"):
            real = time.time
            time.time = lambda: real() - job["back_s"]
        if job.get("most_bytes") is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (job["most_bytes"], job["most_bytes"]))
        from tests.faults.points import install

        install(job)
        if job.get("unknown_user"):
            pwd.getpwuid = nobody
        code = run(job["argv"])
    except BaseException:
        traceback.print_exc()
    finally:
        try:
            sys.stdout.flush()
            sys.stderr.flush()
        finally:
            os._exit(code)


def nobody(number: int) -> Any:
    """As for a user who stands in no table of users."""
    raise KeyError(f"getpwuid(): uid not found: {number}")


def run(argv: list[str]) -> int:
    """The exit code of a command; a traceback on stderr and 70 where it ends in one."""
    import atexit

    from sightline.cli.main import main

    sys.argv = ["sightline", *argv]
    try:
        main()
        code: Any = 0
    except SystemExit as left:
        code = left.code
    except BaseException:
        traceback.print_exc()
        code = 70
    atexit._run_exitfuncs()
    return code if isinstance(code, int) else 0 if code is None else 1


def serve() -> None:
    load()
    answers = os.fdopen(os.dup(1), "w")
    answers.write("ready\n")
    answers.flush()
    for line in sys.stdin:
        job = json.loads(line)
        started = time.monotonic()
        number = os.fork()
        if number == 0:
            child(job)
        if job.get("kill_after_s") is not None:
            status = ended_by(number, started + job["kill_after_s"])
        else:
            _, status, used = os.wait4(number, 0)
            if "COSTS" in os.environ:
                sys.stderr.write(f"{used.ru_utime + used.ru_stime:.2f} s: {' '.join(job['argv'])}\n")
        answers.write(
            json.dumps({"code": os.waitstatus_to_exitcode(status), "seconds": time.monotonic() - started}) + "\n"
        )
        answers.flush()


def ended_by(number: int, when: float) -> int:
    """The status of a child that is killed at a time, unless it has ended by then."""
    while True:
        found, status = os.waitpid(number, os.WNOHANG)
        if found:
            return status
        left = when - time.monotonic()
        if left <= 0:
            os.kill(number, signal.SIGKILL)
            return os.waitpid(number, 0)[1]
        time.sleep(min(left, 0.002))


if __name__ == "__main__":
    # Found from the repository's top, where this is started.
    sys.path.insert(0, str(Path(__file__).parent.parent.parent))
    serve()
