"""Which phones may come in: a code to scan that holds for one day and one address, and what a joined phone shows.

Both are a date and a seal made with a secret that only this machine's owner can read. The secret lies in the
laboratory's folder, so that starting the pages anew throws no phone out; closing the bench destroys it, so that
nothing joined before comes in again. A code says nothing about who holds the phone: people sign with their PIN.
"""

import hmac
import os
from base64 import urlsafe_b64encode
from datetime import datetime, timedelta
from hashlib import sha256
from ipaddress import AddressValueError, IPv4Address
from pathlib import Path
from typing import Literal, TypeAlias

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.phones_joined import all_out, is_in, phone_joins
from stillroom.errors import BadEntry, NotAllowed, worded

SECRET_FILE = "phones.secret"
SECRET_BYTES = 32
SEAL_LETTERS = 22  # 132 bits

For: TypeAlias = Literal["join", "stay"]


def own_network_address(text: str) -> str:
    """An address of this machine that only the local network reaches.

    Parameters
    ----------
    text : str
        Such as "192.168.1.20".

    Raises
    ------
    BadEntry
        It is no such address.
    """
    try:
        address = IPv4Address(text.strip())
    except AddressValueError:
        raise BadEntry(
            "The address for phones is four numbers, like 192.168.1.20",
            repr(text[:40]),
            "Look it up in the settings of the network",
            where="address",
        ) from None
    if not near(str(address)) or address.is_unspecified or str(address) == "127.0.0.1":
        raise BadEntry(
            "Phones come in by an address of the local network, never by one the internet reaches",
            str(address),
            "It begins with 192.168, with 10, with 172.16 to 172.31, or with 169.254",
            where="address",
        )
    return str(address)


def near(address: str) -> bool:
    """Whether an address belongs to a network of one's own: private, link-local, or this machine."""
    try:
        one = IPv4Address(address)
    except AddressValueError:
        return False
    return (one.is_private or one.is_link_local) and not one.is_multicast


def join_code(lab: Laboratory, address: str) -> str:
    """The code that lets a phone join today, at this address.

    Parameters
    ----------
    address : str
        Where the phones come in.
    """
    return _sealed("join", _secret(lab, make=True), _today(lab), address)


def must_join(lab: Laboratory, code: str, address: str, browser: str = "") -> str:
    """What a phone that scanned a code shows from now on, until the day is over.

    Parameters
    ----------
    code : str
        As it was scanned.
    address : str
        Where the phone came in.
    browser : str
        What its browser says of itself.

    Raises
    ------
    NotAllowed
        The code is of another day or another bench, or was altered.
    """
    secret, today = _secret(lab), _today(lab)
    day = code.partition(".")[0]
    if secret and day != today and _same(code, _sealed("join", secret, day, address)):
        raise NotAllowed(
            "A code holds for the day it was shown",
            worded("one of {day}", day=day),
            "Scan the one on the laptop's screen",
        )
    if not secret or not _same(code, _sealed("join", secret, today, address)):
        raise NotAllowed(
            "A code must be the one on the laptop's screen", "another one", "Scan it there once more"
        )
    key = phone_joins(lab, browser).key
    return f"{key}.{_sealed('stay', secret, today, f'{address} {key}')}"


def is_joined(lab: Laboratory, shown: str, address: str) -> bool:
    """Whether what a phone shows was given to it today, at this address, and it was not thrown out since."""
    secret, (key, _, seal) = _secret(lab), shown.partition(".")
    fits = bool(secret) and _same(seal, _sealed("stay", secret, _today(lab), f"{address} {key}"))
    return fits and is_in(lab, key)


def phone_of(shown: str) -> str:
    """The key of a phone, from what it shows; the door has asked before whether it is joined."""
    return shown.partition(".")[0]


def close_to_phones(lab: Laboratory) -> None:
    """Throw every phone out: what they show was made with a secret that is gone."""
    _path(lab).unlink(missing_ok=True)
    all_out(lab)


def seconds_of_today_left(lab: Laboratory) -> int:
    """How long a phone that joins now may stay, in s."""
    now = lab.clock()
    midnight = datetime.combine(now.date() + timedelta(days=1), datetime.min.time(), now.tzinfo)
    return max(1, int((midnight - now).total_seconds()))


def _today(lab: Laboratory) -> str:
    return lab.clock().date().isoformat()


def _sealed(what: For, secret: bytes, day: str, address: str) -> str:
    made = hmac.new(secret, "\n".join((what, day, address)).encode(), sha256).digest()
    return f"{day}.{urlsafe_b64encode(made).decode()[:SEAL_LETTERS]}"


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())


def _path(lab: Laboratory) -> Path:
    return lab.folder / SECRET_FILE


def _secret(lab: Laboratory, *, make: bool = False) -> bytes:
    """The secret, readable by its owner only; made when it is asked for, b"" where there is none."""
    path = _path(lab)
    if make and not path.exists():
        half = path.with_name(f"{path.name}.{os.getpid()}.half")
        half.unlink(missing_ok=True)
        handle = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(os.urandom(SECRET_BYTES))
        half.replace(path)
    try:
        found = path.read_bytes()
    except OSError:
        return b""
    return found if len(found) == SECRET_BYTES else b""
