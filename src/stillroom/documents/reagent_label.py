"""The label of a reagent bottle at its true size, and the certificate that goes with a bottle that is sold.

Promises the hazards of what went in, in words: no pictogram, since nobody classified the mixture. What is not known
yet is a line for the pen.
"""

from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import Block, Facts, Heading, LabelFace, Page, PageFacts, Points, Table
from stillroom.results.reagent_life import LifeRule
from stillroom.substances.reagent_care import signal_of, statements
from stillroom.texts.catalogue import t

LABEL_MM = (100.0, 70.0)
PEN = "__________"


@dataclass(frozen=True, slots=True)
class BottleFacts:
    """What stands on a bottle.

    Attributes
    ----------
    title : str
    amount : str
    hazards : str
        Numbers of the statements.
    container, waste : str
    lot : str
        "" before it is made.
    made, made_by, opened : str
        Days and code, "" for the pen.
    use_by : LifeRule or None
    keeps : str
        For the pen, where there is no lot yet.
    """

    title: str
    amount: str
    hazards: str
    container: str
    waste: str
    lot: str = ""
    made: str = ""
    made_by: str = ""
    opened: str = ""
    use_by: LifeRule | None = None
    keeps: str = ""


def bottle_label(facts: BottleFacts, *, href: str, **page_facts: Unpack[PageFacts]) -> Page:
    """The label of a bottle, to print or to copy by pen.

    Parameters
    ----------
    facts : BottleFacts
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    found = statements(facts.hazards)
    signal = signal_of(found)
    until = facts.use_by.last_day if facts.use_by else PEN
    lines = (
        t("reagent_label.amount_and_lot", amount=facts.amount, lot=facts.lot or PEN),
        t("reagent_label.made_by", day=facts.made or PEN, by=facts.made_by or PEN),
        t("reagent_label.opened_by", day=facts.opened or PEN, pen=PEN),
        t("reagent_label.use_by_until", until=until)
        + (f" ({facts.keeps})" if facts.keeps and not facts.use_by else ""),
        *((signal.upper(),) if signal else ()),
    )
    small = (
        *(
            (" ".join(f"{one.statement} {one.wording}" for one in found),)
            if found
            else (t("reagent_label.no_hazard_statement_known"),)
        ),
        t(
            "reagent_label.store_waste",
            container=facts.container or t("reagent_label.not_stated"),
            waste=facts.waste or t("reagent_label.not_stated"),
        ),
        t("reagent_label.hazards_went_local_codes"),
    )
    face = LabelFace(
        *LABEL_MM,
        title=facts.title,
        lines=lines,
        small=small,
        code=facts.lot,
        copy_by_pen=(
            t(
                "reagent_label.title_amount_lot",
                title=facts.title,
                amount=facts.amount,
                lot=facts.lot or "______",
            ),
            t(
                "reagent_label.made_opened_use_by",
                day=facts.made or "________",
                until=until.replace(PEN, "________"),
            ),
            f"{signal.upper() or t('reagent_label.no_signal_word')} {' '.join(one.statement for one in found)}".strip(),
        ),
    )
    return Page(
        t("reagent_label.label_for", title=facts.title),
        "label",
        facts.lot,
        (face, Points((t("reagent_label.bottle_bench_control_before"),), "missing")),
        href=href,
        **page_facts,
    )


@dataclass(frozen=True, slots=True)
class CertificateFacts:
    """What goes with a bottle that is sold.

    Attributes
    ----------
    title, lot, status : str
    made_from : tuple of (str, str)
        Lots and what they are.
    use_by : LifeRule or None
    trials : tuple of str
        Controls before use, in words.
    factor : str
        Factor of a titrant, "" where none is recorded.
    hazards : str
    permit : str
    """

    title: str
    lot: str
    status: str
    made_from: tuple[tuple[str, str], ...]
    use_by: LifeRule | None
    trials: tuple[str, ...]
    factor: str
    hazards: str
    permit: str


def reagent_certificate(facts: CertificateFacts, *, href: str, **page_facts: Unpack[PageFacts]) -> Page:
    """The certificate of one lot of reagent, with its factor where one is recorded.

    Parameters
    ----------
    facts : CertificateFacts
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    found = statements(facts.hazards)
    blocks: list[Block] = [
        Facts(
            (
                (t("reagent_label.lot"), facts.lot),
                (
                    t("reagent_label.use_by_line"),
                    f"{facts.use_by.last_day}: {facts.use_by.says}"
                    if facts.use_by
                    else t("reagent_label.not_stated"),
                ),
                (t("reagent_label.factor"), facts.factor or t("reagent_label.none_recorded_not_titrant")),
                (t("reagent_label.may_need_permit"), facts.permit or t("reagent_label.none_is_usual")),
            )
        ),
        Heading(t("reagent_label.made_from")),
        Table((t("reagent_label.lot"), t("reagent_label.what")), facts.made_from)
        if facts.made_from
        else Points((t("reagent_label.bought_not_made_here"),)),
        Heading(t("reagent_label.controls_before_use")),
        Points(facts.trials or (t("reagent_label.none_was_written"),), "done" if facts.trials else "missing"),
        Heading(t("reagent_label.hazards_went")),
        Points(
            tuple(f"{one.statement} {one.wording}" for one in found)
            or (t("reagent_label.no_statement_is_known"),)
        ),
    ]
    return Page(
        t("reagent_label.certificate_of_lot", title=facts.title, lot=facts.lot),
        "certificate",
        facts.lot,
        tuple(blocks),
        status=facts.status,
        href=href,
        **page_facts,
    )
