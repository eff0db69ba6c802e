"""What a formula takes undosed and the laboratory makes itself: a hydrosol, an extract, with the plant that gives it.

A working figure to buy and begin by, from the shares of the formula and what the procedure assumes. Promises nothing
about strength: what is not dosed is not worked back from a content.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.actions.orders.amounts_planned import usual
from stillroom.records.lots import RETAINED_UNITS
from stillroom.records.orders import Order
from stillroom.records.procedures import Line, Procedure
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import same_substance

A_LITTLE_G = 1000.0
"""The charge at which it is looked how much a procedure gives. [g]"""


@dataclass(frozen=True, slots=True)
class MadeHere:
    """A line of a formula that a procedure of the house gives."""

    line: Line
    procedure: Procedure
    needed_g: float
    """Of the line. [g]"""
    plant: str
    plant_g: float | None
    """Of the plant that gives as much; None where the model of its procedure does not reach so far. [g]"""


def maker_of(look: Reader, substance: str) -> tuple[Procedure, str] | None:
    """The extraction of the house that gives a substance, and its name among what its steps give.

    Parameters
    ----------
    substance : str
        As the line of a formula has it.
    """
    for one in reversed(look.procedures()):
        if one.purpose != "extraction":
            continue
        wanted = one.steps[-1].gives[0]
        if same_substance(one.makes, substance):
            return one, wanted
        beside = (name for step in one.steps for name in step.gives if name == "hydrosol")
        found = next((name for name in beside if same_substance(one.beside_called(name), substance)), None)
        if found:
            return one, found
    return None


def made_here(look: Reader, order: Order, formula: Procedure) -> Iterator[MadeHere]:
    """The lines of a formula that are made in the house, for the bottles of an order and those kept back."""
    stated = sum(one.percent or 0.0 for one in formula.lines)
    bulk_g = bulk_needed_g(order, formula)
    for line in formula.lines:
        found = maker_of(look, line.substance) if line.role != "dosed" else None
        if found is None:
            continue
        procedure, gives = found
        share = (100.0 - stated if line.role == "q.s." else line.percent or 0.0) / 100.0
        grams = usual(look, procedure, A_LITTLE_G).grams
        gave_g = next((mass_g for (_, name), mass_g in grams.items() if name == gives), 0.0)
        plant = next(one.substance for one in procedure.lines if one.name == procedure.scaled_by)
        needed_g = share * bulk_g
        yield MadeHere(
            line, procedure, needed_g, plant, needed_g / gave_g * A_LITTLE_G if gave_g > 0 else None
        )


def bulk_needed_g(order: Order, formula: Procedure) -> float:
    """The bulk for the bottles of an order and those kept back, with what stays in vessel and filler [g].

    Notes
    -----
    A bulk sold by volume is taken as 1 g/mL; its own density is weighed when it is made.
    """
    said = {one.name: one.value for step in formula.steps for one in step.settings}
    each_g = order.content.amount * (1.0 + said.get("overfill_share", 0.0))
    filled_g = (order.units + RETAINED_UNITS) * each_g
    return filled_g / (1.0 - said.get("filling_loss_share", 0.0)) + said.get("film_g", 0.0)
