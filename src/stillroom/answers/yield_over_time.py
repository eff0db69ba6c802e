"""A table of yields over time, fitted by a law, as answers that open to the points they come from.

Promises the figures of the law that was taken with their 95 % intervals, and when a share of the whole is out. Nothing
is said beyond the last time but as a forecast of the law.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.extraction.kinetics import FIT_BY_ITSELF, law_called, yield_by_law
from stillroom.science.extraction.kinetics_fit import Fitted, KineticFit, choose_law, doubt_of, fit_law

TIME, OUT = "time ", "yield "
WHOLE = "yield at the end"
MOST_OUT = 0.95
TINY = 1e-12
NO_DOUBT = 1e-6
"""Of a figure: a doubt smaller than that is the rounding of a program. [1]"""
LONGEST = 1e3
"""When a share is out is looked for up to this many times the last time. [1]"""


@dataclass(frozen=True, slots=True)
class FittedTable:
    """A table worked out.

    ``minutes``, ``yields``: the points. [min, as given]
    """

    figures: Mapping[str, Answer]
    """Of the law that was taken: the yield at the end, its parameters, and when most of it is out."""
    chosen: KineticFit
    """With its intervals."""
    others: tuple[KineticFit, ...] = ()
    """By AICc."""
    minutes: tuple[float, ...] = field(default=())
    yields: tuple[float, ...] = field(default=())


def _points(inputs: Mapping[str, tuple[float, float]]) -> tuple[list[float], list[float]]:
    times = [value for name, (value, _) in inputs.items() if name.startswith(TIME)]
    yields = [value for name, (value, _) in inputs.items() if name.startswith(OUT)]
    return times, yields


@formula("law-of-yield", takes_named_inputs=True)
def law_figure_of(inputs: Mapping[str, tuple[float, float]], law: str, figure: str) -> float:
    """One figure of a law fitted to named points; rerun by its name. [its unit].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        "time 1", "yield 1" and so on. [min, as given]
    law : str
        Name of the law. [text]
    figure : str
        "yield at the end", or a parameter of the law. [text]
    """
    fit = fit_law(law, *_points(inputs), with_intervals=False)
    return (fit.yield_at_end if figure == WHOLE else fit.parameters[figure]).value


@formula("time-of-yield", takes_named_inputs=True)
def time_out_min_of(inputs: Mapping[str, tuple[float, float]], law: str, share: float) -> float:
    """When a share of the yield at the end is out, by a law fitted to named points. [min].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        As in ``law_figure_of``. [min, as given]
    law : str
        Name of the law. [text]
    share : float
        Of the yield at the end. [1]
    """
    minutes, yields = _points(inputs)
    fit = fit_law(law, minutes, yields, with_intervals=False)
    return time_out_min(fit, share, max(minutes))


def time_out_min(fit: KineticFit, share: float, last_min: float) -> float:
    """When a share of the yield at the end is out; infinite where the law takes far longer than anybody watched [min].

    Parameters
    ----------
    share : float
        Of the yield at the end. [1]
    last_min : float
        Of the points. [min]
    """
    return _out_min(fit.law, [one.value for one in fit.parameters.values()], share, last_min)


def _out_min(law: str, figures: Sequence[float], share: float, last_min: float) -> float:
    low, high = 0.0, LONGEST * last_min
    if float(yield_by_law(law, high, 1.0, figures)) < share:
        return float("inf")
    for _ in range(80):
        middle = 0.5 * (low + high)
        if float(yield_by_law(law, middle, 1.0, figures)) < share:
            low = middle
        else:
            high = middle
    return high


def pace_is_held(fit: KineticFit) -> bool:
    """Whether the points hold down how fast it comes: not where all of it was out before the first of them."""
    slowest = [one for name, one in fit.parameters.items() if one.unit != "1" and not name.startswith("fast")]
    return all(one.high < float("inf") for one in slowest)


def is_even(one: Fitted) -> bool:
    """Whether one ± can stand for an interval: both ends held down, and about as far away."""
    if one.low <= 0.0 or one.high == float("inf"):
        return False
    return 0.5 < (one.high - one.value + TINY) / (one.value - one.low + TINY) < 2.0


def fitted_table(points: Sequence[tuple[Answer, Answer]], law: str, unit: str) -> FittedTable:
    """Fit a table by a law, or by the simplest that holds.

    Parameters
    ----------
    points : sequence of (Answer, Answer)
        Time and yield, named ``TIME`` and ``OUT`` with their number. [min, as given]
    law : str
        Name of a law; "" tries the plain ones.
    unit : str
        Of the yields.

    Raises
    ------
    StillroomError
        As ``choose_law``.
    """
    minutes = tuple(time.value for time, _ in points)
    yields = tuple(out.value for _, out in points)
    chosen, *others = choose_law(minutes, yields, (law,) if law else FIT_BY_ITSELF)
    inputs = {one.name: one for pair in points for one in pair}

    def part(figure: str, one: Fitted, shown: str) -> Answer:
        return reckoned(
            figure, law_figure_of, unit=shown, inputs=inputs, fixed={"law": chosen.law, "figure": figure},
            says=f"least squares by {chosen.law}", standard_uncertainty=_doubt(one),
        )  # fmt: skip

    figures = {"yield_at_end": part(WHOLE, chosen.yield_at_end, unit)}
    for name, one in chosen.parameters.items():
        figures[_key(name)] = part(name, one, one.unit if one.unit != "1" else "")
    last = max(minutes)
    most = time_out_min(chosen, MOST_OUT, last)
    if pace_is_held(chosen) and most < float("inf"):
        doubt = doubt_of(chosen, minutes, yields, lambda _, rest: _out_min(chosen.law, rest, MOST_OUT, last))
        figures["most_out"] = reckoned(
            f"{100.0 * MOST_OUT:.0f} % of it is out", time_out_min_of, unit="min", inputs=inputs,
            fixed={"law": chosen.law, "share": MOST_OUT}, says=f"by {chosen.law}",
            standard_uncertainty=_worth(doubt, most) if most <= last else None,
        )  # fmt: skip
    return FittedTable(figures, chosen, tuple(others), minutes, yields)


def yield_later(found: FittedTable, at: Answer) -> FittedTable:
    """The same with the yield at a time that was asked for.

    Parameters
    ----------
    at : Answer
        [min]
    """
    whole = found.figures["yield_at_end"]
    parameters = {
        name: one for name, one in found.figures.items() if name not in ("yield_at_end", "most_out")
    }
    law = found.chosen.law
    doubt = doubt_of(
        found.chosen, found.minutes, found.yields,
        lambda value, rest: float(yield_by_law(law, at.value, value, rest)),
    )  # fmt: skip
    asked = reckoned(
        "yield at that time", yield_asked_of, unit=whole.unit,
        inputs={"time": at, WHOLE: whole, **{one.name: one for one in parameters.values()}},
        fixed={"law": law}, says=f"by {law}", standard_uncertainty=_worth(doubt, whole.value),
    )  # fmt: skip
    return replace(found, figures={**found.figures, "yield_asked": asked})


@formula("yield-by-law", takes_named_inputs=True)
def yield_asked_of(inputs: Mapping[str, tuple[float, float]], law: str) -> float:
    """The yield by a law at a time. [as given].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        "time" [min], "yield at the end" [as given], and the parameters of the law by their names [their unit].
    law : str
        Name of the law. [text]
    """
    figures = [inputs[name][0] for name, _ in law_called(law).parameters]
    return float(yield_by_law(law, inputs["time"][0], inputs[WHOLE][0], figures))


def _doubt(one: Fitted) -> float | None:
    """A quarter of the 95 % interval, where one ± can stand for it."""
    return _worth((one.high - one.low) / 4.0, one.value) if is_even(one) else None


def _worth(doubt: float, value: float) -> float | None:
    """A doubt, unless the points lie on the curve itself."""
    return doubt if doubt > NO_DOUBT * abs(value) else None


def _key(name: str) -> str:
    plain = "".join(
        letter if letter.isalnum() else " " for letter in name.replace("²", "2").replace("/", " per ")
    )
    return "_".join(plain.lower().split())


def at_time(minutes: float, number: int) -> Answer:
    """A time of a table as a leaf [min]."""
    return reading(f"{TIME}{number}", minutes, "min", "as asked")


def out_by(value: float, number: int, unit: str) -> Answer:
    """A yield of a table as a leaf [as given]."""
    return reading(f"{OUT}{number}", value, unit, "as asked")
