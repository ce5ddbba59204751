"""stdin, stdout and stderr as a program may find them: closed, full, cut off, or of an alphabet that lacks our letters."""

from __future__ import annotations

import errno
import io
import os
import sys
from contextlib import suppress

from sightline.errors import SightlineError


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
