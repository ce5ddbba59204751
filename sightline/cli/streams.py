"""stdin, stdout and stderr as a program may find them: closed, full, cut off, or of an alphabet that lacks our letters."""

from __future__ import annotations

import errno
import io
import os
import signal
import sys
from contextlib import suppress
from typing import NoReturn

from sightline.cli.say import tell
from sightline.errors import SightlineError

STOPPED = 130


class Result(io.TextIOWrapper):
    """stdout: what its alphabet lacks is escaped, and a full disk is told in a sentence."""

    def write(self, text: str) -> int:
        try:
            return super().write(text)
        except OSError as error:
            raise _told(error) from error

    def flush(self) -> None:
        try:
            super().flush()
        except OSError as error:
            raise _told(error) from error


def _told(error: OSError) -> Exception:
    """A reader that went away ends the work in silence; anything else is told."""
    silence(1)
    return error if error.errno == errno.EPIPE else SightlineError(f"The result cannot be printed: {error.strerror}.")


def ready() -> None:
    """Make the three streams fit to be written to, whatever they are. A closed one is as one that nobody reads."""
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is None:
            silence(number)
            setattr(sys, name, open(number, "w" if number else "r", encoding="utf-8", closefd=False))  # noqa: SIM115 - stays open to the end
    # A test may have put something else there.
    if sys.stdout is sys.__stdout__ and isinstance(sys.stdout, io.TextIOWrapper):
        plain = sys.stdout
        encoding, lines, through = plain.encoding, plain.line_buffering, plain.write_through
        sys.stdout = Result(plain.detach(), encoding, "backslashreplace", line_buffering=lines, write_through=through)


def silence(number: int) -> None:
    """Let what is still to come on a stream go nowhere, so that nothing complains of it at the very end."""
    with suppress(OSError):
        nowhere = os.open(os.devnull, os.O_RDWR)
        if nowhere != number:
            os.dup2(nowhere, number)
            os.close(nowhere)


def stopped() -> NoReturn:
    """End after Ctrl-C: on a line of its own, with 130. Another Ctrl-C while things are put away ends it at once."""
    with suppress(ValueError):
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    tell("\nsightline: stopped.")
    if "concurrent.futures.process" in sys.modules:
        _end_with_processes()
    sys.exit(STOPPED)


def _end_with_processes() -> NoReturn:
    """End at once where there were processes: the pool's own farewell may write to a pipe that is closed already."""
    import atexit
    import multiprocessing

    for process in multiprocessing.active_children():
        process.kill()
    with suppress(OSError, SightlineError):
        sys.stdout.flush()
    atexit._run_exitfuncs()
    os._exit(STOPPED)
