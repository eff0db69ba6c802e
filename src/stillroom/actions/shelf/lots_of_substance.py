"""Lots on the shelf of a substance, by any name it goes by."""

from stillroom.records.lots import Lot
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import same_substance


@once
def on_shelf_as(look: Reader, substance: str) -> tuple[Lot, ...]:
    """Lots of which something stands on the shelf, and that stand for a substance: two names are compared once.

    Parameters
    ----------
    substance : str
        As a line of a procedure has it.
    """
    lots = look.lots(on_shelf=True)
    same = {one for one in {lot.substance for lot in lots} if same_substance(one, substance)}
    return tuple(one for one in lots if one.substance in same)
