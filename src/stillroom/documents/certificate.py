"""The certificate of a lot in two forms: one page for the customer, the whole for an inspector.

Promises both from the same facts: what the customer reads stands in the whole as well. The customer's page names no
supplier and no calculation; the whole names every lot, every line of the release list and every reason.
"""

from dataclasses import dataclass, replace
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Facts,
    Heading,
    Link,
    Mark,
    Numbers,
    Page,
    PageFacts,
    PenLines,
    Points,
    Prose,
    Reasons,
    ScanCode,
    Shown,
    Table,
)
from stillroom.documents.lot_accounts import LotAccount, amount_text
from stillroom.documents.numbers_shown import with_ratio
from stillroom.documents.put_right import when
from stillroom.errors import NotAllowed, worded
from stillroom.products.check_lines import CheckLine
from stillroom.products.limits import without_advice
from stillroom.products.release_record import Decided
from stillroom.records.entries import ControlTestRead, Entry, HouseDescribed, StatusDecided
from stillroom.records.lots import Status
from stillroom.reference.sources import source
from stillroom.texts.catalogue import capital, later, t

NOWHERE = HouseDescribed()


@dataclass(frozen=True, slots=True)
class CertificateFacts:
    """What the certificate of a lot is made from."""

    account: LotAccount
    stated: Numbers
    """Content with both readings of "meets it", and its upper bound against the ceiling."""
    meets: tuple[str, ...]
    """Sentences: what is met, how surely."""
    tests: tuple[Entry[ControlTestRead], ...]
    residue: str
    """A sentence about the residue of the clean-up solvent; it says "not tested" when nobody did."""
    made_from: tuple[tuple[str, str], ...]
    """Lot and what it is, up to the plant."""
    released: Entry[StatusDecided] | None
    released_by: str
    """Name of the person."""
    made_on: str
    use_by: str
    sources: tuple[str, ...]
    """Keys of the publications its figures rest on."""
    reasons: Reasons
    order: str
    identities: tuple[tuple[str, bool, str], ...] = ()
    assumed: tuple[str, ...] = ()
    """Names of assumed leaves below its figures; a certificate with any is refused."""
    outside: tuple[str, ...] = ()
    """What another laboratory determined, with its certificate."""
    measured: tuple[Shown, ...] = ()
    lines: tuple[CheckLine, ...] = ()
    """The release list as it stands."""
    decided: tuple[tuple[CheckLine, Decided], ...] = ()
    """Lines a named person decided."""
    house: HouseDescribed = NOWHERE
    content_of_bottle: str = ""
    """Such as "100 mL"; "" where nothing is bottled."""
    revision: int = 1
    changed: tuple[str, ...] = ()
    """What changed since the revision before, "old → new"."""
    suspended: str = ""
    """Why the lot is suspended; "" while it is released."""


def customer_certificate(facts: CertificateFacts, **page_facts: Unpack[PageFacts]) -> Page:
    """One page for the customer: product, lot, strength, tests, limits, dates, who made it and who released it.

    Raises
    ------
    NotAllowed
        The lot was never released, or a figure rests on an assumption.
    """
    _refuse(facts)
    blocks: list[Block] = [
        *_news(facts),
        Facts(_head(facts, page_facts["laboratory"])),
        Heading(t("Strength, tests and limits")),
    ]
    if facts.stated.items:
        told_of = tuple(one for one in facts.stated.items if one.label != t("Bound held against the ceiling"))
        plain = (replace(one, how="", leaves=(), more_leaves=0) for one in told_of)
        blocks.append(Facts(tuple((with_ratio(one), one) for one in plain)))
    blocks += [
        Table(
            (t("Test or limit"), t("Found")),
            tuple(_found(facts, list(filter(_is_for_customer, facts.lines)))),
        ),
        *_decisions(facts),
        *_signed(facts),
        ScanCode(facts.account.lot.code, t("the code on the bottle")),
    ]
    return _page(facts, blocks, "", page_facts)


def whole_certificate(facts: CertificateFacts, **page_facts: Unpack[PageFacts]) -> Page:
    """The whole for an inspector: every lot, every line of the list, every reason and source.

    Raises
    ------
    NotAllowed
        The lot was never released, or a figure rests on an assumption.
    """
    _refuse(facts)
    decided = {line.key: one for line, one in facts.decided}
    blocks: list[Block] = [
        *_news(facts),
        Facts((*_head(facts, page_facts["laboratory"]), (t("For order"), facts.order or t("none")))),
        Heading(t("Content")),
        facts.stated if facts.stated.items else Prose(t("No content is stated.")),
        *((Points(facts.meets),) if facts.meets else ()),
        *(Prose(said) for said in facts.outside),
        Heading(t("Tests")),
        *(Prose(f"{about}: {said}") for about, said in _identities(facts)),
        _tests(facts),
        Prose(facts.residue),
        *(Prose(said) for said in _measured(facts)),
        Heading(t("Release list")),
        list_table(tuple(one for one in facts.lines if one.standing != "within"), decided),
        Heading(t("Within, of the release list"), folded=True),
        list_table(tuple(one for one in facts.lines if one.standing == "within"), decided),
        Heading(t("Made from"), folded=True),
        Table(
            (t("Lot"), t("What")),
            tuple((Link(code, f"/stock/{code}"), what) for code, what in facts.made_from),
        ),
        Heading(t("Released")),
        *_signed(facts),
        Heading(t("How the figures were calculated"), folded=True),
        facts.reasons,
        Heading(t("Sources"), folded=True),
        Table(
            (t("Source"), t("How it was seen")),
            tuple(
                (source(key).citation.removesuffix(f" [{source(key).seen}]"), source(key).seen)
                for key in facts.sources
            ),
        ),
        ScanCode(facts.account.lot.code, t("the code on the bottle")),
    ]
    return _page(facts, blocks, "/whole", page_facts)


def list_table(lines: tuple[CheckLine, ...], decided: dict[str, Decided]) -> Table:
    """Every line of the release list: how it stands, what was found, what it rests on, who decided."""
    return Table(
        (t("Line"), t("Stands"), t("What was found"), t("Rests on")),
        tuple(
            (
                one.about,
                Mark("decided" if one.key in decided else one.standing),
                with_decision(one, decided.get(one.key)),
                rests_on(one),
            )
            for one in lines
        ),
    )


def rests_on(line: CheckLine) -> str:
    """Row, source and year of the table a line rests on; "" where it rests on the book alone."""
    year = t("data of {year}", year=line.state_of_data) if line.state_of_data else ""
    return ", ".join(one for one in (line.row, line.source, year) if one)


def with_decision(line: CheckLine, decided: Decided | None) -> str:
    """What a line says, and who decided it."""
    if decided is None:
        return line.says
    return f"{line.says.rstrip('.')}. {t('Decided by {name}: {reason}', name=decided.name, reason=decided.reason)}"


def _refuse(facts: CertificateFacts) -> None:
    if facts.released is None:
        raise NotAllowed(
            "A certificate is for a released lot",
            worded(
                "{lot_code}, which is {status}", lot_code=facts.account.lot.code, status=facts.account.status
            ),
            "Release it first",
        )
    if facts.assumed:
        raise NotAllowed(
            "An assumed figure never reaches a certificate",
            ", ".join(facts.assumed),
            "Measure it, then print again",
        )


def not_released(status: Status) -> str:
    """How a lot whose certificate is withdrawn stands: stopped or rejected where it is, else suspended."""
    return status.value if status in (Status.STOPPED, Status.REJECTED) else Status.SUSPENDED.value


def heading_of(status: Status) -> str:
    """How a lot whose certificate is withdrawn stands, as a heading."""
    found = {Status.STOPPED: t("Stopped"), Status.REJECTED: t("Rejected")}
    return found.get(status, t("Suspended"))


def _news(facts: CertificateFacts) -> list[Block]:
    """Which revision it is, what changed, and that a suspended lot may not be used."""
    since = t("What changed since revision {revision}", revision=max(facts.revision - 1, 1))
    changed = (Points(facts.changed or (t("No figure of this page changed"),)),)
    if facts.suspended and facts.changed:
        until = t("Do not use or sell it until it is released again. {since}:", since=since)
        return [Heading(heading_of(facts.account.status)), Prose(until), *changed]
    why = t("Do not use or sell it until it is released again: {why}", why=facts.suspended)
    return [
        *((Heading(heading_of(facts.account.status)), Prose(why)) if facts.suspended else ()),
        *((Heading(since), *changed) if facts.revision > 1 else ()),
    ]


def _head(facts: CertificateFacts, laboratory: str) -> tuple[tuple[str, str], ...]:
    lot, house = facts.account.lot, facts.house
    bottles = facts.account.counted_in == "piece"
    amount = amount_text(facts.account.came, facts.account.counted_in)
    if bottles:
        each = facts.content_of_bottle
        if each.endswith("g"):  # sold by mass, in tins or jars
            amount = f"{amount} × {each}"
        else:
            amount = t("{count} bottles", count=amount)
            amount = t("{bottles} of {content}", bottles=amount, content=each) if each else amount
    maker = ", ".join(one for one in (laboratory, house.address, house.telephone, house.email) if one)
    responsible = ", ".join(
        one for one in (house.responsible_person, house.responsible_address or house.address) if one
    )
    return (
        (t("Product"), lot.name),
        (t("Lot"), lot.code),
        (t("Amount"), amount),
        (t("Made on"), facts.made_on),
        (
            t("Best before") if bottles else t("Use by"),
            facts.use_by or t("not stated"),
        ),
        (t("Made by"), maker),
        (
            t("Responsible person"),
            responsible if house.responsible_person else t("not shown"),
        ),
        (t("Revision"), str(facts.revision)),
    )


def _is_for_customer(line: CheckLine) -> bool:
    """Limits and what is not shown stand on the customer's page; work inside the house does not."""
    group = line.key.partition("/")[0]
    if group == "paper":
        return line.key != "paper/responsible person"
    return group in ("ceiling", "ph", "family", "sum", "claim", "allergen", "denatured") and (
        line.standing != "within"
    )


def _found(facts: CertificateFacts, told: list[CheckLine]) -> list[tuple[str, str]]:
    told_of = {(one.body.test, one.body.subject) for one in facts.tests if one.body.outcome != "no result"}
    rows = [
        (one.body.test.capitalize(), f"{one.body.outcome} ({one.body.subject})")
        for one in facts.tests
        if one.body.subject
        and (one.body.outcome != "no result" or (one.body.test, one.body.subject) not in told_of)
    ]
    if not rows:
        rows.append((t("Precipitate tests"), t("not tested")))
    rows[:0] = _identities(facts)
    rows.append((t("Clean-up solvent"), facts.residue))
    measured = {t("pH"): t("not tested")} | {one.label: str(one) for one in facts.measured}
    rows += measured.items()
    within = [
        one
        for one in facts.lines
        if one.key.startswith(("ceiling", "family", "sum")) and one.standing == "within"
    ]
    stated = [one for one in within if one.key.startswith("ceiling") and not one.row]
    within = [one for one in within if one not in stated]
    if within:
        years = sorted({one.state_of_data for one in within if one.state_of_data})
        told_years = t(" (table of {years})", years=", ".join(map(str, years))) if years else ""
        found = t("{count} looked up, all within{years}", count=len(within), years=told_years)
        rows.append((t("Limits of substances"), found))
    rows += [(one.about, _short(one)) for one in stated]
    decided = {line.key for line, _ in facts.decided}
    rows += [(one.about, _short(one)) for one in told if one.key not in decided]
    return _at_once(rows, t("not tested"), t("not shown"))


def _at_once(rows: list[tuple[str, str]], *alike: str) -> list[tuple[str, str]]:
    """The same; of what was not tested, and of what is not shown, all in one row."""
    named = {said: ", ".join(about for about, found in rows if found == said) for said in alike}
    found = [(capital(said), named[said]) if said in named else (about, said) for about, said in rows]
    return list(dict.fromkeys(found))


def _identities(facts: CertificateFacts) -> list[tuple[str, str]]:
    says = {True: later("accepted: {evidence}"), False: later("not what it is called: {evidence}")}
    found = facts.identities
    return [(t("Identity of {lot}", lot=lot), t(says[yes], evidence=said)) for lot, yes, said in found]


def _short(line: CheckLine) -> str:
    """What a line says, less its own name, which stands beside it, and the advice to whoever releases."""
    return without_advice(line.says.removeprefix(f"{line.about}: "))


def _tests(facts: CertificateFacts) -> Block:
    if not facts.tests:
        return Prose(t("Precipitate tests: not tested."))
    return Table(
        (t("Test"), t("On"), t("Outcome"), t("Blank"), t("Positive control"), t("Reagent")),
        tuple(
            (
                one.body.test.capitalize(),
                one.body.subject,
                Mark(one.body.outcome),
                one.body.blank,
                one.body.positive_control,
                one.body.reagent_lot,
            )
            for one in facts.tests
        ),
    )


def _decisions(facts: CertificateFacts) -> list[Block]:
    if not facts.decided:
        return []
    rows = tuple(
        (f"{line.about}: {_short(line)}", f"{one.name}: {one.reason}") for line, one in facts.decided
    )
    return [Heading(t("Decided by name")), Table((t("What was found"), t("Decision")), rows)]


def _signed(facts: CertificateFacts) -> list[Block]:
    if facts.released is None:
        return []
    alone = t(" No second person checked this release.") if facts.released.body.alone else ""
    said = t(
        "By {released_by} ({by}) on {done_at}: {meaning}.",
        released_by=facts.released_by,
        by=facts.released.by,
        done_at=when(facts.released.done_at),
        meaning=facts.released.body.meaning,
    )
    return [Prose(said + alone), *(() if facts.suspended else (PenLines((t("Signature"),)),))]


def _measured(facts: CertificateFacts) -> list[str]:
    """What was measured, in sentences; that nobody read the pH is said too."""
    told = [
        t("{what}: {figure}, {how}.", what=one.label, figure=str(one), how=one.how) for one in facts.measured
    ]
    return told if any(one.label == t("pH") for one in facts.measured) else [t("pH: not tested."), *told]


def _page(facts: CertificateFacts, blocks: list[Block], form: str, page_facts: PageFacts) -> Page:
    lot = facts.account.lot
    return Page(
        title=t("Certificate for {lot_name}, lot {lot_code}", lot_name=lot.name, lot_code=lot.code),
        kind="certificate",
        code=lot.code,
        blocks=tuple(blocks),
        **page_facts,
        status=not_released(facts.account.status) if facts.suspended else facts.account.status.value,
        href=f"/products/{lot.code}/certificate{form}",
    )
