"""The release list: every line a lot has to stand before it may leave, who may decide, and what the paper must say.

Promises that whoever weighed, dosed or tested is no second person, that nobody alone decides on the day of the work,
that nothing assumed stands under a figure of the certificate, and that a line nobody here can know is decided by name
or printed. Decides nothing: a person does.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from stillroom.errors import BadEntry, worded
from stillroom.products.check_lines import CheckLine, gravest_first
from stillroom.products.release_lines import (
    lines_of_lot,
    lines_of_product,
    lines_of_results,
    lines_of_work,
)
from stillroom.products.release_record import Decided as Decided
from stillroom.products.release_record import LotFact as LotFact
from stillroom.products.release_record import ReleaseFacts as ReleaseFacts
from stillroom.products.release_record import ResultFact as ResultFact
from stillroom.records.people import Person
from stillroom.substances.rules import rule

NO_SECOND_PERSON = "no second person"


@dataclass(frozen=True, slots=True)
class Review:
    """What a person sees before deciding."""

    subject: str
    lines: tuple[CheckLine, ...]
    """Every line of the list, the gravest first."""
    decided: Mapping[str, Decided]
    """Decisions that hold, by the key of their line."""
    alone: bool
    """Whether it would be a release without a second person."""
    earliest_alone: str | None
    """When this person may decide alone. [ISO time]"""
    certificate_says: tuple[str, ...]
    """What the certificate must say about the release."""

    @property
    def stopping(self) -> tuple[CheckLine, ...]:
        """Lines that nobody's decision lifts."""
        return tuple(one for one in self.lines if one.stops)

    @property
    def undecided(self) -> tuple[CheckLine, ...]:
        """Lines that wait for the decision of a named person."""
        return tuple(one for one in self.lines if one.needs_a_name and one.key not in self.decided)

    @property
    def missing(self) -> tuple[CheckLine, ...]:
        """Everything that stands in the way: what stops, then what is undecided."""
        return (*self.stopping, *self.undecided)

    @property
    def may_release(self) -> bool:
        """Whether nothing stands in the way."""
        return not self.missing


def review(facts: ReleaseFacts, person: Person, at: str) -> Review:
    """The release list, and whether this person may release now.

    Parameters
    ----------
    facts : ReleaseFacts
        What the book says. [record]
    person : Person
        Who wants to decide. [record]
    at : str
        When. [ISO time with offset]

    Returns
    -------
    Review
        Every line, and what the certificate must say. [record]

    Raises
    ------
    BadEntry
        A time has no offset, or lies before the last work.

    Notes
    -----
    A second person is someone who neither weighed, dosed nor tested, and bears another name than those who did. Alone:
    another date, and at least a night after the last work. A decision holds while its line says the same.
    """
    now, last = _moment(at), _moment(facts.last_work_at)
    if now < last:
        raise BadEntry(
            "A release must come after the last work",
            worded("{at} before {last_work_at}", at=at, last_work_at=facts.last_work_at),
        )
    twin = _worked_under(person, facts)
    earliest = _after_a_night(last) if twin else None
    lines = [
        *(line for lot in facts.lots for line in lines_of_lot(lot)),
        *lines_of_work(facts),
        *lines_of_results(facts),
        *lines_of_product(facts),
        *facts.lines,
        *_signature(facts, person, twin, now, earliest),
    ]
    lines = list({(one.key, one.says): one for one in lines}.values())
    held = {
        one.key: facts.decided[one.key]
        for one in lines
        if one.key in facts.decided and facts.decided[one.key].says == one.says
    }
    says = [NO_SECOND_PERSON] if twin else []
    if facts.residue is not None:
        says.append(facts.residue.certificate_says)
    if facts.judged is not None and facts.judged.verdict in (
        "no rule found",
        "rule needs a condition the tool cannot see",
    ):
        says.append(facts.judged.says)
    return Review(
        subject=facts.subject,
        lines=gravest_first(lines),
        decided=held,
        alone=bool(twin),
        earliest_alone=earliest.isoformat() if earliest is not None else None,
        certificate_says=tuple(says),
    )


def _worked_under(person: Person, facts: ReleaseFacts) -> str:
    """Code under which this person worked: their own, or that of somebody of the same name; "" where they did not."""
    if person.code in facts.worked:
        return person.code
    name = _folded(person.name)
    return next((code for code in facts.worked if name and _folded(facts.names.get(code, "")) == name), "")


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())


def _signature(
    facts: ReleaseFacts, person: Person, twin: str, now: datetime, earliest: datetime | None
) -> Iterator[CheckLine]:
    about = "Who releases"
    if not person.may_release:
        yield CheckLine(
            "signature",
            about,
            "missing",
            f"{person.name} may not release",
            close="Ask someone who may, or let the laboratory name them",
        )
    if earliest is None:
        return
    did = facts.worked[twin]
    same = "" if twin == person.code else f" as {twin}, a person of the same name"
    if now < earliest:
        yield CheckLine(
            "second-person",
            about,
            "missing",
            f"A second person: {person.name} has {did}{same}",
            close="Ask someone who neither weighed, dosed nor tested, or wait until "
            f"{earliest:%Y-%m-%d %H:%M}",
        )
    else:
        yield CheckLine(
            "second-person",
            about,
            "cannot be seen here",
            f"No second person: {person.name} has {did}{same}; a night has passed",
        )


def _after_a_night(last: datetime) -> datetime:
    midnight = (last + timedelta(days=1)).replace(hour=0, minute=0, second=0, microsecond=0)
    return max(last + timedelta(hours=rule("night").value), midnight)


def _moment(text: str) -> datetime:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise BadEntry(
            "A moment must be written year-month-dayThour:minute with its offset",
            repr(text),
            "Write it like 2026-03-14T16:05+01:00",
        ) from None
    if moment.tzinfo is None:
        raise BadEntry("A moment must carry its offset", repr(text), "Write it like 2026-03-14T16:05+01:00")
    return moment
