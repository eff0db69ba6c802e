"""The phones that joined today: each has a name and a cookie of its own, is thrown out alone, and counts its tries.

Wrong PINs are counted of the phone first: it waits longer after each, after five it is out and must scan the code
again, and only then one wrong try is counted of the person. So a phone locks nobody out of the laptop, and cannot go on
guessing.
The list lies in the laboratory's folder, readable by its owner, and goes when the bench is closed.
"""

import fcntl
import json
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from stillroom.actions.book.laboratory import Laboratory
from stillroom.errors import BadEntry, NotAllowed, UnknownName, worded
from stillroom.records.written_values import one_line
from stillroom.texts.catalogue import t

JOINED_FILE = "phones.joined"
LOCK_FILE = "phones.lock"
LONGEST_NAME = 60
TRIES_OF_A_PHONE = 5
MOST_PHONES = 200
"""Joined in a day; the code is on a screen, and nobody has more. [1]"""
_SYSTEMS = ("iPhone", "iPad", "Android", "Windows", "Macintosh", "Linux")


@dataclass(frozen=True, slots=True)
class JoinedPhone:
    """A phone that scanned the code."""

    key: str
    """What its cookie holds."""
    name: str
    """What it is called on the laptop."""
    joined_at: str
    """ISO time."""
    wrong_tries: int = 0
    """PINs tried wrongly on it since the last right one."""
    not_before: str = ""
    """No PIN is looked at before this time (ISO, UTC); "" when one is at once."""
    out: bool = False
    """Whether it was thrown out, or threw itself out."""


def phones_joined(lab: Laboratory) -> tuple[JoinedPhone, ...]:
    """The phones of today that are in, in the order they came."""
    today = lab.clock().date().isoformat()
    return tuple(one for one in _read(lab) if not one.out and one.joined_at[:10] == today)


def phone_joins(lab: Laboratory, browser: str) -> JoinedPhone:
    """Take a phone in under a name that nobody else has today.

    Parameters
    ----------
    browser : str
        What its browser says of itself; only the kind of system is kept of it.

    Raises
    ------
    NotAllowed
        So many have joined today that somebody is making them up.
    """
    now = lab.clock().isoformat(timespec="seconds")
    with _one_at_a_time(lab):
        found = [one for one in _read(lab) if one.joined_at[:10] == now[:10]]
        if len(found) >= MOST_PHONES:
            raise NotAllowed(
                worded("At most {most} phones join in a day", most=MOST_PHONES),
                "one more",
                "Close the bench to phones, and open it again",
            )
        system = next((one for one in _SYSTEMS if one in browser[:400]), "")
        number = t("Phone {number}", number=len(found) + 1)
        name = f"{number}, {system}" if system else number
        joined = JoinedPhone(secrets.token_hex(8), name, now)
        _write(lab, (*found, joined))
    return joined


def is_in(lab: Laboratory, key: str) -> bool:
    """Whether the phone with a key joined today and was not thrown out."""
    return any(secrets.compare_digest(one.key, key) for one in phones_joined(lab))


def throw_out(lab: Laboratory, key: str) -> str:
    """Throw one phone out, and leave the others in.

    Raises
    ------
    UnknownName
        No phone that is in has this key.
    """
    known = {one.key: one for one in phones_joined(lab)}
    if key not in known:
        raise UnknownName("This phone is not at the bench", do="Look at the list again")
    _change(lab, key, out=True)
    return t("{name} is out; the others stay in.", name=known[key].name)


def rename_phone(lab: Laboratory, key: str, name: str) -> str:
    """Call a phone otherwise.

    Parameters
    ----------
    key : str
        Of a phone that is in.
    name : str
        That no other phone has today.

    Raises
    ------
    UnknownName
        No phone that is in has this key.
    BadEntry
        The name is none, or another phone has it.
    """
    called = one_line(name, "name")[:LONGEST_NAME]
    known = {one.key: one for one in phones_joined(lab)}
    if key not in known:
        raise UnknownName("This phone is not at the bench", do="Look at the list again")
    if called.casefold() in [one.name.casefold() for one in known.values() if one.key != key]:
        raise BadEntry("Every phone has a name of its own", repr(called), "Choose another", where="name")
    _change(lab, key, name=called)
    return t("{before} is called {name} from now on.", before=known[key].name, name=called)


def all_out(lab: Laboratory) -> None:
    """Forget every phone."""
    _path(lab).unlink(missing_ok=True)


def count_a_try_of(lab: Laboratory, key: str) -> int:
    """Count a PIN as a wrong one before it is looked at; how many that makes on this phone. [1].

    Raises
    ------
    NotAllowed
        It was tried too early, or the phone is out.
    """
    now = lab.clock().astimezone(UTC)
    with _one_at_a_time(lab):
        phone = next((one for one in phones_joined(lab) if one.key == key), None)
        if phone is None:
            raise NotAllowed(
                "A phone signs while it is at the bench", "one that is out", "Scan the code again"
            )
        if phone.not_before:
            left_s = (datetime.fromisoformat(phone.not_before) - now).total_seconds()
            if 0 < left_s <= 2.0 ** (phone.wrong_tries - 1):
                raise NotAllowed(
                    "After a wrong PIN the next try counts only after a while",
                    worded("one {early_s:.0f} s too early", early_s=max(1.0, left_s)),
                    "Wait, then type it once more",
                    where="pin",
                )
        tries = phone.wrong_tries + 1
        waits = (now + timedelta(seconds=2 ** (tries - 1))).isoformat()
        _write(lab, [replace(one, wrong_tries=tries, not_before=waits, out=tries >= TRIES_OF_A_PHONE)
                     if one.key == key else one for one in _read(lab)])  # fmt: skip
    return tries


def forgive(lab: Laboratory, key: str) -> None:
    """Begin to count again on a phone: the PIN was right."""
    _change(lab, key, wrong_tries=0, not_before="", out=False)


def _change(lab: Laboratory, key: str, **more: object) -> None:
    with _one_at_a_time(lab):
        _write(lab, [replace(one, **more) if one.key == key else one for one in _read(lab)])  # type: ignore[arg-type]


@contextmanager
def _one_at_a_time(lab: Laboratory) -> Iterator[None]:
    """Only one changes the list at a time: the laptop, or the process that hears phones."""
    with (lab.folder / LOCK_FILE).open("a") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


def _path(lab: Laboratory) -> Path:
    return lab.folder / JOINED_FILE


def _read(lab: Laboratory) -> list[JoinedPhone]:
    try:
        return [JoinedPhone(**one) for one in json.loads(_path(lab).read_text(encoding="utf-8"))]
    except (OSError, ValueError, TypeError):
        return []


def _write(lab: Laboratory, phones: "list[JoinedPhone] | tuple[JoinedPhone, ...]") -> None:
    path = _path(lab)
    half = path.with_name(f"{path.name}.{os.getpid()}.half")
    half.unlink(missing_ok=True)
    handle = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        json.dump([asdict(one) for one in phones], file)
    half.replace(path)
