"""Ctrl-C: remembered as soon as it comes, and ended by without Python's own farewell.

An exception alone is not enough. One that falls into the making of a model or class comes out as another error, one that falls
into code made of a text ends the process by the signal whatever exit code was asked for, and Python's last steps may
meet a thread that still casts rays.
"""

from __future__ import annotations

import atexit
import os
import signal
import sys
from contextlib import suppress
from types import FrameType
from typing import NoReturn

from sightline.errors import SightlineError

STOPPED = 130
_pressed = False


def listen() -> None:
    """Remember Ctrl-C from here on. Where it is ignored, as in a shell's background job, it stays so."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _press)


def _press(_number: int, _frame: FrameType | None) -> NoReturn:
    """Another one, while things are put away or if this one is lost, ends the process at once."""
    global _pressed
    _pressed = True
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    raise KeyboardInterrupt


def by_control_c(error: BaseException) -> bool:
    """Whether what has come up to the top is due to Ctrl-C, whatever became of it on the way."""
    return _pressed or isinstance(error, KeyboardInterrupt)


def stop() -> NoReturn:
    """End with 130 after a line of its own; our own processes are ended, and what was registered for the end is done."""
    with suppress(OSError, ValueError, AttributeError):
        sys.stderr.write("\nsightline: stopped.\n")
        sys.stderr.flush()
    processes = sys.modules.get("multiprocessing")
    for process in processes.active_children() if processes else ():
        process.kill()
    with suppress(OSError, ValueError, AttributeError, SightlineError):
        sys.stdout.flush()
    atexit._run_exitfuncs()
    os._exit(STOPPED)
