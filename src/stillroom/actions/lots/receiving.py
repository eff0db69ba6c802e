"""Lots come in: received waiting, and looked at by somebody competent."""

import re
from dataclasses import replace
from difflib import get_close_matches
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.lots.receiving_by_volume import how_it_weighs, mass_of_volume, volume_and_density
from stillroom.actions.lots.spirit_lots import denaturant_said, refuse_unsaid_denaturant
from stillroom.actions.orders.amounts_planned import STATED
from stillroom.actions.shelf.goods_under_way import NOT_ORDERED, Bought, after_receipt
from stillroom.answers.acid_stated import mass_percent_in_words
from stillroom.errors import BadEntry, Phrase, StillroomError, UnknownName, worded
from stillroom.quantities.parse import parse
from stillroom.quantities.strength_words import read_strength
from stillroom.records.entries import LotReceived
from stillroom.records.entry_json import body_to_json
from stillroom.records.lot_kinds import CountedIn
from stillroom.records.lots import SHELF, Lot, Movement, grams, micrograms
from stillroom.records.written_values import iso_date, one_line
from stillroom.reference.tables import table
from stillroom.store.reader import Reader
from stillroom.substances.own import plant_called
from stillroom.substances.plants import plant_rule, refuse_prohibited
from stillroom.substances.spirit_strengths import ethanol_mass_fraction_of
from stillroom.texts.catalogue import t


def amount_of(text: str, *, where: str = "amount") -> tuple[int, CountedIn]:
    """Whole micrograms or pieces of an amount a person wrote.

    Parameters
    ----------
    text : str
        "2.000 kg", "39.20 g", "120 bottles".
    where : str
        Field named in an error.

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


def amount_of_lot(look: Reader, lot: str, text: str, *, where: str = "amount") -> tuple[int, CountedIn]:
    """The same of a lot in the book: a bare whole number of what is counted is pieces.

    Parameters
    ----------
    where : str
        Field named in an error.
    """
    counted = look.holds(lot)[0] and look.lot(lot).kind.traits.counted_in == "piece"
    return amount_of(_pieces(text) if counted else text, where=where)


def pieces_of(text: str, *, where: str) -> int:
    """How many pieces a person wrote.

    Parameters
    ----------
    text : str
        "26", "26 bottles".
    where : str
        Field named in an error.

    Raises
    ------
    BadEntry
        It is no whole number of pieces, or none at all.
    """
    number, counted_in = amount_of(_pieces(text), where=where)
    if counted_in != "piece":
        raise BadEntry("Pieces are counted", repr(text), "Write 26, or 26 bottles", where=where)
    return number


def _pieces(text: str) -> str:
    return f"{text.strip()} pieces" if text.strip().isdecimal() else text


def received(lot: Lot, text: str) -> tuple[int, CountedIn, float | None]:
    """What a receipt puts onto the shelf; a liquid may be received by volume at a temperature.

    Parameters
    ----------
    text : str
        "2.000 kg", "120 bottles", "5 L at 22 °C", "5 L at 22 °C, 0.8011 g/mL".

    Returns
    -------
    (int, "ug" or "piece", float or None)
        Whole micrograms or pieces, and the standard uncertainty of a mass that was calculated. [ug or 1, g]

    Raises
    ------
    BadEntry
        As ``amount_of``; or the mass of that volume cannot be known.
    """
    if not _is_volume(text):
        number, counted_in = amount_of(_pieces(text) if lot.kind.traits.counted_in == "piece" else text)
        return number, counted_in, None
    mass = mass_of_volume(lot, text)
    return micrograms(mass.value), "ug", mass.standard_uncertainty


def _is_volume(text: str) -> bool:
    try:
        return parse(volume_and_density(text)[0], where="amount").dimension == "volume"
    except StillroomError:
        return False


def lot_code_must_fit(code: str) -> None:
    """Refuse a code that cannot stand on a jar and in an address.

    Raises
    ------
    BadEntry
        It is empty, too long, or holds another sign.
    """
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,23}", code):
        raise BadEntry(
            "A lot code is up to 24 letters, digits, dots and dashes",
            repr(code[:40]),
            "Write it as on the jar",
            where="code",
        )


def receipt(lot: Lot, amount: str, apparatus: str = "") -> LotReceived:
    """The entry of a receipt, as it is written first and after a correction.

    Parameters
    ----------
    amount : str
        As for ``receive_lot``.
    apparatus : str
        Scale it was weighed on.

    Raises
    ------
    StillroomError
        As for ``receive_lot``, but for the code.
    """
    lot = _in_words(lot)
    if lot.kind.traits.carrier == "plant":
        refuse_prohibited(lot.substance)
        lot = replace(lot, substance=plant_called(lot.substance))
    lot = replace(lot, denatured_with=denaturant_said(lot.denatured_with))
    refuse_unsaid_denaturant(lot)
    lot = replace(lot, use_by=iso_date(lot.use_by, "use by") if lot.use_by else None)
    number, counted_in, sure_g = received(lot, amount)
    _refuse_odd_lot(lot, counted_in)
    source = f"outside/{lot.supplier or 'not stated'}"
    moved = Movement(lot.code, source, SHELF, number, counted_in)
    return LotReceived(lot, (moved,), amount, apparatus, sure_g)


def receive_lot(
    lab: Laboratory,
    lot: Lot,
    amount: str,
    *,
    apparatus: str = "",
    bought: Bought = NOT_ORDERED,
    **sign: Unpack[Signed],
) -> Done:
    """Receive a lot: it waits until somebody decides about it.

    Parameters
    ----------
    lot : Lot
        Its code must be new.
    amount : str
        What the scale showed, how many pieces, or a volume at its temperature: "2.000 kg", "120 bottles",
        "5 L at 22 °C".
    apparatus : str
        Scale it was weighed on.
    bought : Bought
        What was ordered that it is, what was paid, and when the rest comes.

    Raises
    ------
    BadEntry
        The code was used before or cannot stand in an address, the amount cannot be read, a stated strength is
        impossible, or the use-by date is none.
    UnknownName
        The plant is not known, but one with nearly that name is.
    NotAllowed
        The plant may not be used for these products.
    """
    body = replace(receipt(lot, amount, apparatus), goods=bought.goods)
    asked = {**body_to_json(body), "price": bought.price, "rest comes": bought.rest_comes}
    with lab.act("receive lot", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        refuse_taken_code(pen.look, lot.code)
        says = t("{lot_code} is on the shelf and waiting.", lot_code=lot.code)
        if apparatus and body.mass_standard_uncertainty_g is None and body.movements[0].counted_in == "ug":
            told = pen.look.apparatus(apparatus).told_of((grams(body.movements[0].amount), body.as_written))
            says = f"{says} {told}".rstrip()
        if body.mass_standard_uncertainty_g is not None:
            mass_g, sure_g = grams(body.movements[0].amount), 2.0 * body.mass_standard_uncertainty_g
            weighs = t(
                "{amount} weigh {mass_g:.1f} ± {sure_g:.1f} g (k = 2), {by}.",
                by=how_it_weighs(amount),
                amount=amount,
                mass_g=mass_g,
                sure_g=sure_g,
            )
            says = f"{weighs} {says}"
        number = pen.enter(body)
        followed, told = after_receipt(pen, body, bought)
        return Done((number, *followed), f"{says} {told}".strip())


def _in_words(lot: Lot) -> Lot:
    """The lot with each of its words as one line, whichever door it came in by."""

    def said(text: str, where: str) -> str:
        return one_line(text, where) if text else ""

    return replace(
        lot,
        substance=one_line(lot.substance, "substance"),
        name=said(lot.name, "name"),
        owner=said(lot.owner, "owner"),
        supplier=said(lot.supplier, "supplier"),
        stated=said(lot.stated, "stated"),
        denatured_with=said(lot.denatured_with, "denatured with"),
    )


def _refuse_odd_lot(lot: Lot, counted_in: CountedIn) -> None:
    lot_code_must_fit(lot.code)
    if lot.kind.traits.comes_in == "as an ingredient":
        raise BadEntry(
            "An extract that was bought is received as an ingredient",
            str(lot.kind),
            "Receive it so, and enter what it holds from its certificate",
            where="kind",
        )
    in_pieces = lot.kind.traits.counted_in == "piece"
    if in_pieces != (counted_in == "piece"):
        raise BadEntry(
            worded(
                "{kind} is {which}",
                kind=str(lot.kind).capitalize(),
                which=Phrase("counted in pieces" if in_pieces else "weighed"),
            ),
            "pieces" if counted_in == "piece" else "a mass",
            where="amount",
        )
    if lot.stated:
        _refuse_odd_strength(lot)
    if lot.kind.traits.carrier == "plant":
        known = [row.key for row in table("plants").rows]
        if plant_rule(lot.substance).status == "no rule found" and get_close_matches(
            lot.substance, known, 1, 0.8
        ):
            raise UnknownName.among(lot.substance, "a plant", known)


def _refuse_odd_strength(lot: Lot) -> None:
    """Refuse a stated strength of spirit, acid or ammonia that nothing could be reckoned with."""
    try:
        if lot.kind.traits.is_clear:
            ethanol_mass_fraction_of(read_strength(lot.stated, where="stated"))
        elif any(lot.substance.startswith(start) for start in STATED.values()):
            mass_percent_in_words(lot.stated, lot.substance, where="stated")
    except StillroomError as error:
        raise error.at("stated") from None


def refuse_taken_code(look: Reader, code: str) -> None:
    """Refuse a code that stands for a lot already.

    Raises
    ------
    BadEntry
        It does.
    """
    if look.holds(code)[0]:
        raise BadEntry(
            "Every lot has a code of its own",
            worded("{code}, which is in the book already", code=code),
            "Choose the next free code",
        )
