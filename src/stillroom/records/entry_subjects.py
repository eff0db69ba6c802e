"""What an entry speaks of: codes, movements, lots it brings into being."""

from stillroom.records.entries import (
    AnswerKept,
    ApparatusAdded,
    BatchBegun,
    BatchGivenUp,
    BenchNoted,
    Body,
    BookBegun,
    BookRestored,
    CeilingStated,
    CertificateIssued,
    ComplaintHeard,
    ConditionNoted,
    ControlTestRead,
    DayPlanned,
    DeviationNoted,
    DoseDecided,
    DutiesGiven,
    Entry,
    EvidenceShown,
    GoodsOrdered,
    HouseDescribed,
    IdentityDecided,
    IngredientStated,
    LineDecided,
    LotOpened,
    LotReceived,
    MarkerStated,
    Moved,
    OfferEnded,
    OfferMade,
    OrderTaken,
    OutageNoted,
    PeopleTold,
    PersonJoined,
    PlanMade,
    PlantDescribed,
    PlantStated,
    PriceNoted,
    ProcedureWritten,
    ReadingTaken,
    ReagentAllowed,
    RecallRehearsed,
    ResultReckoned,
    StatusDecided,
    StepDone,
    StockCounted,
    UnitsFilled,
)
from stillroom.records.lots import Lot, Movement

LOOK_AGAIN = (ReadingTaken, ResultReckoned, ControlTestRead, EvidenceShown, IdentityDecided)
"""Kinds that, new, only look at what was made before; in place of an entry that was wrong they are a correction."""


def looks_again(entry: Entry) -> bool:
    """Whether an entry only looks at what was made before it, and corrects nothing."""
    return entry.corrects is None and isinstance(entry.body, LOOK_AGAIN)


def subjects_of(body: Body) -> tuple[str, ...]:
    """Every code an entry speaks of: lots, batches, orders, people, procedures; each once, the main one first."""
    match body:
        case BookBegun() | BookRestored() | ConditionNoted() | PriceNoted() | HouseDescribed():
            found = ["book"]
        case DayPlanned() | BenchNoted():
            found = ["book"]
        case MarkerStated() | PlantStated() | IngredientStated():
            found = ["book"]
        case PersonJoined(person=person):
            found = [person.code]
        case DutiesGiven(person=code):
            found = [code]
        case ApparatusAdded(apparatus=apparatus):
            found = [apparatus.code]
        case ProcedureWritten(procedure=procedure):
            found = [procedure.code]
        case OrderTaken(order=order):
            found = [order.code]
        case OfferMade(code=code):
            found = [code]
        case OfferEnded(code=code, order=order_code):
            found = [code, order_code]
        case PlanMade(order=code) | AnswerKept(order=code):
            found = [code]
        case LotReceived(lot=lot, goods=goods):
            found = [lot.code, goods]
        case GoodsOrdered(code=code, order=order_code):
            found = [code, order_code]
        case (
            IdentityDecided(lot=code)
            | StockCounted(lot=code)
            | LotOpened(lot=code)
            | PlantDescribed(lot=code)
        ):
            found = [code]
        case ReadingTaken(subject=code) | ResultReckoned(subject=code) | StatusDecided(subject=code):
            found = [code]
        case LineDecided(subject=code) | EvidenceShown(subject=code) | CertificateIssued(subject=code):
            found = [code]
        case PeopleTold(subject=code, order=order_code) | ComplaintHeard(subject=code, order=order_code):
            found = [code, order_code]
        case RecallRehearsed(subject=code):
            found = [code]
        case ControlTestRead(subject=code, reagent_lot=reagent):
            found = [code, reagent]
        case BatchBegun(code=code, procedure=procedure_code, order=order_code):
            found = [code, procedure_code, order_code]
        case StepDone(batch=code, movements=movements, lots_made=made):
            found = [code, *(one.lot for one in movements), *(one.code for one in made)]
        case DeviationNoted(batch=code) | BatchGivenUp(batch=code):
            found = [code]
        case CeilingStated(marker=name) | ReagentAllowed(reagent=name):
            found = [name]
        case OutageNoted(batches=batches):
            found = list(batches) or ["book"]
        case DoseDecided(batch=code, extract_lot=extract):
            found = [code, extract]
        case UnitsFilled(batch=code, lot=lot, movements=movements):
            found = [code, lot.code, *(one.lot for one in movements)]
        case Moved(movements=movements, order=order_code):
            found = [*(one.lot for one in movements), order_code]
    return tuple(dict.fromkeys(one for one in found if one))


def movements_of(body: Body) -> tuple[Movement, ...]:
    """The movements an entry makes."""
    match body:
        case LotReceived(movements=movements) | StepDone(movements=movements):
            return movements
        case UnitsFilled(movements=movements) | Moved(movements=movements):
            return movements
    return ()


def lots_of(body: Body) -> tuple[Lot, ...]:
    """The lots an entry brings into being."""
    match body:
        case LotReceived(lot=lot) | UnitsFilled(lot=lot):
            return (lot,)
        case StepDone(lots_made=lots):
            return lots
    return ()


def named_in(body: Body) -> tuple[tuple[str, ...], ...]:
    """What an entry brings in under a code: the code, then what else people look for it by."""
    match body:
        case OrderTaken(order=order):
            return ((order.code, order.customer, order.product),)
        case BatchBegun(code=code, procedure=procedure, order=order_code):
            return ((code, procedure, order_code),)
        case OfferMade(code=code, customer=customer, title=title):
            return ((code, customer, title),)
        case GoodsOrdered(code=code, substance=substance, supplier=supplier):
            return ((code, substance, supplier),)
        case ProcedureWritten(procedure=procedure):
            return ((procedure.code, procedure.title, procedure.makes, procedure.plant),)
    return tuple((lot.code, lot.name, lot.substance, lot.supplier) for lot in lots_of(body))
