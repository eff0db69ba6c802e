"""Only a lot that is released and in date may be used."""

from stillroom.errors import NotAllowed, worded
from stillroom.products.papers import OF_MICROBES
from stillroom.records.lots import Lot, Status
from stillroom.store.reader import Reader


def germs_found(look: Reader, code: str) -> str:
    """What the last count of microbes of a lot found, where it failed; "" where it passed or nobody counted."""
    counts = [one.body for one in look.evidence(code) if one.body.what == OF_MICROBES[0]]
    if not counts or counts[-1].outcome != "fails":
        return ""
    return counts[-1].says or counts[-1].document


def must_pass_its_count(look: Reader, lot: Lot) -> None:
    """Refuse a lot whose last count of microbes failed.

    Raises
    ------
    NotAllowed
    """
    if found := germs_found(look, lot.code):
        raise NotAllowed(
            "What goes into a product passed its last count of microbes",
            worded("{lot_code}, which failed it: {found}", lot_code=lot.code, found=found),
            "Take another lot; or say in the note why this one may be used",
        )


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
    if status is Status.SUSPENDED:
        must_pass_its_count(look, lot)
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
