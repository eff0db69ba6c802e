"""Papers and tests from elsewhere that the release list asks for, for a lot or for every batch of a formula."""

from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.book.product_made import product_of
from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.products.papers import PAPERS, paper_name, papers_asked
from stillroom.records.entries import EvidenceShown
from stillroom.records.release_entries import Outcome
from stillroom.records.written_values import iso_date, note, one_line, whole_number
from stillroom.texts.catalogue import t

OUTCOMES: tuple[Outcome, ...] = ("passes", "fails", "shown")
LONGEST_DAYS = 3660


def show_paper(
    lab: Laboratory,
    lot: str,
    what: str,
    *,
    outcome: str,
    says: str = "",
    document: str,
    dated: str = "",
    keeps_days: str = "",
    every_batch: bool = False,
    **sign: Unpack[Signed],
) -> Done:
    """Enter a paper or a test from elsewhere.

    Parameters
    ----------
    lot : str
        Lot of bottles it speaks of; of a count of microbes also what goes into them.
    what : str
        One of ``PAPERS``.
    says : str
        What was found, in its words: "below 10 CFU/g; no pathogens in 1 g".
    document : str
        Number and issuer.
    dated : str
        [ISO date]
    keeps_days : str
        For stability: how many days it shows that the product keeps.
    every_batch : bool
        True where it holds for every batch of the formula.

    Raises
    ------
    UnknownName
        The list asks for no such paper.
    BadEntry
        The document, the outcome or, for stability, the days are missing.
    """
    if what not in PAPERS:
        raise UnknownName.among(what, "a paper of the release list", PAPERS)
    chosen = next((one for one in OUTCOMES if one == outcome), None)
    if chosen is None:
        raise BadEntry(
            worded("A paper {told}", told=" or ".join(OUTCOMES)), repr(outcome), "Choose one", where="outcome"
        )
    days: int | None = None
    if what == "stability":
        days = whole_number(keeps_days, "keeps-days") if keeps_days.strip() else 0
        if not 0 < days <= LONGEST_DAYS:
            raise BadEntry(
                "A document on stability says how many days it shows",
                keeps_days or "nothing",
                "Write the days, such as 730",
                where="keeps-days",
            )
    with lab.act(
        "show paper",
        {
            "lot": lot, "what": what, "outcome": outcome, "says": says, "document": document, "dated": dated,
            "keeps_days": keeps_days, "every_batch": every_batch,
        },
        **sign,
    ) as pen:  # fmt: skip
        if pen.earlier:
            return Done(pen.earlier)
        known = pen.look.lot(lot)
        if what not in papers_asked(known.kind.traits):
            raise BadEntry(
                "Papers belong to a product, and a count of microbes to what goes into one",
                worded("{what} of {lot}, which is {kind}", what=what, lot=lot, kind=known.kind.value),
                "Name a lot of bottles",
            )
        every_batch = every_batch and known.kind.traits.made_as == "formula"
        subject = product_of(pen.look, known.made_by or lot).formula if every_batch else lot
        body = EvidenceShown(
            subject,
            what,
            chosen,
            note(says, "says") if says.strip() else "",
            one_line(document, "document"),
            iso_date(dated, "dated") if dated.strip() else "",
            days,
        )
        return Done(
            (pen.enter(body),),
            t("{name} is entered: {document}.", name=paper_name(what), document=body.document),
        )
