"""Only a lot that is released and in date may be used."""

from stillroom.errors import NotAllowed, worded
from stillroom.records.lots import Lot, Status
from stillroom.store.reader import Reader


def must_be_released(look: Reader, lot: Lot, *, on: str) -> None:
    """Refuse a lot that is not released, or whose use-by date has passed.

    Parameters
    ----------
    on : str
        ISO date or time of use.

    Raises
    ------
    NotAllowed
    """
    status = look.status(lot.code)
    if status is not Status.RELEASED:
        raise NotAllowed(
            "Only a released lot may be used",
            worded("{lot_code}, which is {status}", lot_code=lot.code, status=status),
            "Release it first, or take another lot",
        )
    if lot.use_by and on[:10] > lot.use_by:
        raise NotAllowed(
            "A lot may be used until its use-by date",
            worded("{lot_code}, use by {use_by}", lot_code=lot.code, use_by=lot.use_by),
            "Take a fresher lot",
        )
