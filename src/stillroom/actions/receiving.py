"""Lots come in: received waiting, looked at, dried, released or not."""

from datetime import datetime

from stillroom.actions.laboratory import Done, Laboratory
from stillroom.errors import BadEntry, NotAllowed
from stillroom.evidence.answer import Answer, reading, trail
from stillroom.quantities.parse import parse
from stillroom.records.entries import IdentityDecided, LotReceived, ReadingTaken, ResultReckoned
from stillroom.records.entry_json import body_to_json
from stillroom.records.lots import SHELF, CountedIn, Lot, LotKind, Movement, micrograms
from stillroom.results.drying import loss_on_drying
from stillroom.store.pen import Pen
from stillroom.substances.plants import refuse_prohibited

DRYING = "loss on drying"


def amount_of(text: str, *, where: str = "amount") -> tuple[int, CountedIn]:
    """Whole micrograms or pieces of an amount a person wrote.

    Parameters
    ----------
    text : str
        "2.000 kg", "39.20 g", "120 bottles".
    where : str
        Field named in an error.

    Returns
    -------
    (int, "ug" or "piece")

    Raises
    ------
    BadEntry
        The amount is not a mass or a count, is not above zero, or is less than a microgram.
    """
    quantity = parse(text, want=("mass", "count"), zero_allowed=False, where=where)
    if quantity.dimension.startswith("count"):
        return round(quantity.value), "piece"
    amount = micrograms(quantity.in_unit("g"))
    if amount <= 0:
        raise BadEntry(
            "A mass must be at least a microgram", text, "Write what the scale showed", where=where
        )
    return amount, "ug"


def receive_lot(
    lab: Laboratory,
    lot: Lot,
    amount: str,
    *,
    by: str,
    at: datetime | None = None,
    apparatus: str = "",
    request_key: str | None = None,
) -> Done:
    """Receive a lot: it waits until somebody decides about it.

    Parameters
    ----------
    lab : Laboratory
    lot : Lot
        Its code must be new.
    amount : str
        What the scale showed, or how many pieces: "2.000 kg", "120 bottles".
    by : str
        Who received it.
    at : datetime or None
        When.
    apparatus : str
        Scale it was weighed on.
    request_key : str or None

    Raises
    ------
    BadEntry
        The code was used before, or the amount cannot be read.
    NotAllowed
        The plant may not be used for these products.
    """
    if lot.kind is LotKind.PLANT:
        refuse_prohibited(lot.substance)
    number, counted_in = amount_of(amount)
    source = f"outside/{lot.supplier or 'not stated'}"
    body = LotReceived(lot, (Movement(lot.code, source, SHELF, number, counted_in),), amount, apparatus)
    with lab.act("receive lot", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        _code_must_be_new(pen, lot.code)
        if apparatus:
            pen.look.apparatus(apparatus)
        return Done((pen.enter(body),), f"{lot.code} is on the shelf and waiting.")


def decide_identity(
    lab: Laboratory,
    lot: str,
    *,
    accepted: bool,
    evidence: str,
    voucher: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Say whether a plant lot is the right species and part, and on what evidence.

    Raises
    ------
    BadEntry
        No evidence is given.
    NotAllowed
        The lot is not plant material.
    """
    if not evidence.strip():
        raise BadEntry("Identity is decided on evidence", "none", "Say what was compared with what")
    body = IdentityDecided(lot, accepted, evidence.strip(), voucher.strip())
    with lab.act("decide identity", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if pen.look.lot(lot).kind is not LotKind.PLANT:
            raise NotAllowed(
                "Identity is decided for plant material", lot, "Release other lots by their papers"
            )
        says = (
            "is accepted as what it is called" if accepted else "is not what it is called; it stays waiting"
        )
        return Done((pen.enter(body),), f"{lot} {says}.")


def weigh_drying(
    lab: Laboratory,
    lot: str,
    *,
    dish: str,
    with_sample: str,
    dried: tuple[str, ...],
    apparatus: str,
    series: str = "drying/1",
    method_spread: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Enter the weighings of a loss on drying and reckon the result.

    Parameters
    ----------
    dish, with_sample : str
        Empty dish, dish with the sample, as the scale showed them.
    dried : tuple of str
        The dish after each drying, in order. The result counts once the last two agree.
    apparatus : str
        Scale.
    series : str
        Name of this determination, when there are several.
    method_spread : str
        Standard deviation between portions seen earlier, in per cent of the sample: "0.3 %".

    Returns
    -------
    Done
        ``says`` tells the loss and whether the mass is constant; if not, what to do next.
    """
    asked = {
        "lot": lot,
        "dish": dish,
        "with_sample": with_sample,
        "dried": list(dried),
        "apparatus": apparatus,
        "series": series,
        "method_spread": method_spread,
    }
    if not dried:
        raise BadEntry("A drying needs a weighing after the oven", "none", "Dry, cool, weigh")
    with lab.act("weigh drying", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        known = pen.look.lot(lot)
        scale = pen.look.apparatus(apparatus)
        written = [("dish", dish), ("dish with sample", with_sample)]
        written += [(f"dish after drying {number}", text) for number, text in enumerate(dried, start=1)]
        answers, numbers = [], []
        for what, text in written:
            mass_g = parse(text, want="mass", zero_allowed=False, where=what).in_unit("g")
            number = pen.enter(
                ReadingTaken(lot, what, mass_g, "g", text, apparatus, series, scale.standard_uncertainty)
            )
            numbers.append(number)
            answers.append(_read(what, mass_g, "g", number, scale.standard_uncertainty))
        spread = None
        if method_spread:
            share = (
                100 * parse(method_spread, want="ratio", basis_required=False, where="method spread").fraction
            )
            what = "difference of the drying between portions"
            number = pen.enter(ReadingTaken(lot, what, 0.0, "%", f"0 ± {method_spread}", "", series, share))
            numbers.append(number)
            spread = _read(what, 0.0, "%", number, share)
        found = loss_on_drying(
            answers[0],
            answers[1],
            answers[2:],
            of="bark" if known.kind is LotKind.PLANT else "extract",
            method_difference=spread,
            scale_step_g=scale.smallest_step,
        )
        numbers.append(
            pen.enter(
                result_of(
                    lot,
                    DRYING,
                    found.answer,
                    "drying at 105 °C to constant mass",
                    found.counts,
                    found.because,
                    tuple(numbers),
                    found.stated.expanded.k,
                )
            )
        )
        return Done(tuple(numbers), found.because)


def _read(what: str, value: float, unit: str, entry_no: int, standard_uncertainty: float) -> Answer:
    return reading(
        what,
        value,
        unit,
        f"entry {entry_no}",
        entry_no=entry_no,
        standard_uncertainty=standard_uncertainty or None,
    )


def result_of(
    subject: str,
    what: str,
    answer: Answer,
    method: str,
    counts: bool,
    because: str,
    readings: tuple[int, ...],
    k: float = 2.0,
) -> ResultReckoned:
    """A result entry from an answer."""
    return ResultReckoned(
        subject=subject,
        what=what,
        value=answer.value,
        unit=answer.unit,
        basis=answer.basis,
        standard_uncertainty=answer.standard_uncertainty,
        coverage_factor=None if answer.standard_uncertainty is None else k,
        method=method,
        counts=counts,
        because=because,
        trail=trail(answer),
        readings=readings,
    )


def _code_must_be_new(pen: Pen, code: str) -> None:
    if code in pen.look.lot_codes():
        raise BadEntry(
            "Every lot has a code of its own",
            f"{code}, which is in the book already",
            "Choose the next free code",
        )
