"""A file that has its name only once it is whole: whoever is killed while making one leaves none in its place."""

import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from errno import ENOSPC
from pathlib import Path

from stillroom.errors import BookTrouble, worded

BESIDE = ("", "-wal", "-shm", "-journal")
"""Endings of the files that a database keeps beside the one it was asked for."""
ACKNOWLEDGED = ".head"
"""Ending of the file beside a book that names its last entry: it goes with the book that stood there before."""


@contextmanager
def made_whole(path: Path) -> Iterator[Path]:
    """A nameless file to be filled and closed; it gets its name when the body ends well.

    Parameters
    ----------
    path : Path
        The name it is to have; nothing that stands there is overwritten.

    Raises
    ------
    BookTrouble
        Something stands there already, or the folder does not take a file.
    """
    refuse_standing(path)
    sweep(path)
    half = _half_of(path)
    try:
        path.with_name(path.name + ACKNOWLEDGED).unlink(missing_ok=True)
        half.touch(mode=0o600)
        yield half
        _refuse_log(half)
        reach_disk(half)
        try:
            os.link(half, path)  # refuses a name that is taken, however late somebody took it
        except FileExistsError:
            refuse_standing(path)
        except OSError:  # a file system without links
            refuse_standing(path)
            half.rename(path)
        reach_disk(path.parent)
    except OSError as trouble:
        raise not_taken(path, trouble) from trouble
    finally:
        _forget(half)


@contextmanager
def folder_made_whole(path: Path) -> Iterator[Path]:
    """The same of a folder: a nameless one to be filled, which gets its name when the body ends well.

    Parameters
    ----------
    path : Path
        The name it is to have; nothing that stands there is overwritten.

    Raises
    ------
    BookTrouble
        Something stands there already, or the disk does not take it.
    """
    refuse_standing(path)
    sweep(path)
    half = _half_of(path)
    try:
        half.mkdir(mode=0o700)
        yield half
        refuse_standing(path)
        half.rename(path)
        reach_disk(path.parent)
    except OSError as trouble:
        raise not_taken(path, trouble) from trouble
    finally:
        _forget(half)


def refuse_standing(path: Path) -> None:
    """Nothing is overwritten.

    Raises
    ------
    BookTrouble
        The file is there.
    """
    if path.exists() or path.is_symlink():
        raise BookTrouble(
            "A copy overwrites nothing",
            worded("{path}, which is there already", path=path),
            "Choose another name",
        )


def _refuse_log(half: Path) -> None:
    """A full disk takes the log of a database and not the file it is folded into: that one is not whole."""
    log = half.with_name(f"{half.name}-wal")
    if log.exists() and log.stat().st_size:
        raise not_taken(half, OSError(ENOSPC, os.strerror(ENOSPC)))


def _half_of(path: Path) -> Path:
    return path.with_name(f"{path.name}.{os.getpid()}-{secrets.token_hex(4)}.half")


def not_taken(path: Path, trouble: OSError) -> BookTrouble:
    """What is said where a folder or a disk does not take a file."""
    return BookTrouble(
        "The folder of a book must take what is written",
        f"{path.parent}: {trouble.strerror or trouble}",
        "Make room there, or choose another place",
    )


def sweep(path: Path) -> None:
    """Take away what writers of a file or folder left that are no longer alive.

    Parameters
    ----------
    path : Path
        The name it was to have; what stands under it stays.
    """
    for one in path.parent.glob(f"{path.name}.*.half"):
        number = one.name.removeprefix(f"{path.name}.").partition("-")[0]
        if number.isdigit() and not _is_alive(int(number)):
            with suppress(OSError):  # what cannot be taken away stays, and is in nobody's way
                _forget(one)


def _is_alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def _forget(half: Path) -> None:
    if half.is_dir():
        shutil.rmtree(half, ignore_errors=True)
    for ending in BESIDE:
        half.with_name(half.name + ending).unlink(missing_ok=True)


def reach_disk(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
