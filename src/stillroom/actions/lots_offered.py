"""Lots a line of a batch is offered: those of its substance, and spirit that came back from the same plant.

Promises that what may not be used is shown with the reason. Decides nothing that ``weighing`` does not decide again.
"""

from dataclasses import replace

from stillroom.actions.ethanol_known import EthanolKnown
from stillroom.actions.in_hand import LotChoice, lot_choice, lot_choices
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.spirit_lots import crossing_over
from stillroom.planning.chain import is_spirit
from stillroom.records.lots import Lot, LotKind
from stillroom.records.procedures import Line
from stillroom.store.reader import Reader


def lots_for_line(lab: Laboratory, batch: str, substance: str) -> tuple[LotChoice, ...]:
    """Lots a line of a batch can be weighed from; those that may not be used among them, with the reason.

    Parameters
    ----------
    lab : Laboratory
    batch : str
    substance : str
        What the line wants.
    """
    found = lot_choices(lab, substance=substance)
    if not is_spirit(Line("", substance)):
        return found
    today = lab.clock().date().isoformat()
    with lab.look() as look:
        known = EthanolKnown(look)
        back = [
            lot
            for lot in look.lots(kind=LotKind.RECOVERED)
            if look.balance_ug(lot.code) > 0 and known.share(lot.code).by_mass != 0.0
        ]
        return (*found, *(_with_its_plant(look, known, lot, batch, today) for lot in back))


def _with_its_plant(look: Reader, known: EthanolKnown, lot: Lot, batch: str, today: str) -> LotChoice:
    choice = lot_choice(look, lot, today)
    share = known.share(lot.code)
    why = crossing_over(look, lot, batch) or ("" if share.by_mass else share.says) or choice.refused
    return replace(choice, refused=why)
