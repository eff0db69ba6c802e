"""What a question worked out is made: its recipe is kept, and it becomes a lot of the lots it was poured from.

A spirit is taken by the lot that was chosen, whatever the question called it. Says nothing of what the lot then is: its
strength is read, a reagent is tried.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.questions import answered
from stillroom.actions.testing.reagents import make_reagent
from stillroom.errors import NotAllowed
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader


def recipe_of_answer(lab: Laboratory, question: str, asked: Mapping[str, str]) -> Procedure:
    """The recipe of what an answer mixes.

    Parameters
    ----------
    question : str
        "dilute", "blend", "acid" or "buffer".
    asked : mapping of str to str
        Every entry.

    Raises
    ------
    NotAllowed
        Nothing is mixed by it.
    StillroomError
        As when it is asked.
    """
    found = answered(question, asked, lab.today(), lab=lab)
    if found.refused is not None:
        raise found.refused
    recipe = found.recipe() if found.recipe else None
    if recipe is None:
        raise NotAllowed(
            "Only what is mixed by an answer is made", found.page.title, "Weigh it by hand, or ask again"
        )
    return recipe


def make_answer(
    lab: Laboratory,
    question: str,
    asked: Mapping[str, str],
    *,
    code: str,
    weighed: Sequence[Weighed],
    keeps_days: int = 0,
    scale: str = "",
    ticks: Sequence[str] = (),
    note: str = "",
    **sign: Unpack[Signed],
) -> Done:
    """Make what an answer mixes: its recipe, its batch and its lot, in one go or not at all.

    Parameters
    ----------
    code : str
        Of the lot that is made.
    keeps_days : int
        How long it keeps; 0 where nobody says. [d]
    weighed, scale, ticks, note
        As in ``make_reagent``.

    Raises
    ------
    NotAllowed, BadEntry, NotEnough, UnknownName
        As in ``make_reagent`` and when it is asked; nothing is written.
    """
    recipe = replace(recipe_of_answer(lab, question, asked), keeps_days=keeps_days)
    with lab.look() as look:
        recipe = _poured_from(look, recipe, weighed)
    return make_reagent(
        lab, recipe, code=code, amount="", weighed=weighed, scale=scale, ticks=ticks, note=note, **sign
    )


def _poured_from(look: Reader, recipe: Procedure, weighed: Sequence[Weighed]) -> Procedure:
    """The recipe, with each spirit as the lot that was taken has it."""
    taken = {one.line: look.lot(one.lot) for one in weighed if one.lot and look.holds(one.lot)[0]}
    lines = tuple(
        replace(line, substance=taken[line.name].substance)
        if line.is_spirit and line.name in taken and taken[line.name].kind.traits.is_clear
        else line
        for line in recipe.lines
    )
    return replace(recipe, lines=lines)
