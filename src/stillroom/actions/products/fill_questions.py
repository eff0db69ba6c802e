"""What is asked once before a filling is kept: more bottles than the bulk, masses that do not close, packaging.

What was filled is never refused. Without a note the first question is raised; with one it is kept, as a deviation.
"""

import re
from collections.abc import Iterator, Mapping
from math import hypot, sqrt
from statistics import stdev

from stillroom.actions.book.product_made import product_of
from stillroom.actions.making.batch_mass import Bulk
from stillroom.actions.shelf.lots_in_use import must_be_released
from stillroom.errors import BadEntry, NotAllowed, NotEnough, StillroomError, worded
from stillroom.quantities.content import Content, content
from stillroom.records.entries import UnitsFilled
from stillroom.store.reader import Reader
from stillroom.stream.happened import COVERAGE, closes

_SIZE = re.compile(r"\d+(?:[.,]\d+)?\s*(?:m[lL]|[lL]|k?g)\b")
"""The content in the name of a bottle or a tin: "bottle 15 mL", "tin 30 g"."""


def filling_asked_about(
    look: Reader, body: UnitsFilled, bulk: Bulk, possible: int | None
) -> Iterator[StillroomError]:
    """What is odd about the bottles and masses of a filling.

    Parameters
    ----------
    bulk : Bulk
        What it was filled from.
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
    order = product_of(look, body.batch).order
    if order is not None and bulk.left_by is None and body.each != order.content:
        yield BadEntry(
            worded("{order} asks for bottles of {size}", order=order.code, size=order.content.words),
            body.each.words,
            "Fill what was ordered first; or say in the note why these are of another size",
            where="nominal",
        )
    made_g = bulk.mass_g
    if not body.target_g and not body.check_weights_g and body.left_over_g >= made_g:
        yield BadEntry(
            "Nothing says what went into the bottles",
            worded("{left:g} g left over of {made:.0f} g", left=body.left_over_g, made=made_g),
            "Weigh one of the bottles, or what is left over, again; or say in the note what happened",
            where="left over",
        )
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
    elif out_g - made_g > COVERAGE * _sure_g(look, body, bulk):
        yield BadEntry(
            "No more is filled than stood in the lot",
            worded(
                "more is filled than stood in the lot: {filled_g:.1f} g filled and {left_g:g} g left over, of "
                "{made_g:.1f} g; the weighings can hide ± {sure_g:.1f} g (k = 2)",
                filled_g=body.filled_g,
                left_g=body.left_over_g,
                made_g=made_g,
                sure_g=COVERAGE * _sure_g(look, body, bulk),
            ),
            "Weigh the bottles, or what is left over, again; or say in the note what happened",
            where="left over",
        )


def _sure_g(look: Reader, body: UnitsFilled, bulk: Bulk) -> float:
    """How well what was filled and left over is known against the bulk, one standard deviation [g]."""
    of_scale = look.apparatus(body.apparatus).standard_uncertainty if body.apparatus else 0.0
    weights = body.check_weights_g
    scatter = stdev(weights) * sqrt(max(0.0, 1.0 - len(weights) / body.units)) if len(weights) > 1 else 0.0
    each = hypot(scatter, of_scale) / sqrt(len(weights)) if weights else 0.0
    return hypot(body.units * each, of_scale, bulk.sure_g)


def packaging_asked_about(
    look: Reader, packaging: Mapping[str, int], on: str, each: Content
) -> Iterator[StillroomError]:
    """What speaks against the packaging that was used.

    Parameters
    ----------
    packaging : mapping of str to int
        Lots and how many of each.
    on : str
        ISO time of use.
    each : Content
        What is filled into each.
    """
    for code, count in packaging.items():
        holds = _SIZE.search(look.lot(code).substance) if count else None
        if holds and (vessel := content(holds[0])).unit == each.unit and vessel.amount < each.amount:
            yield BadEntry(
                worded("What is filled fits what it is filled into: {nominal}", nominal=each.words),
                f"{code}, {look.lot(code).substance}",
                "Choose the lot that was filled; or say in the note what happened",
                where=f"pack {code}",
            )
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
