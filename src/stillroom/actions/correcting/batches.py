"""What a batch was begun with, and what was noted of it, put right: scale, order, deviations."""

from collections.abc import Mapping
from dataclasses import replace

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.errors import BadEntry
from stillroom.quantities.parse import parse
from stillroom.records.entries import BatchBegun, DeviationNoted, Entry
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t


def _scale_and_order(look: Reader, entry: Entry[BatchBegun]) -> tuple[Field, ...]:
    orders = (("", t("none")), *((one.code, one.code) for one in look.orders()))
    return (
        Field("scale", t("batch size"), f"{entry.body.scale_g:.6g} g", "g"),
        Field("order", t("order"), entry.body.order, choices=orders),
    )


def _begun_otherwise(pen: BookWriter, entry: Entry[BatchBegun], changed: Mapping[str, str], why: str) -> Done:
    old = entry.body
    scale_g = old.scale_g
    if "scale" in changed:
        scale_g = parse(changed["scale"], want="mass", zero_allowed=False, where="scale").in_unit("g")
    order = changed.get("order", old.order)
    if order:
        pen.look.order(order)
    planned = old.planned
    if planned and "lines_g" in planned and old.scale_g > 0:
        lines = {name: mass_g * scale_g / old.scale_g for name, mass_g in planned["lines_g"].items()}
        planned = {**planned, "lines_g": lines}
    number = enter_again(pen, entry, replace(old, scale_g=scale_g, order=order, planned=planned), why)
    return Done((number,), t("{batch}: {what} corrected.", batch=old.code, what=", ".join(changed)))


def _what_and_done(_: Reader, entry: Entry[DeviationNoted]) -> tuple[Field, ...]:
    return (
        Field("what", t("what was different"), entry.body.what, kind="long"),
        Field("done", t("what was done about it"), entry.body.done_about_it, kind="long"),
    )


def _noted_otherwise(
    pen: BookWriter, entry: Entry[DeviationNoted], changed: Mapping[str, str], why: str
) -> Done:
    what, done = changed.get("what", entry.body.what), changed.get("done", entry.body.done_about_it)
    if not what:
        raise BadEntry("A deviation says what was different", "nothing", "Write what happened", where="what")
    number = enter_again(
        pen, entry, replace(entry.body, what=what, done_about_it=done, closed=bool(done)), why
    )
    return Done((number,), t("{batch}: {what} corrected.", batch=entry.body.batch, what=", ".join(changed)))


def calculated_again(results: int) -> str:
    """How many results followed a correction, in a sentence."""
    if results == 1:
        return t("One result was calculated again.")
    return t("{count} results were calculated again.", count=results)


BEGUN = Way(
    _scale_and_order,
    _begun_otherwise,
    later("What is planned and expected follows it. What was weighed stays."),
)
DEVIATION = Way(_what_and_done, _noted_otherwise, later("What it said before stays to be read"))
