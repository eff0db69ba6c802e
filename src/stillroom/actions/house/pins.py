"""Who signs proves it with a PIN: set, changed, tried and locked.

A person who has a PIN gives it at every signature. Wrong tries are counted before the PIN is looked at, so that
many tries at once count like one after the other; each makes the next wait longer, and ten lock it. What is kept
of a PIN stands outside the journal (``store.pins``). A PIN keeps an honest house apart: whoever can read the file
of the book can guess four digits at leisure.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from threading import Lock

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.phones_joined import TRIES_OF_A_PHONE, count_a_try_of, forgive
from stillroom.errors import BadEntry, NotAllowed, UnknownName, worded
from stillroom.evidence.rests_on import PINS, noticing, rests_on
from stillroom.store.pins import PinKept, Pins

SHORTEST, LONGEST = 4, 8
TRIES = 10
NOBODY = ""
_one_at_a_time = Lock()


@dataclass(frozen=True, slots=True)
class PinFacts:
    """What may be told of a PIN.

    ``person``, ``set_by``: codes.
    """

    person: str
    set_by: str
    set_at: str
    """ISO time."""
    wrong_tries: int
    """Since the last right one."""
    locked: bool


def has_pin(lab: Laboratory, person: str) -> bool:
    """Whether a person has a PIN."""
    return person in pin_facts(lab)


def pin_facts(lab: Laboratory) -> dict[str, PinFacts]:
    """What may be told of every PIN, by person."""
    with noticing():
        kept = lab.book.pins_kept()
    found = {
        one.person: PinFacts(one.person, one.set_by, one.set_at, one.wrong_tries, one.wrong_tries >= TRIES)
        for one in kept
        if one.person != NOBODY
    }
    rests_on(PINS, found)
    return found


def prove(lab: Laboratory, person: str, pin: str, *, on_a_phone: bool = False, phone: str = "") -> None:
    """Let a person sign, or say why not.

    Parameters
    ----------
    person : str
        Code of who signs.
    pin : str
        What was typed; "" when nothing was.
    on_a_phone : bool
        Whether the signature comes from a phone, where nobody signs without a PIN.
    phone : str
        Key of the phone, whose wrong tries are counted before those of the person.

    Raises
    ------
    BadEntry
        The PIN is missing or wrong.
    NotAllowed
        The person has none and signs on a phone, tried too early, or the PIN is locked.
    """
    if has_pin(lab, person):
        check_pin(lab, person, pin, phone=phone)
    elif on_a_phone:
        if person in _people(lab):
            raise NotAllowed(
                "From a phone a person signs with a PIN",
                worded("{person}, who has none", person=person),
                "Set one at the laptop: Laboratory, Phones and PINs",
                where="by",
            )
        check_pin(lab, person, pin, phone=phone)


def check_pin(lab: Laboratory, person: str, pin: str, *, phone: str = "") -> None:
    """Compare a PIN with the one that was set, and count.

    Parameters
    ----------
    person : str
        Code of who signs; a name that is not in the book takes the same way and the same time.
    phone : str
        Key of the phone it was typed on; "" at the laptop.

    Raises
    ------
    BadEntry
        It is missing, or another one.
    NotAllowed
        It was tried too early, or is locked.

    Notes
    -----
    After the n-th wrong try the next is looked at 2^(n-1) s later; after the tenth none is. On a phone the phone waits,
    and after its fifth it is out and one try is counted of the person.
    """
    _must_look_like_a_pin(pin, "A signature needs the PIN of who signs")
    if phone and not _wrong_on(lab, person, pin, phone):
        return
    with _one_at_a_time:
        counted = _count_a_try(lab, person)
        if counted is not None and fits(counted.hashed, pin):
            with lab.book.pins() as pins:
                pins.forgive(person, counted.hashed)
            return
    tries = counted.wrong_tries if counted else 1
    raise BadEntry(
        "The PIN must be the one of who signs",
        "another one",
        _after_a_wrong_try(tries),
        where="pin",
    )


def _wrong_on(lab: Laboratory, person: str, pin: str, phone: str) -> bool:
    """Whether a PIN typed on a phone is wrong and the last of that phone; False where it is right.

    Raises
    ------
    BadEntry
        It is wrong, and the phone may try again.
    """
    with _one_at_a_time:
        tries = count_a_try_of(lab, phone)
        with lab.book.pins() as pins:
            row = pins.kept(person) or pins.kept(NOBODY)
        if row is not None and row.wrong_tries < TRIES and fits(row.hashed, pin):
            forgive(lab, phone)
            return False
    if tries >= TRIES_OF_A_PHONE:
        return True
    raise BadEntry(
        "The PIN must be the one of who signs",
        "another one",
        worded("The next try on this phone counts after {wait} s", wait=2 ** (tries - 1)),
        where="pin",
    )


def set_pin(lab: Laboratory, person: str, new: str, *, by: str, pin: str = "") -> str:
    """Set or change a PIN, at the laptop.

    Parameters
    ----------
    person : str
        Whose PIN it is.
    new : str
        4 to 8 digits.
    by : str
        Who sets it: the person, or somebody who may release.
    pin : str
        PIN that ``by`` has now; needed where one is set.

    Returns
    -------
    str
        One sentence.

    Raises
    ------
    BadEntry
        The new PIN is none or too easily guessed, or the old one is wrong.
    NotAllowed
        Somebody else sets it who may not, or has no PIN to prove it by.
    UnknownName
        There is no such person.
    """
    known = _people(lab)
    for one in (person, by):
        if one not in known:
            raise UnknownName.among(one, "a person", known)
    must_be_hard_to_guess(new)
    proved = has_pin(lab, by)
    if proved:
        check_pin(lab, by, pin)
    hashed = hash_of(new)
    with lab.book.pins() as pins:
        standing = pins.kept(person)
        if by != person and not known[by]:
            raise NotAllowed(
                "Only the person, or somebody who may release, sets a PIN", by, "Ask one of them", where="by"
            )
        if standing and not proved:
            raise NotAllowed(
                "A PIN is set again by somebody who has one",
                worded("{by}, who has none", by=by),
                worded("Set that of {by} first", by=by),
            )
        at = lab.clock().isoformat(timespec="seconds")
        pins.keep(PinKept(person, hashed, 0, "", by, at))
        _keep_a_row_for_nobody(pins, at)
    return f"{person} signs with {'the new' if standing else 'a'} PIN from now on."


def forget_pin(lab: Laboratory, person: str) -> str:
    """Take a PIN away where nobody is left who could set it anew: whoever may release is locked out, too.

    Returns
    -------
    str
        One sentence.

    Raises
    ------
    NotAllowed
        Somebody who may release has a PIN that is not locked.
    UnknownName
        The person has no PIN.
    """
    facts, known = pin_facts(lab), _people(lab)
    if person not in facts:
        raise UnknownName(worded("{person!r} has no PIN", person=person), do="There is nothing to forget")
    others = [code for code, may in known.items() if may and code in facts and not facts[code].locked]
    if others:
        raise NotAllowed(
            "A forgotten PIN is set again by somebody who may release",
            worded("{others} can do so", others=" and ".join(others)),
            "Ask for it at the laptop: Laboratory, Phones and PINs",
        )
    with lab.book.pins() as pins:
        pins.erase(person)
    return f"{person} has no PIN now and signs at the laptop only, until a new one is set."


def _people(lab: Laboratory) -> dict[str, bool]:
    with lab.look() as look:
        return {one.code: one.may_release for one in look.people()}


def _count_a_try(lab: Laboratory, person: str) -> PinKept | None:
    """Count a try as a wrong one before it is looked at; a right one is forgiven afterwards."""
    now = lab.clock().astimezone(UTC)
    with lab.book.pins() as pins:
        row = pins.kept(person) or pins.kept(NOBODY)
        if row is None:
            return None
        if row.wrong_tries >= TRIES:
            raise NotAllowed(
                worded("A PIN that was tried wrongly {tries} times is locked", tries=TRIES),
                worded("that of {person}", person=person),
                "Somebody who may release sets a new one at the laptop: Laboratory, Phones and PINs",
                where="pin",
            )
        early_s = _seconds_left(row, now)
        if early_s > 0:
            raise NotAllowed(
                "After a wrong PIN the next try counts only after a while",
                worded("one {early_s:.0f} s too early", early_s=early_s),
                "Wait, then type it once more",
                where="pin",
            )
        tries = row.wrong_tries + 1
        not_before = now + timedelta(seconds=2 ** (tries - 1))
        pins.count(row.person, wrong_tries=tries, not_before=not_before.isoformat())
        return PinKept(row.person, row.hashed, tries, not_before.isoformat(), row.set_by, row.set_at)


def _seconds_left(row: PinKept, now: datetime) -> float:
    """Time until a try counts; none when the clock was put back by more than the wait."""
    if not row.not_before:
        return 0.0
    left_s = (datetime.fromisoformat(row.not_before) - now).total_seconds()
    longest_s: float = 2.0 ** (row.wrong_tries - 1)
    return max(1.0, left_s) if 0 < left_s <= longest_s else 0.0


def _after_a_wrong_try(tries: int) -> str:
    if tries >= TRIES:
        return "That was the tenth: it is locked. Somebody who may release sets a new one at the laptop"
    left = f"{TRIES - tries} {'tries are' if TRIES - tries > 1 else 'try is'} left"
    return f"The next try counts after {2 ** (tries - 1)} s; {left}"


def _must_look_like_a_pin(pin: str, must: str) -> None:
    digits = pin.isascii() and pin.isdigit()
    if digits and SHORTEST <= len(pin) <= LONGEST:
        return
    got = "none" if not pin else f"{len(pin)} characters" if digits else "something other than digits"
    raise BadEntry(
        must,
        got,
        worded("A PIN has {shortest} to {longest} digits", shortest=SHORTEST, longest=LONGEST),
        where="pin",
    )


def must_be_hard_to_guess(new: str) -> None:
    """Refuse a new PIN that is none, or the first one anybody would try.

    Raises
    ------
    BadEntry
        It is made of other things than 4 to 8 digits, or of one digit, or of digits in a row.
    """
    try:
        _must_look_like_a_pin(new, "A new PIN is made of digits")
    except BadEntry as error:
        raise error.at("new") from None
    steps = {int(after) - int(before) for before, after in pairwise(new)}
    if steps in ({0}, {1}, {-1}):
        raise BadEntry(
            "A PIN must not be the first one anybody would try",
            "one digit over and over, or digits in a row",
            "Choose others",
            where="new",
        )


def _keep_a_row_for_nobody(pins: Pins, at: str) -> None:
    """The row that names outside the book are compared with, so that they take as long as others."""
    if pins.kept(NOBODY) is None:
        from secrets import token_hex

        pins.keep(PinKept(NOBODY, hash_of(token_hex(16)), 0, "", NOBODY, at))


def hash_of(words: str) -> str:
    """A PIN or password as argon2 writes it, with a salt of its own."""
    from argon2 import PasswordHasher

    return PasswordHasher().hash(words)


def fits(hashed: str, words: str) -> bool:
    """Whether a PIN or password is the one that was kept.

    Parameters
    ----------
    hashed : str
        As ``hash_of`` wrote it.
    """
    from argon2 import PasswordHasher
    from argon2.exceptions import VerifyMismatchError

    try:
        return PasswordHasher().verify(hashed, words)
    except VerifyMismatchError:
        return False
