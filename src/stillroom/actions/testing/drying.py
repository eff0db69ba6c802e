"""Loss on drying: weighings as the scale showed them, one more until two agree, and the loss calculated from them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.actions.book.acts import Act, Readings, no_result
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.results_kept import DRYING, result_of
from stillroom.actions.shelf.plant_described import described
from stillroom.answers.drying import loss_on_drying
from stillroom.asking.entries import maybe, needed, taken
from stillroom.asking.readers import Showed, Shown, Words
from stillroom.asking.said import Line, Said, lines
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import reading
from stillroom.quantities.basis import is_carrier
from stillroom.quantities.fractions import mass_fraction
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.records.lots import Lot
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.own import own_plant
from stillroom.texts.catalogue import later, t

DISH = "dish"
WITH_SAMPLE = "dish with sample"
DRIED = "dish after drying"
_NUMBERED = re.compile(r"drying/(\d+)")
DIFFERENCE = "difference of the drying between portions"
WIDEST_SPREAD_PERCENT = 10.0
FAR, SPREAD_OF_PLANTS = 3.0, 0.25
"""So many times a quarter of the moisture said before, and a hundredth at least, is asked about (chosen). [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dried(Line):
    """The dish after the oven."""

    dish_after_drying: Shown = needed(
        Showed(("g",), zero=True, negative=True), label=later("Dish after drying {at}")
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed(Said):
    """A sample and how its dish was weighed."""

    apparatus: str = needed(
        Words(), label=later("Scale"), offers="scale", option="scale", help="Scale they were weighed on."
    )
    dish: Shown = needed(
        Showed(("g",), zero=True, negative=True), label=later("Empty dish"), help='Empty: "31.2040 g".'
    )
    dish_with_sample: Shown = needed(
        Showed(("g",), zero=True, negative=True), label=later("Dish with sample"), beside=True, option="with-sample",
        help="Dish with the sample.",
    )  # fmt: skip
    dried: tuple[Dried, ...] = lines(
        Dried, most=12, shown=5, written="33.0216 g", must=later("A drying needs a weighing after the oven"),
        do=later("Dry, cool, weigh"), help="Dish after each drying, in order; give it again.",
    )  # fmt: skip
    method_spread: Shown | None = maybe(
        Showed(("%",)), label=later("Spread between portions seen earlier"), help='Of the sample: "0.3 %".'
    )
    series: str = taken(
        "", Words(), label=later("Name of this drying"), folded=True, help="The next free one where left out."
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedAgain(Said):
    """The dish after one more drying."""

    apparatus: str = needed(
        Words(), label=later("Scale"), offers="scale", option="scale", help="Scale it was weighed on."
    )
    mass: Shown = needed(
        Showed(("g",), zero=True, negative=True), label=later("Dish after the next drying"), argument=True
    )
    series: str = taken(
        "", Words(), label=later("Name of this drying"), folded=True, help="The last one where left out."
    )  # fmt: skip


def _write(pen: BookWriter, lot: str, said: Weighed) -> Done:
    """Enter the weighings; the loss counts once the last two agree."""
    look = pen.look
    look.lot(lot)
    series = said.series or next_series(look, lot)
    if look.readings(lot, series=series):
        raise BadEntry(
            worded("{series} of {lot} is begun already", series=series, lot=lot),
            "its dish again",
            "Weigh the dish again, or name another series",
        )
    scale, taken = look.apparatus(said.apparatus), Readings(pen, lot, series)
    taken.take(DISH, said.dish, scale)
    taken.take(WITH_SAMPLE, said.dish_with_sample, scale)
    for number, one in enumerate(said.dried, 1):
        taken.take(f"{DRIED} {number}", one.dish_after_drying, scale)
    if said.method_spread:
        share = 100 * mass_fraction(said.method_spread.quantity(), silent=True, where="method-spread")
        if share > WIDEST_SPREAD_PERCENT:
            raise BadEntry(
                worded(
                    "Portions of one lot differ by {most:g} % of the sample at most",
                    most=WIDEST_SPREAD_PERCENT,
                ),
                said.method_spread.words(),
                "Check the figure; portions further apart are not one lot",
                where="method-spread",
            )
        words = f"0 ± {said.method_spread.words()}"
        pen.enter(ReadingTaken(lot, DIFFERENCE, 0.0, "%", words, "", series, share))
    return _reckoned(pen, lot, series)


def _write_again(pen: BookWriter, lot: str, said: WeighedAgain) -> Done:
    """Enter the dish once more, and the loss with it."""
    begun = (entry.body.series for entry in pen.look.readings(lot))
    series = said.series or next((one for one in reversed([*begun]) if _NUMBERED.fullmatch(one)), "")
    so_far = [entry.body.what for entry in pen.look.readings(lot, series=series)] if series else []
    if DISH not in so_far:
        raise BadEntry(
            "A dish is weighed again once it was weighed before",
            worded("no {series} of {lot}", series=series or "drying", lot=lot),
            "Begin the drying",
        )
    count = sum(1 for what in so_far if what.startswith(DRIED))
    Readings(pen, lot, series).take(f"{DRIED} {count + 1}", said.mass, pen.look.apparatus(said.apparatus))
    return _reckoned(pen, lot, series)


def drying_so_far(look: Reader, lot: str) -> tuple[dict[str, str], str]:
    """The weighings of a drying that is not constant yet, with its series.

    Returns
    -------
    (dict of str to str, str)
        What and as written, and the series; both empty when there is nothing to go on with.
    """
    series: dict[str, dict[str, str]] = {}
    for entry in look.readings(lot):
        if entry.body.series.startswith("drying/"):
            series.setdefault(entry.body.series, {})[entry.body.what] = entry.body.as_written
    results = look.results(lot, DRYING)
    if not series or not results or results[-1].body.counts:
        return {}, ""
    last = list(series)[-1]
    return series[last], last


def next_series(look: Reader, lot: str) -> str:
    """The name of a lot's next drying: one more than any before."""
    before = [_NUMBERED.fullmatch(entry.body.series) for entry in look.readings(lot)]
    return f"drying/{max((int(one[1]) for one in before if one), default=0) + 1}"


def _reckoned(pen: BookWriter, lot: str, series: str) -> Done:
    readings = pen.look.readings(lot, series=series)
    try:
        body = drying_result(pen.look, lot, readings)
    except OutsideModel as error:
        return no_result([one.entry_no for one in readings], error)
    unlike = _unlike_its_card(pen.look, lot, body.value) if body.counts else ""
    return Done((*body.readings, pen.enter(body)), body.because + unlike)


def _unlike_its_card(look: Reader, lot: str, percent: float) -> str:
    """A word beside a loss that is far from the moisture its card says, or its plant usually has; else nothing."""
    like, mine = described(look, lot), own_plant(look.lot(lot).substance)
    usual = like.moisture_percent if mine is None else like.moisture_percent or mine[0].loss_on_drying_percent
    if usual is None or abs(percent - usual) <= FAR * max(1.0, SPREAD_OF_PLANTS * usual):
        return ""
    return t(
        " That is far from the {usual} % said before: look whether a weighing was misread.",
        usual=f"{usual:.3g}",
    )


def drying_result(look: Reader, lot: str, readings: Sequence[Entry[ReadingTaken]]) -> ResultReckoned:
    """The loss on drying of a series, and whether it counts, from its readings.

    Parameters
    ----------
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
    """What a content of a lot is of, in one word: the part of the plant where its name ends in one ("nettle root")."""
    if lot.kind.traits.carrier != "plant":
        return "extract"
    return lot.substance.split()[-1].lower() if is_carrier(lot.substance) else "plant"


def _again(
    look: Reader, entry: Entry[ResultReckoned], readings: Sequence[Entry[ReadingTaken]]
) -> ResultReckoned | None:
    """Whether the mass is constant is judged anew."""
    return drying_result(look, entry.body.subject, readings) if entry.body.what == DRYING else None


def _anew(look: Reader, lot: str, readings: Sequence[Entry[ReadingTaken]]) -> tuple[ResultReckoned, ...]:
    there = {one.body.what for one in readings}
    return (drying_result(look, lot, readings),) if {DISH, WITH_SAMPLE} <= there else ()


def _lead_again(look: Reader, lot: str) -> str:
    last = [text for name, text in drying_so_far(look, lot)[0].items() if name.startswith(DRIED)]
    asked = t("The mass was not constant yet. Dry again, cool, and write what the scale shows.")
    return f"{asked} {t('It was {last} last time.', last=last[-1])}" if last else asked


def _stands(look: Reader, lot: Lot) -> str:
    if "drying" not in lot.kind.traits.tested_by:
        return ""
    return t("Dry another sample" if drying_so_far(look, lot.code)[1] else "Weigh a drying")


def _stands_again(look: Reader, lot: Lot) -> str:
    return t("Weigh the dish again") if _stands(look, lot) and drying_so_far(look, lot.code)[1] else ""


weigh_drying = Act(
    name="drying",
    action="weigh drying",
    said=Weighed,
    writes=_write,
    help="The loss on drying of LOT; it counts once the last two weighings agree, and another sample is a new series.",
    title=later("Loss on drying"),
    called=later("Loss on drying"),
    stands=_stands,
    lead=later("The loss counts once the last two weighings agree; the dish can be weighed again later."),
    button=later("Calculate the loss"),
    address="/stock/{code}/drying",
    cautions=("oven",),
    judged=(DRYING,),
    again=_again,
    anew=_anew,
)
weigh_again = Act(
    name="weigh-again",
    action="weigh again",
    said=WeighedAgain,
    writes=_write_again,
    help="The dish of LOT after one more drying.",
    title=later("Weigh the dish again"),
    stands=_stands_again,
    lead=_lead_again,
    button=later("Calculate the loss"),
    address="/stock/{code}/weigh-again",
    cautions=("oven",),
    links=((later("Dry another sample"), "/stock/{code}/drying"),),
    quiet=False,
)
