"""What a batch counts: the marker of its order, or, where it is made for none, of its procedure."""

from stillroom.actions.laboratory import Laboratory
from stillroom.errors import UnknownName
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader
from stillroom.substances.markers import marker
from stillroom.substances.plants import plant_rule

TOTAL_ALKALOIDS = "total alkaloids"


def counted_by(procedure: Procedure) -> StatedStrength | None:
    """What a procedure was worked out for, as a strength of nothing yet; None where it names no marker.

    Parameters
    ----------
    procedure : Procedure

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

    Parameters
    ----------
    look : Reader
    batch : str
    """
    begun = look.batch(batch)
    if begun.order:
        return look.order(begun.order).aim
    return counted_by(look.procedure(begun.procedure, begun.version))


def counted_in_lot(lab: Laboratory, lot: str) -> StatedStrength | None:
    """What a lot made here counts; None where nothing says.

    Parameters
    ----------
    lab : Laboratory
    lot : str
    """
    with lab.look() as look:
        made_by = look.lot(lot).made_by
        return counted_in(look, made_by) if made_by else None


def alkaloids_of(look: Reader, lot: str) -> tuple[str, ...]:
    """The alkaloids a lot is known for: by the procedure that made it, or by its plant; the first is counted as.

    Parameters
    ----------
    look : Reader
    lot : str
    """
    known = look.lot(lot)
    if known.made_by:
        begun = look.batch(known.made_by)
        named = look.procedure(begun.procedure, begun.version).markers
    else:
        named = plant_rule(known.substance).markers
    return tuple(one for one in named if is_alkaloid(one))


def is_alkaloid(name: str) -> bool:
    """Whether the table of markers calls it an alkaloid."""
    try:
        return marker(name).marker_class.startswith("alkaloid")
    except UnknownName:
        return False
