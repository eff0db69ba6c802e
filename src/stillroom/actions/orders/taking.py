"""What was only asked becomes an order: its procedures, where the book has them not, and the order itself."""

from collections.abc import Set
from dataclasses import replace

from stillroom.planning.lawful import refuse_plants_and_solvents
from stillroom.planning.request import PlanRequest
from stillroom.products.formula import check
from stillroom.questions.order import SAID
from stillroom.records.entries import OrderTaken, ProcedureWritten
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure, Step
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.stream.run import kind_of


def begin_order(pen: BookWriter, order: Order, request: PlanRequest) -> tuple[list[int], PlanRequest]:
    """Write the procedures of a request and its order.

    Parameters
    ----------
    order : Order
        Under the code it gets, and with the codes its procedures are to have.
    request : PlanRequest
        Whose procedures are written.

    Returns
    -------
    tuple
        Numbers of the entries, and the request as it stands in the book.

    Raises
    ------
    NotAllowed
        The plant or a solvent may not be used.
    """
    taken = {one.code for one in pen.look.procedures()}
    extraction = _own_code(taken, replace(request.extraction, code=order.extraction))
    formula = _own_code(taken | {extraction.code}, replace(request.formula, code=order.formula))
    check(formula.lines)
    for step in (*extraction.steps, *formula.steps):
        kind_of(step)
    refuse_plants_and_solvents(extraction)
    order = replace(order, extraction=extraction.code, formula=formula.code)
    numbers = [
        pen.enter(ProcedureWritten(extraction)),
        pen.enter(ProcedureWritten(formula)),
        pen.enter(OrderTaken(order)),
    ]
    return numbers, in_the_book(pen.look, order.code, request)


def in_the_book(look: Reader, code: str, request: PlanRequest) -> PlanRequest:
    """A request on the order and the procedures as the book holds them, with the settings that were said.

    Parameters
    ----------
    code : str
        Of the order.
    """
    order = look.order(code)
    extraction, formula = look.procedure(order.extraction), look.procedure(order.formula)
    return replace(
        request,
        order=order,
        extraction=replace(
            extraction, steps=tuple(_as_said(one, request.extraction) for one in extraction.steps)
        ),
        formula=formula,
        extraction_entry_no=_written(look, "procedure written", extraction.code),
        formula_entry_no=_written(look, "procedure written", formula.code),
        order_entry_no=_written(look, "order taken", code),
    )


def next_order(look: Reader) -> str:
    """The next free code of an order."""
    taken = {one.code for one in look.orders()}
    number = len(taken) + 1
    while f"ORD-{number}" in taken:
        number += 1
    return f"ORD-{number}"


def _as_said(step: Step, asked: Procedure) -> Step:
    """A step of the book's procedure with the settings that were said when it was asked."""
    said = {
        (one.name, each.name): each for one in asked.steps for each in one.settings if each.because == SAID
    }
    return replace(step, settings=tuple(said.get((step.name, each.name), each) for each in step.settings))


def _written(look: Reader, kind: str, code: str) -> int | None:
    entry = look.latest(kind, code)
    return entry.entry_no if entry else None


def _own_code(taken: Set[str], procedure: Procedure) -> Procedure:
    """The procedure under a code that is free in the book."""
    code, number = procedure.code, 2
    while code in taken:
        code = f"{procedure.code[:20]}-{number}"
        number += 1
    return replace(procedure, code=code)
