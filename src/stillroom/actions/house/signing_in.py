"""People who come in from elsewhere: a password each, and a session that ends.

A password is kept as argon2 writes it, a session as the seal of a random token. Wrong tries are counted by address and
person together, so that nobody locks anybody else out: each makes the next wait twice as long, a quarter of an hour at
most. An address tries at most so many times in a minute, whoever is tried. At one's own machine nobody signs in.
"""

import hashlib
import secrets
from datetime import UTC, datetime, timedelta

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.duties import holds
from stillroom.actions.house.pins import fits, hash_of
from stillroom.errors import BadEntry, NotAllowed, UnknownName, worded

SHORTEST, LONGEST = 12, 200
SESSION_H = 10.0
"""How long somebody stays signed in. [h]"""
LONGEST_WAIT_S = 900
TRIES_A_MINUTE = 30
"""Tries of an address in a minute, whoever is tried: a house has fewer people. [1]"""
ANYBODY = ""


def set_password(lab: Laboratory, person: str, new: str, *, by: str) -> str:
    """Set or change the password of a person, and sign them out everywhere; one sentence comes back.

    Parameters
    ----------
    person : str
        Who was given duties.
    new : str
        12 to 200 letters.
    by : str
        The person, or an owner; the door has asked who that is.

    Raises
    ------
    BadEntry
        It is too short, too long, or says who it is of.
    NotAllowed
        The person was given no duties, or ``by`` is neither the person nor an owner.
    UnknownName
        There is no such person.
    """
    with lab.look() as look:
        known = {one.code: one.name for one in look.people()}
        given, owns = look.duties(), holds(look, by, "owner")
    for one in (person, by):
        if one not in known:
            raise UnknownName.among(one, "a person", known)
    if by != person and not owns:
        raise NotAllowed("Only the person, or an owner, sets a password", by, "Ask one of them", where="by")
    if person not in given:
        raise NotAllowed(
            "Whoever comes in from elsewhere was given duties",
            worded("{person}, who was given none", person=person),
            "Say first what they do: stillroom duties",
        )
    if not SHORTEST <= len(new) <= LONGEST:
        raise BadEntry(
            worded("A password has {shortest} to {longest} letters", shortest=SHORTEST, longest=LONGEST),
            worded("one of {letters}", letters=len(new)),
            "Take four words that have nothing to do with each other",
            where="new",
        )
    if len(set(new)) < 5 or new.casefold() in (known[person].casefold(), person.casefold()):
        raise BadEntry(
            "A password must not be the first one anybody would try",
            "a name, or few letters over and over",
            "Take four words that have nothing to do with each other",
            where="new",
        )
    hashed = hash_of(new)
    with lab.book.sign_ins() as kept:
        kept.keep_password(person, hashed, by, _now(lab).isoformat(timespec="seconds"))
    return f"{person} signs in with the new password from now on, and is signed out everywhere."


def change_password(lab: Laboratory, person: str, password: str, new: str, address: str) -> None:
    """Another password for whoever is signed in and knows the one so far; they are signed out everywhere.

    Parameters
    ----------
    person : str
        Who is signed in.
    password, new : str
        The one so far, tried and counted as at the door, and the one from now on.
    address : str
        Where the request came from.

    Raises
    ------
    BadEntry
        The password so far is another, or the new one is too short, too long, or says who it is of.
    NotAllowed
        It was tried too early, or too often from this address.
    """
    sign_in(lab, person, password, address)  # the session it begins ends with all others
    set_password(lab, person, new, by=person)


def erase_password(lab: Laboratory, person: str) -> str:
    """Let a person not come in from elsewhere any more, from this moment; one sentence comes back."""
    with lab.book.sign_ins() as kept:
        if kept.password(person) is None:
            raise UnknownName(
                worded("{person!r} has no password", person=person), do="There is nothing to erase"
            )
        kept.erase(person)
    return f"{person} does not come in from elsewhere any more."


def sign_in(lab: Laboratory, person: str, password: str, address: str) -> str:
    """Sign somebody in; the token of the session comes back, and is kept nowhere.

    Parameters
    ----------
    person : str
        Code; one that is not in the book takes the same way and the same time.
    address : str
        Where the request came from.

    Raises
    ------
    BadEntry
        Code and password do not belong together.
    NotAllowed
        It was tried too early, or too often from this address.
    """
    now = _now(lab)
    whose = person if person.isascii() and len(person) <= 20 else ANYBODY
    with lab.book.sign_ins() as kept:
        kept.forget_tries((now - timedelta(hours=1)).isoformat())
        minute, begun = _minute(kept.tried(address, ANYBODY), now)
        if minute > TRIES_A_MINUTE:
            raise _too_early(60.0 - (now - datetime.fromisoformat(begun)).total_seconds())
        kept.count(address, ANYBODY, minute, begun)
        wrong, not_before = kept.tried(address, f"of {whose}")
        if not_before > now.isoformat():
            early_s = (datetime.fromisoformat(not_before) - now).total_seconds()
            raise _too_early(early_s)
        waits_s = min(2**wrong, LONGEST_WAIT_S)
        kept.count(address, f"of {whose}", wrong + 1, (now + timedelta(seconds=waits_s)).isoformat())
        hashed = kept.password(whose) if whose else None
    if not fits(hashed or _nobodys(), password[: LONGEST + 1]) or hashed is None:
        raise BadEntry(
            "Code and password must belong together",
            "two that do not",
            worded("The next try counts after {wait} s", wait=waits_s),
            where="password",
        )
    token = secrets.token_urlsafe(32)
    with lab.book.sign_ins() as kept:
        kept.forgive(address, f"of {whose}")
        ends = now + timedelta(hours=SESSION_H)
        kept.begin(_seal(token), whose, now.isoformat(), ends.isoformat())
    return token


def who_is(lab: Laboratory, token: str) -> str:
    """Code of the person whose session a token is; "" where it is nobody's, or has ended."""
    if not token or len(token) > 100:
        return ""
    with lab.book.signed_in() as kept:
        return kept.whose(_seal(token), _now(lab).isoformat()) or ""


def sign_out(lab: Laboratory, token: str) -> None:
    """End a session."""
    with lab.book.sign_ins() as kept:
        kept.end(_seal(token))


def _minute(tried: tuple[int, str], now: datetime) -> tuple[int, str]:
    """How many tries this one makes in the minute that runs, and when that began."""
    count, began = tried
    runs = began and 0 <= (now - datetime.fromisoformat(began)).total_seconds() < 60.0
    return (count + 1, began) if runs else (1, now.isoformat())


def _too_early(early_s: float) -> NotAllowed:
    return NotAllowed(
        "After a wrong password the next try counts only after a while",
        worded("one {early_s:.0f} s too early", early_s=max(1.0, early_s)),
        "Wait, then type it once more",
        where="password",
    )


def _now(lab: Laboratory) -> datetime:
    return lab.clock().astimezone(UTC)


def _seal(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


_NOBODYS: list[str] = []


def _nobodys() -> str:
    """What a password is compared with where there is none, so that it takes as long as any other."""
    if not _NOBODYS:
        _NOBODYS.append(hash_of(secrets.token_hex(16)))
    return _NOBODYS[0]
