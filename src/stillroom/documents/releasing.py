"""Release page, certificate and label: what is in the bottle, how it is known, and what is not known."""

from dataclasses import dataclass
from typing import Any, Unpack

from stillroom.documents.blocks import (
    Block,
    Facts,
    Heading,
    LabelFace,
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
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lot_accounts import LotAccount, amount_text
from stillroom.documents.put_right import when
from stillroom.errors import NotAllowed, worded
from stillroom.products.label import Label
from stillroom.products.release import Review
from stillroom.records.entries import ControlTestRead, Entry, StatusDecided
from stillroom.reference.sources import source
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class CertificateFacts:
    """What the certificate of a lot is made from.

    Attributes
    ----------
    account : LotAccount
    stated : Numbers
        Content with both readings of "meets it", and its upper bound against the ceiling.
    meets : tuple of str
        Sentences: what is met, how surely.
    tests : tuple of Entry of ControlTestRead
    residue : str
        A sentence about the residue of the clean-up solvent; it says "not tested" when nobody did.
    made_from : tuple of (str, str)
        Lot and what it is, up to the plant.
    released : Entry of StatusDecided or None
    released_by : str
        Name of the person.
    made_on : str
    use_by : str
    sources : tuple of str
        Keys of the publications its figures rest on.
    reasons : Reasons
    order : str
    assumed : tuple of str
        Names of assumed leaves below its figures; a certificate with any is refused.
    outside : tuple of str
        What another laboratory determined, with its certificate.
    """

    account: LotAccount
    stated: Numbers
    meets: tuple[str, ...]
    tests: tuple[Entry[ControlTestRead], ...]
    residue: str
    made_from: tuple[tuple[str, str], ...]
    released: Entry[StatusDecided] | None
    released_by: str
    made_on: str
    use_by: str
    sources: tuple[str, ...]
    reasons: Reasons
    order: str
    assumed: tuple[str, ...] = ()
    outside: tuple[str, ...] = ()


def release_page(
    account: LotAccount,
    review: Review,
    *,
    by: str,
    stated: Numbers | None,
    **page_facts: Unpack[PageFacts],
) -> Page:
    """What is missing or out before a lot may go, each with the quickest way to close it."""
    lot = account.lot
    blocks: list[Block] = [
        Facts(
            (
                (t("releasing.lot"), lot.code),
                (t("releasing.what"), lot.name),
                (t("releasing.on_the_shelf"), amount_text(account.shelf, account.counted_in)),
            )
        )
    ]
    if review.missing:
        blocks += [
            Heading(t("releasing.missing_or_out")),
            Table(
                (t("releasing.what"), t("releasing.quickest_way_close")),
                tuple((one.what, one.close) for one in review.missing),
            ),
        ]
    elif account.status.value == "released":
        blocks.append(Points((t("releasing.released_nothing_is_missing"),), "done"))
    else:
        blocks.append(Points((t("releasing.nothing_missing_may_release", by=by),), "done"))
    blocks += [Prose(t("releasing.the_certificate_will_say", says=says)) for says in review.certificate_says]
    if stated is not None:
        blocks += [Heading(t("releasing.what_it_will_say")), stated]
    blocks += [caution_block("preservation"), caution_block("claims"), caution_block("own-numbers")]
    return Page(
        title=t("releasing.release_of", lot_code=lot.code, lot_name=lot.name),
        kind="release",
        code=lot.code,
        blocks=tuple(blocks),
        **page_facts,
        status=account.status.value,
        lead=t("releasing.to_close", missing=len(review.missing)) if review.missing else "",
        href=f"/products/{lot.code}/release",
    )


def certificate_page(facts: CertificateFacts, **page_facts: Unpack[PageFacts]) -> Page:
    """The certificate of a released lot, with its sources.

    Raises
    ------
    NotAllowed
        The lot is not released, or a figure rests on an assumption.
    """
    lot = facts.account.lot
    if facts.released is None:
        raise NotAllowed(
            "A certificate is for a released lot",
            worded("{lot_code}, which is {status}", lot_code=lot.code, status=facts.account.status),
            "Release it first",
        )
    if facts.assumed:
        raise NotAllowed(
            "An assumed figure never reaches a certificate",
            ", ".join(facts.assumed),
            "Measure it, then print again",
        )
    pairs: list[tuple[str, Any]] = [
        (t("releasing.lot"), lot.code),
        (t("releasing.product"), lot.name),
        (
            t("releasing.amount"),
            amount_text(facts.account.came, facts.account.counted_in)
            + (" bottles" if facts.account.counted_in == "piece" else ""),
        ),
        (t("releasing.made_on"), facts.made_on),
        (t("releasing.use_by"), facts.use_by or t("releasing.not_stated")),
        (t("releasing.for_order"), facts.order or "none"),
    ]
    blocks: list[Block] = [
        Facts(tuple(pairs)),
        Heading(t("releasing.content")),
        facts.stated,
        *((Points(facts.meets),) if facts.meets else ()),
        *(Prose(said) for said in facts.outside),
        Heading(t("releasing.tests")),
        Table(
            (
                t("releasing.test"),
                "On",
                t("releasing.outcome"),
                t("releasing.blank"),
                t("releasing.positive_control"),
                t("releasing.reagent"),
            ),
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
        if facts.tests
        else Prose(t("releasing.identity_precipitate_tests_not")),
        Prose(facts.residue),
        Prose(t("releasing.microbiology_not_tested_metals")),
        Heading(t("releasing.made_from")),
        Table(
            (t("releasing.lot"), t("releasing.what")),
            tuple((Link(code, f"/stock/{code}"), what) for code, what in facts.made_from),
        ),
        Heading(t("releasing.released")),
        Prose(
            t(
                "releasing.by_on",
                released_by=facts.released_by,
                by=facts.released.by,
                done_at=when(facts.released.done_at),
                meaning=facts.released.body.meaning,
            )
            + (t("releasing.no_second_person_checked") if facts.released.body.alone else "")
        ),
        PenLines((t("releasing.signature"),)),
        Heading(t("releasing.how_figures_reckoned")),
        facts.reasons,
        Heading(t("releasing.sources")),
        Table(
            (t("releasing.source"), t("releasing.how_it_was_seen")),
            tuple(
                (source(key).citation.removesuffix(f" [{source(key).seen}]"), source(key).seen)
                for key in facts.sources
            ),
        ),
        ScanCode(lot.code, t("releasing.code_bottle")),
    ]
    return Page(
        title=t("releasing.certificate_for_lot", lot_name=lot.name, lot_code=lot.code),
        kind="certificate",
        code=lot.code,
        blocks=tuple(blocks),
        **page_facts,
        status=facts.account.status.value,
        href=f"/products/{lot.code}/certificate",
    )


def label_page(
    label: Label,
    *,
    code: str,
    name: str,
    copy_by_pen: tuple[str, ...],
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The label at its true size, with three lines to copy by pen and a code a phone reads."""
    face = LabelFace(
        width_mm=90.0,
        height_mm=50.0,
        title=name,
        lines=label.lines[1:4],
        small=label.lines[4:],
        code=code,
        copy_by_pen=copy_by_pen,
    )
    blocks: list[Block] = [face]
    if label.flags:
        blocks += [
            Heading(t("label.look_again")),
            Points(
                tuple(
                    t("label.write_instead", word=one.word, claim=one.claim, wording=one.safer_wording)
                    for one in label.flags
                ),
                "missing",
            ),
        ]
    if label.to_add:
        blocks += [Heading(t("label.only_a_person")), Points(label.to_add, "missing")]
    blocks += [caution_block("allergen"), caution_block("claims")]
    return Page(
        title=t("label.title", name=name, code=code),
        kind="label",
        code=code,
        blocks=tuple(blocks),
        **page_facts,
        href=f"/products/{code}/label",
    )
