"""The label of a reagent bottle at its true size, and the certificate that goes with a bottle that is sold.

Promises the hazards of what went in, in words: no pictogram, since nobody classified the mixture. What is not known
yet is a line for the pen.
"""

from dataclasses import dataclass
from typing import Unpack

from stillroom.answers.reagent_life import LifeRule
from stillroom.documents.blocks import Block, Facts, Heading, LabelFace, Page, PageFacts, Points, Table
from stillroom.substances.reagent_care import signal_of, statements
from stillroom.texts.catalogue import t

LABEL_MM = (100.0, 70.0)
PEN = "__________"


@dataclass(frozen=True, slots=True)
class BottleFacts:
    """What stands on a bottle.

    ``made``, ``made_by``, ``opened``: days and code, "" for the pen.
    """

    title: str
    amount: str
    hazards: str
    """Numbers of the statements."""
    container: str
    waste: str
    lot: str = ""
    """Empty before it is made."""
    made: str = ""
    made_by: str = ""
    opened: str = ""
    use_by: LifeRule | None = None
    keeps: str = ""
    """For the pen, where there is no lot yet."""


def bottle_label(facts: BottleFacts, *, href: str, **page_facts: Unpack[PageFacts]) -> Page:
    """The label of a bottle, to print or to copy by pen.

    Parameters
    ----------
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    found = statements(facts.hazards)
    signal = signal_of(found)
    until = facts.use_by.last_day if facts.use_by else PEN
    lines = (
        t("{amount}   Lot {lot}", amount=facts.amount, lot=facts.lot or PEN),
        t("Made {day} by {by}", day=facts.made or PEN, by=facts.made_by or PEN),
        t("Opened {day} by {pen}", day=facts.opened or PEN, pen=PEN),
        t("Use by {until}", until=until) + (f" ({facts.keeps})" if facts.keeps and not facts.use_by else ""),
        *((signal.upper(),) if signal else ()),
    )
    small = (
        *(
            (" ".join(f"{one.statement} {one.wording}" for one in found),)
            if found
            else (t("No hazard statement is known of what went in."),)
        ),
        t(
            "Store: {container}. Waste: {waste}.",
            container=facts.container or t("not stated"),
            waste=facts.waste or t("not stated"),
        ),
        t("Hazards of what went in."),
    )
    face = LabelFace(
        *LABEL_MM,
        title=facts.title,
        lines=lines,
        small=small,
        code=facts.lot,
        copy_by_pen=(
            t(
                "{title}   {amount}   lot {lot}",
                title=facts.title,
                amount=facts.amount,
                lot=facts.lot or "______",
            ),
            t(
                "made {day}   opened ________   use by {until}",
                day=facts.made or "________",
                until=until.replace(PEN, "________"),
            ),
            f"{signal.upper() or t('no signal word')} {' '.join(one.statement for one in found)}".strip(),
        ),
    )
    return Page(
        t("Label for {title}", title=facts.title),
        "label",
        facts.lot,
        (
            face,
            Points(
                (
                    t(
                        "For use at the bench. A control test before use counts more than any date on the label."
                    ),
                ),
                "missing",
            ),
        ),
        href=href,
        **page_facts,
    )


@dataclass(frozen=True, slots=True)
class ReagentFacts:
    """What goes with a bottle that is sold."""

    title: str
    lot: str
    status: str
    made_from: tuple[tuple[str, str], ...]
    """Lots and what they are."""
    use_by: LifeRule | None
    trials: tuple[str, ...]
    """Controls before use, in words."""
    factor: str
    """Factor of a titrant, "" where none is recorded."""
    hazards: str
    permit: str


def reagent_certificate(facts: ReagentFacts, *, href: str, **page_facts: Unpack[PageFacts]) -> Page:
    """The certificate of one lot of reagent, with its factor where one is recorded.

    Parameters
    ----------
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    found = statements(facts.hazards)
    blocks: list[Block] = [
        Facts(
            (
                (t("Lot"), facts.lot),
                (
                    t("Use by"),
                    f"{facts.use_by.last_day}: {facts.use_by.says}" if facts.use_by else t("not stated"),
                ),
                (t("Factor"), facts.factor or t("none recorded: not a titrant")),
                (t("May need a permit here"), facts.permit or t("none is usual")),
            )
        ),
        Heading(t("Made from")),
        Table((t("Lot"), t("What")), facts.made_from)
        if facts.made_from
        else Points((t("Bought, not made here."),)),
        Heading(t("Controls before use")),
        Points(facts.trials or (t("None was written."),), "done" if facts.trials else "missing"),
        Heading(t("Hazards of what went in")),
        Points(tuple(f"{one.statement} {one.wording}" for one in found) or (t("No statement is known."),)),
    ]
    return Page(
        t("Certificate of {title}, lot {lot}", title=facts.title, lot=facts.lot),
        "certificate",
        facts.lot,
        tuple(blocks),
        status=facts.status,
        href=href,
        **page_facts,
    )
