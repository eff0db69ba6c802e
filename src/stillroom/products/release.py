"""What is missing or out before a product may leave, the quickest way to close it, and who may decide.

Promises that whoever weighed, dosed or tested is no second person, that nobody alone decides on the day of
the work, and that nothing assumed stands under a figure of the certificate. Decides nothing: a person does.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal, TypeAlias

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer
from stillroom.products.claims import Flag
from stillroom.products.filling import FillCheck
from stillroom.products.limits import Judged
from stillroom.records.people import Person
from stillroom.results.reckon_again import Superseded
from stillroom.results.solvent_residue import Residue
from stillroom.substances.rules import rule

Standing: TypeAlias = Literal["missing", "out"]
NO_SECOND_PERSON = "no second person"


@dataclass(frozen=True, slots=True)
class LotFact:
    """A lot that went in.

    Attributes
    ----------
    code : str
    released : bool
    needs_identity : bool
        Plant material does.
    identity_accepted : bool or None
        None when nobody decided.
    use_by, used_on : str or None
        [ISO date]
    """

    code: str
    released: bool
    needs_identity: bool = False
    identity_accepted: bool | None = None
    use_by: str | None = None
    used_on: str | None = None


@dataclass(frozen=True, slots=True)
class ResultFact:
    """A test or a result that the release rests on.

    Attributes
    ----------
    name : str
    counts : bool
    because : str
        Why it counts or does not.
    answer : Answer or None
        None for a present-or-absent test.
    as_expected : bool
        Whether the outcome is what the specification asks for.
    superseded : tuple of Superseded
        Readings in its trail that were corrected since.
    on_certificate : bool
    """

    name: str
    counts: bool
    because: str
    answer: Answer | None = None
    as_expected: bool = True
    superseded: tuple[Superseded, ...] = ()
    on_certificate: bool = True


@dataclass(frozen=True, slots=True)
class ReleaseFacts:
    """Everything a release looks at.

    Attributes
    ----------
    subject : str
        The lot or batch to be released.
    worked : mapping of str to str
        Code of each person who weighed, dosed or tested, and what they did.
    last_work_at : str
        When the last of it was done. [ISO time with offset]
    lots : tuple of LotFact
    results : tuple of ResultFact
    needed : tuple of str
        Names of the results that must be there.
    residue : Residue or None
        None when nobody said anything, which is not the same as "not tested".
    residue_needed : bool
        Whether a clean-up solvent was used.
    content : Answer or None
        Of the product. [% w/w]
    declared : Answer or None
        [% w/w]
    judged : Judged or None
        The verdict on the ceiling; None where there is nothing to judge.
    fill : FillCheck or None
    fill_needed : bool
    steps_open : tuple of str
        Steps of the procedure that nobody has entered.
    deviations_open : tuple of str
    retained_units : int
    retained_needed : int
    flags : tuple of Flag
        Words of the label that promise too much.
    """

    subject: str
    worked: Mapping[str, str]
    last_work_at: str
    lots: tuple[LotFact, ...] = ()
    results: tuple[ResultFact, ...] = ()
    needed: tuple[str, ...] = ()
    residue: Residue | None = None
    residue_needed: bool = True
    content: Answer | None = None
    declared: Answer | None = None
    judged: Judged | None = None
    fill: FillCheck | None = None
    fill_needed: bool = True
    steps_open: tuple[str, ...] = ()
    deviations_open: tuple[str, ...] = ()
    retained_units: int = 0
    retained_needed: int = 1
    flags: tuple[Flag, ...] = ()


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that stands in the way.

    Attributes
    ----------
    standing : "missing" or "out"
    what : str
    close : str
        The quickest way to close it.
    """

    standing: Standing
    what: str
    close: str


@dataclass(frozen=True, slots=True)
class Review:
    """What a person sees before deciding.

    Attributes
    ----------
    subject : str
    missing : tuple of Missing
        Empty when nothing stands in the way.
    may_release : bool
    alone : bool
        Whether it would be a release without a second person.
    earliest_alone : str or None
        When this person may decide alone. [ISO time]
    certificate_says : tuple of str
        What the certificate must say about the release.
    """

    subject: str
    missing: tuple[Missing, ...]
    may_release: bool
    alone: bool
    earliest_alone: str | None
    certificate_says: tuple[str, ...]


def review(facts: ReleaseFacts, person: Person, at: str) -> Review:
    """What is missing or out, and whether this person may release now.

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
        What stands in the way, and what the certificate must say. [record]

    Raises
    ------
    BadEntry
        A time has no offset, or lies before the last work.

    Notes
    -----
    A second person is someone who neither weighed, dosed nor tested. Alone: another date, and at least a
    night after the last work.
    """
    now, last = _moment(at), _moment(facts.last_work_at)
    if now < last:
        raise BadEntry(
            "A release must come after the last work",
            worded("{at} before {last_work_at}", at=at, last_work_at=facts.last_work_at),
        )
    found = [*_lots(facts), *_work(facts), *_results(facts), *_product(facts)]
    alone = person.code in facts.worked
    earliest = _after_a_night(last) if alone else None
    if not person.may_release:
        found.append(
            Missing(
                "missing",
                f"{person.name} may not release",
                "Ask someone who may, or let the laboratory name them",
            )
        )
    if alone and earliest is not None and now < earliest:
        did = facts.worked[person.code]
        found.append(
            Missing(
                "missing",
                f"A second person: {person.name} has {did}",
                f"Ask someone who neither weighed, dosed nor tested, or wait until {earliest:%Y-%m-%d %H:%M}",
            )
        )
    says = [NO_SECOND_PERSON] if alone else []
    if facts.residue is not None:
        says.append(facts.residue.certificate_says)
    if facts.judged is not None and facts.judged.verdict in (
        "no rule found",
        "rule needs a condition the tool cannot see",
    ):
        says.append(facts.judged.says)
    return Review(
        subject=facts.subject,
        missing=tuple(found),
        may_release=not found,
        alone=alone,
        earliest_alone=earliest.isoformat() if earliest is not None else None,
        certificate_says=tuple(says),
    )


def _lots(facts: ReleaseFacts) -> Iterator[Missing]:
    for lot in facts.lots:
        if lot.needs_identity and lot.identity_accepted is None:
            yield Missing(
                "missing",
                f"The identity of {lot.code} is not decided",
                "Let a competent person compare the retained sample with a reference",
            )
        elif lot.needs_identity and not lot.identity_accepted:
            yield Missing(
                "out", f"The identity of {lot.code} was not accepted", "Reject what was made from it"
            )
        if not lot.released:
            yield Missing(
                "missing", f"{lot.code} went in and is not released", f"Release {lot.code}, or reject this"
            )
        if lot.use_by and lot.used_on and lot.used_on[:10] > lot.use_by[:10]:
            yield Missing(
                "out",
                f"{lot.code} was used on {lot.used_on[:10]}, after its use-by date {lot.use_by[:10]}",
                "Note the deviation and show by a test that it did no harm, or reject this",
            )


def _work(facts: ReleaseFacts) -> Iterator[Missing]:
    for step in facts.steps_open:
        yield Missing(
            "missing", f"The step {step!r} was not entered", f"Enter {step!r} with what was weighed"
        )
    for deviation in facts.deviations_open:
        yield Missing("missing", f"Open deviation: {deviation}", "Write what was done about it and close it")
    if facts.retained_units < facts.retained_needed:
        yield Missing(
            "missing",
            f"{facts.retained_units} of {facts.retained_needed} bottles are kept back",
            f"Put {facts.retained_needed - facts.retained_units} aside, in the pack that is sold",
        )


def _results(facts: ReleaseFacts) -> Iterator[Missing]:
    there = {one.name for one in facts.results}
    for name in facts.needed:
        if name not in there:
            yield Missing("missing", f"{name} was not tested", f"Test {name}")
    for one in facts.results:
        if not one.counts:
            yield Missing("missing", f"{one.name} does not count: {one.because}", f"Test {one.name} again")
        elif not one.as_expected:
            yield Missing(
                "out", f"{one.name} is out: {one.because}", "Find the cause; reject it, or test a new sample"
            )
        for corrected in one.superseded:
            yield Missing(
                "missing",
                f"{one.name} rests on a corrected reading: {corrected.says}",
                f"Reckon {one.name} again",
            )
        if one.on_certificate and one.answer is not None and one.answer.rests_on_an_assumption:
            yield Missing(
                "missing",
                f"{one.name} rests on an assumption, and it stands on the certificate",
                "Measure what was assumed, and calculate again",
            )


def _product(facts: ReleaseFacts) -> Iterator[Missing]:
    if facts.residue_needed:
        if facts.residue is None:
            yield Missing(
                "missing",
                "Nothing is said about the residue of the clean-up solvent",
                'Measure it, or let the certificate say "not tested"',
            )
        elif facts.residue.status == "over":
            yield Missing("out", facts.residue.because, "Dry the extract further and measure again")
    if (
        facts.judged is not None
        and facts.judged.verdict == "no rule found"
        and not facts.judged.ceiling.limit_row
    ):
        rule_of = facts.judged.ceiling
        yield Missing(
            "missing",
            f"No rule found for {rule_of.substance} in {rule_of.product_type} ({rule_of.market})",
            "Look it up, and state the ceiling with its source: no rule found is not permission",
        )
    if facts.judged is not None and facts.judged.blocks:
        yield Missing(
            "out", facts.judged.says, "Thin the bulk below the ceiling with its formula, or reject it"
        )
    content, declared = facts.content, facts.declared
    if declared is not None:
        if content is None:
            yield Missing(
                "missing",
                "The content of the product is not calculated",
                "Enter the dose that was weighed in",
            )
        elif content.value < declared.value:
            yield Missing(
                "out",
                f"{content.value:.4g} % is below the declared {declared.value:g} %",
                "Dose the difference and mix, or declare less",
            )
    if content is not None and content.rests_on_an_assumption:
        yield Missing(
            "missing",
            "The content of the product rests on an assumption",
            "Measure what was assumed, and calculate again",
        )
    if facts.fill_needed and facts.fill is None:
        yield Missing(
            "missing", "The filling was not checked", "Weigh the bottles, all of them below a hundred"
        )
    if facts.fill is not None and facts.fill.verdict == "wrong":
        yield Missing("out", facts.fill.because, "Top up the short bottles and weigh them again")
    for flag in facts.flags:
        yield Missing(
            "out", f"The label says {flag.word!r}: {flag.claim}", f"Write instead: {flag.safer_wording}"
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
