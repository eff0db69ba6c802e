"""Lots as a form offers them; for a line of a batch also spirit that came back from the same plant.

Promises that what may not be used is shown with the reason. Decides nothing that ``weighing`` does not decide again.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.ethanol_known import EthanolKnown
from stillroom.actions.lots.spirit_lots import crossing_over
from stillroom.actions.shelf.plant_at_hand import may_be_weighed
from stillroom.actions.shelf.titrants_in_date import STRENGTH, titrant_dates
from stillroom.documents.lot_accounts import amount_text
from stillroom.planning.route import is_spirit
from stillroom.records.lot_kinds import LotKind, kinds_that
from stillroom.records.lots import OURS, Lot, Status
from stillroom.records.procedures import Line
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import same_substance
from stillroom.texts.catalogue import t, word


@dataclass(frozen=True, slots=True)
class LotChoice:
    """A lot as a form offers it."""

    code: str
    name: str
    substance: str
    kind: LotKind
    status: Status
    on_shelf: str
    """As words, "1.750 kg"."""
    use_by: str | None
    refused: str = ""
    """Why it may not be used; "" when it may."""
    owner: str = OURS


def lot_choices(
    lab: Laboratory, *, substance: str = "", kinds: Sequence[LotKind] = (), shelf: bool = True
) -> tuple[LotChoice, ...]:
    """Lots of a substance or of some kinds, those that may not be used among them with the reason.

    Parameters
    ----------
    substance : str
        Only lots of it, when given.
    kinds : sequence of LotKind
        Only these kinds, when given.
    shelf : bool
        True leaves out lots of which nothing stands on the shelf.
    """
    today = lab.today().isoformat()
    with lab.look() as look:
        return tuple(
            lot_choice(look, lot, today)
            for lot in look.lots(tuple(kinds) or None, on_shelf=shelf)
            if not substance or same_substance(lot.substance, substance)
        )


def dose_choices(lab: Laboratory, batch: str) -> tuple[LotChoice, ...]:
    """Lots a batch may be dosed with: every extract made here, and what was bought for its dosed line."""
    with lab.look() as look:
        lines = look.procedure_of(batch).lines
    dosed = [one.substance for one in lines if one.role == "dosed"]
    found = lot_choices(lab, kinds=kinds_that(lambda one: one.carrier in ("extract", "ingredient")))
    return tuple(
        one
        for one in found
        if one.kind.traits.carrier == "extract" or any(same_substance(one.substance, each) for each in dosed)
    )


def lot_in_hand(lab: Laboratory, code: str) -> LotChoice:
    """One lot as a form offers it.

    Raises
    ------
    UnknownName
        The book does not hold it.
    """
    with lab.look() as look:
        return lot_choice(look, look.lot(code), lab.today().isoformat())


def lot_choice(look: Reader, lot: Lot, today: str) -> LotChoice:
    """The same, from a book already open."""
    status = look.status(lot.code)
    pieces = look.balance_pieces(lot.code)
    on_shelf = f"{pieces}" if pieces else amount_text(look.balance_ug(lot.code), "ug")
    refused = ""
    if status is not Status.RELEASED:
        refused = t("{status}, not released", status=word(status.value))
    if not refused and lot.use_by and today > lot.use_by:
        refused = t("past its use-by date, {day}", day=lot.use_by)
    if not refused and lot.denaturant_is_unknown:
        refused = t(
            "denatured with something nobody knows, methanol perhaps: not for extracts or "
            "products, not for a burner"
        )
    return LotChoice(
        lot.code, lot.name, lot.substance, lot.kind, status, on_shelf, lot.use_by, refused, lot.owner
    )


def titrants(lab: Laboratory) -> tuple[LotChoice, ...]:
    """Lots whose strength and factor stand in the book, and why one gives no result today."""
    now = lab.clock()
    with lab.look() as look:
        read = {one.body.subject for one in look.readings_named(STRENGTH)}
        found = [
            (lot_choice(look, lot, now.date().isoformat()), titrant_dates(look, lot.code, now))
            for lot in look.lots(kinds_that(lambda one: one.used_to == "test"))
            if lot.code in read
        ]
    return tuple(
        replace(one, refused=one.refused or dates.why_not(one.code, now.date())) for one, dates in found
    )


def lots_for_line(lab: Laboratory, batch: str, substance: str) -> tuple[LotChoice, ...]:
    """Lots a line of a batch can be weighed from; those that may not be used among them, with the reason.

    Parameters
    ----------
    substance : str
        What the line wants.
    """
    with lab.look() as look:
        begun_for = look.batch(batch).order
        order = look.order(begun_for) if begun_for else None
        found = tuple(
            one
            if one.refused or may_be_weighed(look.lot(one.code), order)
            else replace(one, refused=t("not of this batch's customer"))
            for one in lot_choices(lab, substance=substance)
        )
    if not is_spirit(Line("", substance)):
        return found
    today = lab.today().isoformat()
    with lab.look() as look:
        known = EthanolKnown(look)
        back = [
            lot
            for lot in look.lots(kinds_that(lambda one: one.spirit == "recovered"), on_shelf=True)
            if known.share(lot.code).by_mass != 0.0
        ]
        return (*found, *(_with_its_plant(look, known, lot, batch, today) for lot in back))


def _with_its_plant(look: Reader, known: EthanolKnown, lot: Lot, batch: str, today: str) -> LotChoice:
    choice = lot_choice(look, lot, today)
    share = known.share(lot.code)
    why = crossing_over(look, lot, batch) or ("" if share.by_mass else share.says) or choice.refused
    return replace(choice, refused=why)
