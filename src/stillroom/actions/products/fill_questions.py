"""What is asked once before a filling is kept: more bottles than the bulk, masses that do not close, packaging.

What was filled is never refused. Without a note the first question is raised; with one it is kept, as a deviation.
"""

from collections.abc import Iterator, Mapping

from stillroom.actions.making.batch_mass import mass_made_g
from stillroom.actions.shelf.lots_in_use import must_be_released
from stillroom.errors import BadEntry, NotAllowed, NotEnough, StillroomError, worded
from stillroom.records.entries import UnitsFilled
from stillroom.store.reader import Reader
from stillroom.stream.happened import closes


def filling_asked_about(look: Reader, body: UnitsFilled, possible: int | None) -> Iterator[StillroomError]:
    """What is odd about the bottles and masses of a filling.

    Parameters
    ----------
    look : Reader
    body : UnitsFilled
    possible : int or None
        Bottles the bulk can fill; None where nothing says. [pieces]
    """
    if possible is not None and body.units > possible:
        yield BadEntry(
            worded("This bulk fills {whole} bottles at most", whole=possible),
            str(body.units),
            "Count again; or say in the note what happened",
            where="units",
        )
    made_g = mass_made_g(look, body.batch)
    out_g = body.filled_g + body.left_over_g
    if not closes(made_g, out_g, all_weighed=True):
        yield BadEntry(
            "What was filled and what is left over come to what was in the vessel",
            worded(
                "{filled_g:.0f} g filled and {left_g:g} g left over, of {made_g:.0f} g",
                filled_g=body.filled_g,
                left_g=body.left_over_g,
                made_g=made_g,
            ),
            "Weigh what is left over again; or say in the note what happened",
            where="left over",
        )


def packaging_asked_about(look: Reader, packaging: Mapping[str, int], on: str) -> Iterator[StillroomError]:
    """What speaks against the packaging that was used.

    Parameters
    ----------
    look : Reader
    packaging : mapping of str to int
        Lots and how many of each.
    on : str
        ISO time of use.
    """
    for code, count in packaging.items():
        try:
            must_be_released(look, look.lot(code), on=on)
        except NotAllowed as error:
            yield error
        held = look.balance_pieces(code)
        if count > held:
            yield NotEnough(
                worded("Lot {lot} holds {held} by the book", lot=code, held=held),
                str(count),
                "Count again; or say in the note what happened",
                where=f"pack {code}",
            )
