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
from stillroom.documents.making import when
from stillroom.documents.tracing import LotAccount, amount_text
from stillroom.errors import NotAllowed
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
                ("Lot", lot.code),
                ("What", lot.name),
                ("On the shelf", amount_text(account.shelf, account.counted_in)),
            )
        )
    ]
    if review.missing:
        blocks += [
            Heading("Missing or out"),
            Table(
                ("What", "The quickest way to close it"),
                tuple((one.what, one.close) for one in review.missing),
            ),
        ]
    elif account.status.value == "released":
        blocks.append(Points(("Released. Nothing is missing.",), "done"))
    else:
        blocks.append(Points((f"Nothing is missing. {by} may release it.",), "done"))
    blocks += [Prose(f"The certificate will say: {says}") for says in review.certificate_says]
    if stated is not None:
        blocks += [Heading("What it will say"), stated]
    blocks.append(caution_block("own-numbers"))
    return Page(
        title=f"Release of {lot.code}, {lot.name}",
        kind="release",
        code=lot.code,
        blocks=tuple(blocks),
        **page_facts,
        status=account.status.value,
        lead=f"{len(review.missing)} to close." if review.missing else "",
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
            f"{lot.code}, which is {facts.account.status}",
            "Release it first",
        )
    if facts.assumed:
        raise NotAllowed(
            "An assumed figure never reaches a certificate",
            ", ".join(facts.assumed),
            "Measure it, then print again",
        )
    pairs: list[tuple[str, Any]] = [
        ("Lot", lot.code),
        ("Product", lot.name),
        (
            "Amount",
            amount_text(facts.account.came, facts.account.counted_in)
            + (" bottles" if facts.account.counted_in == "piece" else ""),
        ),
        ("Made on", facts.made_on),
        ("Use by", facts.use_by or "not stated"),
        ("For order", facts.order or "none"),
    ]
    blocks: list[Block] = [
        Facts(tuple(pairs)),
        Heading("Content"),
        facts.stated,
        *((Points(facts.meets),) if facts.meets else ()),
        *(Prose(said) for said in facts.outside),
        Heading("Tests"),
        Table(
            ("Test", "On", "Outcome", "Blank", "Positive control", "Reagent"),
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
        else Prose("Identity and precipitate tests: not tested."),
        Prose(facts.residue),
        Prose("Microbiology: not tested. Metals and pesticides: not tested."),
        Heading("Made from"),
        Table(("Lot", "What"), tuple((Link(code, f"/stock/{code}"), what) for code, what in facts.made_from)),
        Heading("Released"),
        Prose(
            f"By {facts.released_by} ({facts.released.by}) on {when(facts.released.done_at)}: "
            f"{facts.released.body.meaning}."
            + (" No second person checked this release." if facts.released.body.alone else "")
        ),
        PenLines(("Signature",)),
        Heading("How the figures were reckoned"),
        facts.reasons,
        Heading("Sources"),
        Table(
            ("Source", "How it was seen"),
            tuple(
                (source(key).citation.removesuffix(f" [{source(key).seen}]"), source(key).seen)
                for key in facts.sources
            ),
        ),
        ScanCode(lot.code, "the code on the bottle"),
    ]
    return Page(
        title=f"Certificate for {lot.name}, lot {lot.code}",
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
    return Page(
        title=t("label.title", name=name, code=code),
        kind="label",
        code=code,
        blocks=tuple(blocks),
        **page_facts,
        href=f"/products/{code}/label",
    )
