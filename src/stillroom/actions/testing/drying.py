"""Loss on drying: weighings as the scale showed them, one more until two agree, and the loss reckoned from them."""

import re
from collections.abc import Sequence
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.results_kept import DRYING, result_of
from stillroom.answers.drying import loss_on_drying
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import reading
from stillroom.quantities.basis import is_carrier
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.parse import parse
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.records.lots import Lot
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

DISH = "dish"
WITH_SAMPLE = "dish with sample"
DRIED = "dish after drying"
_NUMBERED = re.compile(r"drying/(\d+)")
DIFFERENCE = "difference of the drying between portions"


def weigh_drying(
    lab: Laboratory,
    lot: str,
    *,
    dish: str,
    with_sample: str,
    dried: tuple[str, ...],
    apparatus: str,
    series: str = "",
    method_spread: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Enter the weighings of a loss on drying and reckon the result.

    Parameters
    ----------
    dish, with_sample : str
        Empty dish, dish with the sample, as the scale showed them.
    dried : tuple of str
        The dish after each drying, in order. The result counts once the last two agree.
    apparatus : str
        Scale.
    series : str
        Name of this determination ("drying/2"); the next free one when empty.
    method_spread : str
        Standard deviation between portions seen earlier, in per cent of the sample: "0.3 %".

    Returns
    -------
    Done
        ``says`` tells the loss and whether the mass is constant; if not, what to do next.
    """
    asked = {
        "lot": lot,
        "dish": dish,
        "with_sample": with_sample,
        "dried": list(dried),
        "apparatus": apparatus,
        "series": series,
        "method_spread": method_spread,
    }
    if not dried:
        raise BadEntry("A drying needs a weighing after the oven", "none", "Dry, cool, weigh")
    with lab.act("weigh drying", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.lot(lot)
        series = series or next_series(pen.look, lot)
        if pen.look.readings(lot, series=series):
            raise BadEntry(
                worded("{series} of {lot} is begun already", series=series, lot=lot),
                "its dish again",
                "Weigh the dish again, or name another series",
            )
        written = [(DISH, dish), (WITH_SAMPLE, with_sample)]
        written += [(f"{DRIED} {number}", text) for number, text in enumerate(dried, start=1)]
        for what, text in written:
            _enter(pen, lot, what, text, apparatus, series)
        if method_spread:
            written_spread = parse(method_spread, want="ratio", basis_required=False, where="method spread")
            share = 100 * mass_fraction(written_spread, silent=True, where="method spread")
            pen.enter(ReadingTaken(lot, DIFFERENCE, 0.0, "%", f"0 ± {method_spread}", "", series, share))
        return _reckoned(pen, lot, series)


def weigh_again(
    lab: Laboratory,
    lot: str,
    mass: str,
    *,
    apparatus: str,
    series: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Weigh the dish of a drying once more, and reckon the loss with it.

    Parameters
    ----------
    mass : str
        The dish after the next drying, as the scale showed it.
    apparatus : str
        Scale.
    series : str
        The drying that goes on ("drying/1").

    Raises
    ------
    BadEntry
        That drying was not begun.
    """
    asked = {"lot": lot, "mass": mass, "apparatus": apparatus, "series": series}
    with lab.act("weigh again", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        so_far = [entry.body.what for entry in pen.look.readings(lot, series=series)]
        if DISH not in so_far:
            raise BadEntry(
                "A dish is weighed again once it was weighed before",
                worded("no {series} of {lot}", series=series, lot=lot),
                "Begin the drying",
            )
        count = sum(1 for what in so_far if what.startswith(DRIED))
        _enter(pen, lot, f"{DRIED} {count + 1}", mass, apparatus, series)
        return _reckoned(pen, lot, series)


def next_series(look: Reader, lot: str) -> str:
    """The name of a lot's next drying: one more than any before.

    Parameters
    ----------
    look : Reader
    lot : str
    """
    before = [_NUMBERED.fullmatch(entry.body.series) for entry in look.readings(lot)]
    return f"drying/{max((int(one[1]) for one in before if one), default=0) + 1}"


def _enter(pen: BookWriter, lot: str, what: str, text: str, apparatus: str, series: str) -> None:
    scale = pen.look.apparatus(apparatus)
    mass_g = parse(text, want="mass", zero_allowed=False, where=what).in_unit("g")
    pen.enter(ReadingTaken(lot, what, mass_g, "g", text, apparatus, series, scale.standard_uncertainty))


def _reckoned(pen: BookWriter, lot: str, series: str) -> Done:
    body = drying_result(pen.look, lot, pen.look.readings(lot, series=series))
    return Done((*body.readings, pen.enter(body)), body.because)


def drying_result(look: Reader, lot: str, readings: Sequence[Entry[ReadingTaken]]) -> ResultReckoned:
    """The loss on drying of a series, and whether it counts, from its readings.

    Parameters
    ----------
    look : Reader
    lot : str
    readings : sequence of Entry of ReadingTaken
        Dish, dish with sample, each drying; in any order.
    """
    answers = {
        entry.body.what: reading(
            entry.body.what,
            entry.body.value,
            entry.body.unit,
            f"entry {entry.entry_no}",
            entry_no=entry.entry_no,
            standard_uncertainty=entry.body.standard_uncertainty or None,
        )
        for entry in readings
    }
    dried = sorted(
        (what for what in answers if what.startswith(DRIED)), key=lambda what: int(what.split()[-1])
    )
    scale = look.apparatus(next(entry.body.apparatus for entry in readings if entry.body.apparatus))
    found = loss_on_drying(
        answers[DISH],
        answers[WITH_SAMPLE],
        [answers[what] for what in dried],
        of=carrier_of(look.lot(lot)),
        method_difference=answers.get(DIFFERENCE),
        scale_step_g=scale.smallest_step,
    )
    too_much = _more_than_came(look, lot, answers[WITH_SAMPLE].value - answers[DISH].value)
    return result_of(
        lot,
        DRYING,
        found.answer,
        "drying at 105 °C to constant mass",
        found.counts and not too_much,
        too_much or found.because,
        tuple(entry.entry_no for entry in readings),
        found.stated.expanded.k,
    )


def _more_than_came(look: Reader, lot: str, sample_g: float) -> str:
    """Why a sample cannot be what was dried: it is heavier than all that ever came of its lot; else nothing."""
    came_g = -sum(ug for (_, unit), ug in look.balances(lot).items() if unit == "ug" and ug < 0) / 1e6
    if not came_g or sample_g <= came_g:
        return ""
    return t(
        "It does not count. {sample} g of sample would have been dried, and of {lot} no more "
        "than {came} g ever came. Correct the weighing that is wrong.",
        sample=f"{sample_g:.4g}",
        lot=lot,
        came=f"{came_g:.4g}",
    )


def carrier_of(lot: Lot) -> str:
    """What a content of a lot is of, in one word: the part of the plant where its name ends in one ("nettle root").

    Parameters
    ----------
    lot : Lot
    """
    if lot.kind.traits.carrier != "plant":
        return "extract"
    return lot.substance.split()[-1].lower() if is_carrier(lot.substance) else "plant"
