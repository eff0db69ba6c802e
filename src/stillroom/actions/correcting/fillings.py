"""A filling put right: bottles, what was left over, check weights, packaging, date. The step and the yield follow."""

import re
from collections.abc import Mapping
from dataclasses import replace

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.product_made import fillings_in_turn, product_in
from stillroom.actions.lots.shelf_gaps import settle
from stillroom.actions.making.batch_mass import bulk_found
from stillroom.actions.making.deviations import slip_was_corrected
from stillroom.actions.products.filling import (
    Filled,
    check_of,
    filling_body,
    keep_yield,
    step_of_filling,
    told_of_check,
)
from stillroom.errors import BadEntry, worded
from stillroom.quantities.content import content
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.records.entries import Entry, UnitsFilled
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import SHELF
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t


def _fields(look: Reader, entry: Entry[UnitsFilled]) -> tuple[Field, ...]:
    body = entry.body
    holds = product_in(look, body.lot.code).each
    weights = "; ".join(f"{one:g} g" for one in body.check_weights_g)
    return (
        Field("units", t("bottles filled"), str(body.units)),
        *((Field("nominal", t("what a bottle holds"), holds.exact, holds.unit),) if holds else ()),
        Field("left over", t("left over"), f"{body.left_over_g:g} g", "g"),
        Field("check weight", t("check weights, parted by semicolons"), weights, kind="long"),
        Field("scale", t("scale"), body.apparatus),
        Field("use by", t("use by"), body.lot.use_by or "", kind="date"),
        *(
            Field(f"pack {code}", t("used of {lot}", lot=code), str(count))
            for code, count in (dict.fromkeys(_packing_lots(look), 0) | _packaging(body)).items()
        ),
    )


def _packing_lots(look: Reader) -> tuple[str, ...]:
    """Packaging on the shelf: it may be what was used."""
    lots = look.lots(kinds_that(lambda one: one.used_to == "pack"))
    return tuple(one.code for one in lots if look.balances(one.code).get((SHELF, "piece"), 0) > 0)


def _packaging(body: UnitsFilled) -> dict[str, int]:
    return {one.lot: one.amount for one in body.movements if one.lot != body.lot.code}


def _applies(pen: BookWriter, entry: Entry[UnitsFilled], changed: Mapping[str, str], why: str) -> Done:
    old, look = entry.body, pen.look
    packaging = {
        code: _whole(changed.get(f"pack {code}", str(count)), f"pack {code}", none_allowed=True)
        for code, count in (dict.fromkeys(_packing_lots(look), 0) | _packaging(old)).items()
    }
    said = Filled(
        _whole(changed.get("units", str(old.units)), "units"),
        parse(changed["left over"], want="mass", where="left over").in_unit("g")
        if "left over" in changed
        else old.left_over_g,
        _weights(changed["check weight"]) if "check weight" in changed else old.check_weights_g,
        {code: count for code, count in packaging.items() if count},
        changed.get("scale", old.apparatus),
        changed.get("use by", old.lot.use_by or ""),
        content(changed["nominal"], "nominal") if "nominal" in changed else old.each,
    )
    if said.scale:
        look.apparatus(said.scale)
    bulk = bulk_found(look, old.batch, old.lot.code, entry.done_at)
    body = filling_body(look, old.batch, said, old.lot.code, bulk)
    number = enter_again(pen, entry, body, why)
    numbers = [number, *_step_again(pen, entry, body, number, why)]
    checked = check_of(look, body, number)
    numbers += keep_yield(pen, body, bulk, number, told_of_check(checked, body))
    numbers += _next_follows(pen, body, why)
    gaps = settle(pen, (one.lot for one in (*old.movements, *body.movements)))
    told = t("{batch}: {what} corrected.", batch=old.batch, what=", ".join(changed))
    says = f"{told} {checked.because}" if checked else told
    return Done((*numbers, *gaps.entries), says + gaps.says)


def _step_again(
    pen: BookWriter, entry: Entry[UnitsFilled], body: UnitsFilled, number: int, why: str
) -> tuple[int, ...]:
    """The step that a filling was, and the deviation that was kept with it, as the filling is now."""
    old, look = entry.body, pen.look
    written = [
        one
        for one in look.steps(old.batch)
        if one.entry_no > entry.entry_no
        and [weighed.as_written for weighed in one.body.weighings] == [f"{old.units} bottles"]
    ]
    if not written:
        return ()
    step = min(written, key=lambda one: one.entry_no)
    known = look.procedure_of(old.batch).step(step.body.step)
    again = replace(step_of_filling(body, known, step.body.note), ticks=step.body.ticks)
    return enter_again(pen, step, again, why), *slip_was_corrected(pen, entry, step.body.step, number, why)


def _next_follows(pen: BookWriter, body: UnitsFilled, why: str) -> tuple[int, ...]:
    """The filling after one that was put right: it found what that one left over."""
    look = pen.look
    turns = fillings_in_turn(look, body.batch)
    at = next(at for at, one in enumerate(turns) if one.body.lot.code == body.lot.code)
    if at + 1 == len(turns):
        return ()
    entry = turns[at + 1]
    old = again = entry.body
    bulk = bulk_found(look, old.batch, old.lot.code, entry.done_at)
    number, numbers = entry.entry_no, list[int]()
    filled_g = bulk.mass_g - old.left_over_g
    if not old.check_weights_g and filled_g > 0 and filled_g != old.filled_g:
        again = replace(old, filled_g=filled_g)
        number = enter_again(pen, entry, again, why)
        numbers += [number, *_step_again(pen, entry, again, number, why)]
    numbers += keep_yield(pen, again, bulk, number, told_of_check(check_of(look, again, number), again))
    return tuple(numbers)


def _whole(text: str, where: str, *, none_allowed: bool = False) -> int:
    value = number_in(text, where=where).value
    if value != int(value) or value < (0 if none_allowed else 1):
        raise BadEntry(
            worded("{what} must be a whole number", what=where),
            text,
            "Count, then write it in digits",
            where=where,
        )
    return int(value)


def _weights(text: str) -> tuple[float, ...]:
    parts = [one.strip() for one in re.split(r"[;\n]", text) if one.strip()]
    with_unit = [one if re.search("[a-zA-Z]", one) else f"{one} g" for one in parts]
    return tuple(
        parse(one, want="mass", zero_allowed=False, where="check weight").in_unit("g") for one in with_unit
    )


FILLING = Way(_fields, _applies, later("Shelf, yield and check follow it. What was delivered stays."))
