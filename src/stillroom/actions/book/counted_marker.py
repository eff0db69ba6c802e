"""What a batch counts: the marker of its order, or, where it is made for none, of its procedure."""

from dataclasses import dataclass

from stillroom.actions.book.results_kept import as_assayed
from stillroom.errors import BadEntry, worded
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader
from stillroom.substances.markers import charge_of
from stillroom.substances.own import Charge
from stillroom.substances.plant_contents import contents_of
from stillroom.substances.plants import plant_rule

TOTAL_ALKALOIDS = "total alkaloids"
TITRATED_AS: dict[Charge, str] = {"base": TOTAL_ALKALOIDS, "acid": "total acids"}
"""What a titration finds of each charge: everything of that kind, never one compound."""


def counted_by(procedure: Procedure) -> StatedStrength | None:
    """What a procedure was worked out for, as a strength of nothing yet; None where it names no marker.

    Notes
    -----
    Two alkaloids or more are counted together, as the first of them.
    """
    if not procedure.markers:
        return None
    first = procedure.markers[0]
    together = len(procedure.markers) > 1 and all(is_alkaloid(one) for one in procedure.markers)
    return StatedStrength(0.0, TOTAL_ALKALOIDS if together else first, first, "")


def counted_in(look: Reader, batch: str) -> StatedStrength | None:
    """What a batch counts; None where neither its order nor its procedure says.

    Notes
    -----
    A group that its procedure names ("total phenols") is no compound: it counts as its assay does, or its plant's.
    """
    begun = look.batch(batch)
    if begun.order and made_to_its_order(look, batch):
        return look.order(begun.order).aim
    procedure = look.procedure_of(batch)
    counted = counted_by(procedure)
    if counted is None:
        return None
    for lot in (batch, *_scaled_by(look, batch, procedure)):
        counted = as_assayed(look, lot, counted)
    return counted


def _scaled_by(look: Reader, batch: str, procedure: Procedure) -> tuple[str, ...]:
    """Lots weighed in as what a batch is in proportion to: of an extraction its plant."""
    return tuple(
        dict.fromkeys(
            one.lot
            for entry in look.steps(batch)
            for one in entry.body.weighings
            if one.line == procedure.scaled_by and one.direction == "in" and one.lot and one.actual_g > 0
        )
    )


def made_to_its_order(look: Reader, batch: str) -> bool:
    """Whether a batch is made to the strength of its order: not where it gives another ingredient of that formula."""
    begun = look.batch(batch)
    if not begun.order or look.order(begun.order).is_plain:
        return False
    order, markers = look.order(begun.order), look.procedure_of(batch).markers
    own = not markers or bool({order.aim.of, order.aim.reckoned_as} & set(markers))
    return own or begun.procedure in (order.extraction, order.formula)


@dataclass(frozen=True, slots=True)
class Titrated:
    """What a titration of a lot finds: all bases, or all acids, counted as the first of the compounds named."""

    of: str
    """One of "total alkaloids" or "total acids"."""
    as_compounds: tuple[str, ...]
    """The first is what they are counted as; the last is the other of their mean."""


def titrated_in(look: Reader, lot: str) -> Titrated:
    """What a titration of a lot counts, by what it was ordered for, by its procedure, or by its plant.

    Raises
    ------
    BadEntry
        No marker is named, or none of them can be titrated; what would do instead is said.
    """
    known = look.lot(lot)
    named = _named(look, lot)
    charges = {one: charge_of(one) for one in named}
    first = next((charges[one] for one in named if charges[one] in TITRATED_AS), None)
    if first is not None:
        return Titrated(TITRATED_AS[first], tuple(one for one in named if charges[one] == first))
    if not any(one != "not known" for one in charges.values()):
        raise BadEntry(
            "A titration counts what it finds as one compound, and by its charge as base or acid",
            worded(
                "{known_name} with {markers}", known_name=known.name, markers=", ".join(named) or "no marker"
            ),
            "Enter the marker with its molar mass and charge (Laboratory, Markers, plants and ingredients of your "
            "own; or the verb own), or enter the result of an outside laboratory",
        )
    raise BadEntry(
        "A base is titrated with acid, an acid with alkali; a permanent charge, or none, by neither",
        "; ".join(f"{one}: {charge}" for one, charge in charges.items() if charge != "not known"),
        "Enter the result of an outside laboratory",
    )


def _named(look: Reader, lot: str) -> tuple[str, ...]:
    """The markers of a lot: of its order first, then of its procedure, or of its plant."""
    known = look.lot(lot)
    if known.made_by:
        begun = look.batch(known.made_by)
        aim = look.order(begun.order).aim.reckoned_as if made_to_its_order(look, begun.code) else ""
        ordered = (aim,) if aim else ()
        return tuple(dict.fromkeys((*ordered, *look.procedure_of(known.made_by).markers)))
    held = (one.marker for one in contents_of(known.substance))
    return tuple(dict.fromkeys((*plant_rule(known.substance).markers, *held)))


def is_alkaloid(name: str) -> bool:
    """Whether a marker is a base that an acid titrates."""
    return charge_of(name) == "base"
