"""Files and folders written whole or not at all: under another name beside the target, which then takes its name.

What a killed run leaves is such a name, hidden and with the number of its process in it (`.NAME.PROCESS.part`). The next
run that writes to the same target clears it away; nothing ever takes it for a result.
"""

from __future__ import annotations

import ctypes
import errno
import os
import re
import shutil
import stat
import sys
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path, PurePosixPath

# So much of the target's own name is in that of the one written first, so that it is never too long for the disk.
PART_NAME = 40
# renameat2 of Linux: relative to the working folder; exchange both names.
_AT_FDCWD, _EXCHANGE = -100, 2
# What a disk says that cannot give a file a second name: memory sticks, some shares.
_NO_LINKS = {errno.EPERM, errno.EACCES, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EMLINK, errno.EXDEV}
_NO_EXCHANGE = {errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM}


def part_of(target: Path, number: int = 0, ending: str = "part") -> Path:
    """The name under which this process writes a target first; `number` tells several of one run apart."""
    return target.with_name(f".{target.name[:PART_NAME]}.{os.getpid()}{f'-{number}' if number else ''}.{ending}")


def leavings(target: Path, ending: str = "part") -> list[Path]:
    """What runs that were killed left beside a target; not what a process writes that is still there."""
    named = re.compile(rf"\.{re.escape(target.name[:PART_NAME])}\.([0-9]{{1,10}})(-[0-9]+)?\.{ending}", re.ASCII)
    found = []
    with suppress(OSError):
        for name in sorted(os.listdir(target.parent)):
            match = named.fullmatch(name)
            if match and not _at_work(int(match[1])):
                found.append(target.with_name(name))
    return found


def _at_work(number: int) -> bool:
    """Whether another process of this number is there. Windows has no harmless way to ask: there it counts as there."""
    if number == os.getpid():
        return False
    if os.name == "nt":
        return True
    try:
        os.kill(number, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


def recover(target: Path) -> None:
    """Clear away what killed runs left of a target; a folder that one had just moved aside gets its name back."""
    for old in leavings(target, "old"):
        with suppress(OSError):
            if not target.exists() and not target.is_symlink():
                old.rename(target)
    for left in (*leavings(target), *leavings(target, "old")):
        if left.is_dir() and not left.is_symlink():
            shutil.rmtree(left, ignore_errors=True)
        else:
            with suppress(OSError):
                left.unlink()


def write_files(files: Mapping[Path, bytes], force: bool) -> None:
    """Write files; none takes its name before all are on the disk. One that is there is replaced only with `force`.

    Each is whole at every moment. Raises OSError, FileExistsError among them; then those that were there are as they
    were, unless the disk refused only while names were taken. A replaced file keeps its permissions.
    """
    parts = [(part_of(target, number), target) for number, target in enumerate(files)]
    for target in files:
        recover(target)
    try:
        for part, target in parts:
            with open(part, "xb") as file:
                file.write(files[target])
            if force and target.is_file():
                with suppress(OSError):
                    part.chmod(stat.S_IMODE(target.stat().st_mode))
        _take_names(parts, force)
    finally:
        for part, _ in parts:
            # A disk that may only be read refuses even this.
            with suppress(OSError):
                part.unlink()


def _take_names(parts: Sequence[tuple[Path, Path]], force: bool) -> None:
    """Give all their names; new ones are taken back where one of them cannot be given."""
    given: list[Path] = []
    try:
        for part, target in parts:
            if force:
                part.replace(target)
            else:
                _take_new(part, target)
                given.append(target)
    except BaseException:
        for target in given:
            target.unlink(missing_ok=True)
        raise


def _take_new(part: Path, target: Path) -> None:
    """Give a name that nothing has; FileExistsError where something does, even since it was last looked at."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if target.exists() or target.is_symlink():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from error
        part.rename(target)


def write_folder(
    out: Path, files: Mapping[str, bytes], force: bool, last: Callable[[Path], None] | None = None
) -> None:
    """Write all files by their paths below a folder, which is replaced as a whole only with `force`.

    `last` is told where they lie before the folder takes its name, and may refuse. Raises OSError, and ValueError for
    a path that leads out; what was there before then stays.
    """
    recover(out)
    part = part_of(out)
    try:
        part.mkdir()
        lay_out(files, part)
        if last is not None:
            last(part)
        if force and out.is_dir() and not out.is_symlink():
            _replace_folder(part, out)
        else:
            part.rename(out)
    finally:
        shutil.rmtree(part, ignore_errors=True)


def lay_out(files: Mapping[str, bytes], folder: Path) -> None:
    """Write files below a folder that is there. Raises ValueError for a name that leads out of it."""
    for name, data in files.items():
        path = PurePosixPath(name)
        if path.is_absolute() or ".." in path.parts:
            raise ValueError(name)
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)


def _replace_folder(part: Path, out: Path) -> None:
    """The new folder takes the name of the old one, which then lies where the new one was, or is gone."""
    if exchanged(part, out):
        return
    old = part_of(out, ending="old")
    out.rename(old)
    try:
        part.rename(out)
    except BaseException:
        with suppress(OSError):
            old.rename(out)
        raise
    shutil.rmtree(old, ignore_errors=True)


def exchanged(one: Path, other: Path) -> bool:
    """Exchange two names in one step; False where this machine or disk cannot. Raises OSError."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    if rename(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), ctypes.c_uint(_EXCHANGE)) == 0:
        return True
    number = ctypes.get_errno()
    if number in _NO_EXCHANGE:
        return False
    raise OSError(number, os.strerror(number), str(one), None, str(other))
