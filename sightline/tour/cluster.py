"""The tour on a Dask cluster that is there already, by its scheduler's address. Who can reach it can run code on it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from sightline.errors import SightlineError
from sightline.tour.bundle import Bundle
from sightline.tour.point import Point, batches
from sightline.tour.pool import Done, died
from sightline.tour.program import OtherProgramError, Program, here, refuse_other
from sightline.tour.work import Task, work

# A scheduler that is there answers at once; whoever types a wrong address should not wait.
REACHED_S, WORKERS_S = 4.0, 4.0
_ADDRESS = re.compile(r"(?P<how>(?:tcp|tls|wss?)://)?(?P<host>[^\s/:@]+|\[[0-9A-Fa-f:.]+\]):(?P<port>\d{1,5})/?")
KEPT = "What is done is kept: run it again to go on."


def on_cluster(points: Sequence[Point], bundle: Bundle, program: Program, address: str, done: Done) -> None:
    """Work all points out on the cluster; `done` is told each as it is there, in no certain order.

    Raises SightlineError for a scheduler that does not answer, has no workers, or whose workers run another program.
    """
    client = _client(address)
    try:
        hands = _hands(client, address, program)
        # Sent once to every worker that needs them, not with every task.
        files = client.scatter(bundle.files, hash=True, direct=False)
        parts = batches(points, hands)
        futures = {
            client.submit(
                work, Task(part, program), files, pure=False, key=f"sightline-{program.source}-{n}-{_token()}"
            ): part
            for n, part in enumerate(parts)
        }
        _gather(client, futures, done, address)
    except (OSError, _lost()) as error:
        raise SightlineError(f"The connection to the cluster at {address} was lost. {KEPT}") from error
    finally:
        _close(client)


def _gather(client: Any, futures: dict[Any, tuple[Point, ...]], done: Done, address: str) -> None:
    from importlib import import_module

    from distributed.scheduler import KilledWorker

    distributed: Any = import_module("distributed")
    for future in distributed.as_completed(list(futures), loop=client.loop):
        part = futures[future]
        if future.status == "finished":
            for point, result in zip(part, future.result(), strict=True):
                done(point, result)
            # Let go, or the cluster holds every result until the end.
            future.release()
            continue
        error = future.exception() if future.status == "error" else None
        if isinstance(error, KilledWorker):
            for point in part:
                done(point, died(point))
        elif isinstance(error, SightlineError):
            raise error
        elif error is None:
            raise SightlineError(f"The cluster at {address} gave the work up. {KEPT}")
        else:
            raise SightlineError(
                f"A worker of the cluster at {address} failed: {type(error).__name__}: {error}. {KEPT}"
            ) from error


def _client(address: str) -> Any:
    import logging
    from importlib import import_module

    _reach(address)
    try:
        distributed: Any = import_module("distributed")
    except ImportError as error:
        raise SightlineError("--cluster needs Dask; install it with: pip install 'sightline[cluster]'.") from error
    # What it would say of lost connections we say ourselves.
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    try:
        return distributed.Client(address, timeout=REACHED_S, set_as_default=False)
    except (OSError, TimeoutError) as error:
        raise SightlineError(
            f"What answers at '{address}' is no Dask scheduler that this machine can talk to."
        ) from error


def _reach(address: str) -> None:
    """Raises SightlineError where nothing answers at the address, or it is none."""
    import socket

    found = _ADDRESS.fullmatch(address.strip())
    if found is None or not 0 < int(found["port"]) < 65536:
        raise SightlineError(
            f"'{address}' is no address of a scheduler; write it as tcp://HOST:8786, as it prints when it starts."
        )
    try:
        with socket.create_connection((found["host"].strip("[]"), int(found["port"])), REACHED_S) as link:
            # A scheduler speaks first; what waits for us to speak is something else, and Dask would wait with it.
            link.settimeout(REACHED_S)
            speaks = found["how"] not in (None, "tcp://") or bool(link.recv(1))
    except TimeoutError:
        speaks = False
    except OSError as error:
        raise SightlineError(
            f"No scheduler answers at '{address}' ({error.strerror or error}). Is it running, and is that its address?"
        ) from error
    if not speaks:
        raise SightlineError(f"No scheduler answers at '{address}' within {REACHED_S:g} s: is that its address?")


def _hands(client: Any, address: str, program: Program) -> int:
    """How many tasks the cluster works on at a time. Raises SightlineError where a worker cannot do the work."""
    try:
        client.wait_for_workers(1, timeout=WORKERS_S)
    except TimeoutError as error:
        raise SightlineError(f"The scheduler at {address} answers, but no workers have joined it.") from error
    found = client.run(here, on_error="return")
    for where in sorted(found):
        if isinstance(found[where], Program):
            refuse_other(found[where], f"at {where}", program)
        else:
            raise OtherProgramError(
                f"The worker at {where} has no sightline {program.version} that it could run: {found[where]}."
            )
    return sum(int(count) for count in client.nthreads().values()) or 1


def _lost() -> type[Exception]:
    from distributed.comm.core import CommClosedError

    lost: type[Exception] = CommClosedError
    return lost


def _token() -> str:
    """Another name for every run: tasks of an older one that was killed are not taken for ours."""
    import uuid

    return uuid.uuid4().hex[:8]


def _close(client: Any) -> None:
    from contextlib import suppress

    with suppress(Exception):
        client.close(timeout=2)
