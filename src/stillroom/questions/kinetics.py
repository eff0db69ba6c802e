"""Fit a time–yield table: which law the points follow, the yield at the end, when most of it is out.

The plain laws are tried, and the simpler one stays unless AICc falls by more than two; who knows the plant names a
geometry. Promises intervals, and says where points are too few. The fit is ``answers.yield_over_time``. Writes nothing.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stillroom.answers.yield_over_time import (
    FittedTable,
    at_time,
    fitted_table,
    is_even,
    out_by,
    pace_is_held,
    yield_later,
)
from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.question import Question, Told, Way
from stillroom.asking.readers import Figure, OneOf, Own, Words
from stillroom.asking.said import Said
from stillroom.documents.blocks import Block, Heading, Numbers, Points, Prose, River, Shown, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.curve_drawing import Curve, curve_drawing
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer
from stillroom.quantities.numbers import number_in
from stillroom.science.extraction.kinetics import PELEG, SECOND_ORDER, yield_by_law
from stillroom.science.extraction.kinetics_fit import CLEARLY_BETTER, KineticFit
from stillroom.texts.catalogue import between, capital, later, t

MOST_POINTS = 60
MINUTES = {"min": 1.0, "h": 60.0, "d": 1440.0}
SIMPLER = "simpler"
BY = {
    SIMPLER: later("the simpler that holds"),
    "first order": later("first order"),
    PELEG: later("Peleg"),
    SECOND_ORDER: later("second order"),
    "washing and diffusion": later("washing and diffusion"),
    "two sites": later("two sites"),
    "diffusion, sphere": later("diffusion out of spheres (ground bark, seed)"),
    "diffusion, slab": later("diffusion out of slabs (leaf)"),
    "diffusion, cylinder": later("diffusion out of cylinders (stem, root)"),
}
DRAWN = 60
FALLS = 0.02
"""Of the most, by how much a yield may lie below an earlier one before it is told. [1]"""
EXPLAINS = 0.95
"""Share of the spread from which a law is said to be enough. [1]"""
HEADED = {
    "min": "min", "mins": "min", "minute": "min", "minutes": "min", "minuten": "min",
    "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "heure": "h", "heures": "h", "std": "h", "stunden": "h",
    "d": "d", "day": "d", "days": "d", "jour": "d", "jours": "d", "tage": "d",
    "s": "s", "sec": "s", "second": "s", "seconds": "s", "secondes": "s", "sekunden": "s",
}  # fmt: skip
"""What the head of a table calls a unit of time."""
CAUTIONS = ("own-numbers",)


# ---- what is asked


def table_in(text: str, where: str) -> tuple[tuple[float, float], ...]:
    """Times and yields: a row a line, or rows between semicolons; a head of words is left out."""
    lines = [one.strip() for one in text.splitlines() if one.strip()]
    rows = lines if len(lines) > 1 else [one.strip() for one in text.split(";") if one.strip()]
    if rows and not re.search(r"\d", rows[0]):
        rows = rows[1:]
    if not rows:
        raise BadEntry(
            "A table has a time and a yield in each row", "none", "Write 10 6.3; 20 8.7", where=where
        )
    if len(rows) > MOST_POINTS:
        must = worded("At most {most} points are fitted", most=MOST_POINTS)
        raise BadEntry(must, str(len(rows)), "Leave some out of the middle", where=where)
    return tuple(sorted(_row(one, where) for one in rows))


def _row(row: str, where: str) -> tuple[float, float]:
    cells = re.split(r"[;\t]\s*|\s+", row.strip())
    if len(cells) == 1:
        cells = row.split(",")
    cells = [one.strip().rstrip(",") for one in cells if one.strip().rstrip(",")]
    if len(cells) != 2:
        raise BadEntry("Each row is one time and one yield", repr(row[:40]), "Write 10 6.3", where=where)
    time, out = (number_in(one, where=where).value for one in cells)
    return time, out


def _unit_of_the_head(text: str) -> str:
    """The unit of time that the head of a table says, "" where it says none: "time (h), yield (mg/g)"."""
    head = next((one for one in re.split(r"\n|;(?=[^\n]*;)", text.strip()) if one.strip()), "")
    if re.search(r"\d", head):
        return ""
    times = re.split(r"[;,\t]", head)[0]
    return next((HEADED[one] for one in re.findall(r"[a-z]+", times.casefold()) if one in HEADED), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Curved(Said):
    """A table of yields over time, and by which law."""

    table: tuple[tuple[float, float], ...] = needed(
        Own(table_in, "long"), label=later("Time and yield, a row each"),
        hint=later("Pasted from a table, or 0 0; 10 6.3; 20 8.7"), argument=True, joined="; ",
        must=later("A table has a time and a yield in each row"), do=later("Write 10 6.3; 20 8.7"),
    )  # fmt: skip
    time_in: str = taken(
        "min", OneOf(lambda: MINUTES, later("a unit of time")), label=later("Times are in"), chosen="min",
        help="min, h or d.",
        unsaid=Assumption(
            what=later("the unit of the times"), taken="min", because=later("most tables are in minutes"),
            effect=later("rates and times change with it, yields do not"), share=0.2,
        ),
    )  # fmt: skip
    unit: str = taken("", Words(), label=later("Yields are in"), hint=later("Such as mg/g"), beside=True,
                      help='What the yields are in: "mg/g".')  # fmt: skip
    law: str = taken(
        SIMPLER, OneOf(BY, later("a law")), label=later("By"), chosen=SIMPLER,
        help="first order, Peleg, second order, washing and diffusion, two sites, or diffusion out of a shape.",
    )  # fmt: skip
    at: Answer | None = maybe(
        Figure(of="time asked", symbol="min", unit="min"), label=later("Yield at"), hint=later("Such as 90 min"),
        help='Tell the yield at a time: "90 min".',
    )  # fmt: skip


# ---- how it is worked out


def work(said: Curved) -> FittedTable:
    """Fit the points."""
    headed = _unit_of_the_head(said.text.get("table", ""))
    if headed and headed != said.time_in:
        raise BadEntry(
            "The head of the table and the unit of its times must agree",
            worded("{head} in the head, {taken} beside it", head=headed, taken=said.time_in),
            worded("Say that times are in {head}, or leave the head out", head=headed)
            if headed in MINUTES
            else "Turn the times into min",
            where="time-in",
        )
    at_once = max((out for time, out in said.table if not time), default=0.0)
    if at_once > FALLS * max(out for _, out in said.table):
        raise BadEntry(
            "At time 0 nothing is out yet",
            worded("{out:g} at time 0", out=at_once),
            "Write when it was weighed, such as 0.5, or leave the row out",
            where="table",
        )
    points = [
        (at_time(time * MINUTES[said.time_in], place), out_by(out, place, said.unit))
        for place, (time, out) in enumerate(said.table, 1)
    ]
    law = "" if said.law == SIMPLER else PELEG if said.law == SECOND_ORDER else said.law
    try:
        found = fitted_table(points, law, said.unit)
    except StillroomError as error:
        raise (error if error.where else error.at("table")) from error
    return yield_later(found, said.at) if said.at else found


# ---- what is told


def tell(found: FittedTable, said: Curved) -> Told:
    """The law, its figures, the picture, and what it is not."""
    chosen = found.chosen
    return Told(
        t("A time–yield table, fitted"),
        t("{count} points, to {last} min. Nothing is written in a book.", count=len(found.yields),
          last=number(found.minutes[-1])),
        (
            _verdict(found, said),
            Numbers(tuple(_shown(name, one, found.chosen) for name, one in found.figures.items())),
            _picture(found, said),
            *_intervals(chosen, said.unit),
            *_others(found),
            Heading(t("What it is not")),
            Points(tuple(_not(found))),
        ),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


def _verdict(found: FittedTable, said: Curved) -> Points:
    chosen = found.chosen
    law, share = t(BY[chosen.law]), number(100.0 * chosen.r_squared, 2)
    if fell := _falls(found.yields):
        return Points(
            (
                t(
                    "The yields fall from {high} to {low}, and each is to be all that is out by then: add up what "
                    "came in portions; what is lost again follows none of these laws.",
                    high=number(fell[0]), low=number(fell[1]),
                ),
            ),
            "missing",
        )  # fmt: skip
    if chosen.r_squared < EXPLAINS:
        says = t("No law fits well: {law} explains {share} % of the spread.", law=law, share=share)
        return Points((says,), "missing")
    if said.law != SIMPLER:
        says = t("By {law}, as named: it explains {share} % of the spread.", law=t(BY[said.law]), share=share)
        return Points((says,), "done")
    says = t(
        "{law} is enough: it explains {share} % of the spread, and no other law is clearly better.",
        law=capital(law), share=share,
    )  # fmt: skip
    return Points((says,), "done")


def _falls(yields: Sequence[float]) -> tuple[float, float] | None:
    """The first yield that lies clearly below an earlier one, after that one."""
    most = 0.0
    for one in yields:
        if one < most - FALLS * max(yields):
            return most, one
        most = max(most, one)
    return None


def _shown(name: str, one: Answer, chosen: KineticFit) -> Shown:
    labels = {
        "yield_at_end": t("Yield it goes towards"),
        "most_out": t("95 % of that is out after"),
        "yield_asked": t("Yield at the time asked"),
    }
    fitted = chosen.yield_at_end if name == "yield_at_end" else chosen.parameters.get(one.name)
    span = (
        t("95 of 100: {between}", between=_between(fitted.low, fitted.high))
        if fitted and not is_even(fitted)
        else ""
    )
    decimals = None if one.standard_uncertainty else 0 if name == "most_out" else 3
    return show(
        one, label=labels.get(name, t(PARAMETERS.get(one.name, one.name))), decimals=decimals, span=span
    )


PARAMETERS = {
    "rate": later("Rate"),
    "washed share": later("Washed out at once"),
    "fast share": later("Fast share"),
    "slow rate": later("Slow rate"),
    "fast rate over slow, less one": later("Fast rate over slow, less one"),
}


def _picture(found: FittedTable, said: Curved) -> River:
    last = max(found.minutes)
    times = [last * at / DRAWN for at in range(DRAWN + 1)]
    curves = []
    for one in (found.chosen, *found.others[:1]):
        figures = [each.value for each in one.parameters.values()]
        points = tuple(
            (time, float(yield_by_law(one.law, time, one.yield_at_end.value, figures))) for time in times
        )
        curves.append(Curve(t(BY[one.law]), points))
    unit = f", {said.unit}" if said.unit else ""
    words = t(
        "{count} points from {low} to {high} over {last} min, and the curve of {law} through them.",
        count=len(found.yields), low=number(min(found.yields)), high=number(max(found.yields)), last=number(last),
        law=t(BY[found.chosen.law]),
    )  # fmt: skip
    dots = list(zip(found.minutes, found.yields, strict=True))
    return curve_drawing(dots, curves, ("min", t("Yield{unit}", unit=unit)), t("Yield over time"), words)


def _intervals(chosen: KineticFit, unit: str) -> Iterator[Block]:
    yield Heading(t("How surely the points hold each figure"))
    rows = [(t("Yield it goes towards"), chosen.yield_at_end, unit)]
    rows += [(t(PARAMETERS.get(name, name)), one, one.unit) for name, one in chosen.parameters.items()]
    yield Table(
        (t("Figure"), t("Value"), t("95 of 100 between"), t("Unit")),
        tuple((name, number(one.value), _between(one.low, one.high), shown) for name, one, shown in rows),
        (1, 2),
    )


def _between(low: float, high: float) -> str:
    if high == float("inf"):
        return t("from {low} up, no upper end can be told", low=number(low))
    return between(number(low), number(high))


def _others(found: FittedTable) -> Iterator[Block]:
    if not found.others:
        return
    yield Heading(t("The other laws"), folded=True)
    yield Table(
        (t("Law"), t("Yield it goes towards"), t("AICc, less that of the first"), t("Left over, root mean square")),
        tuple(
            (
                t(BY[one.law]), number(one.yield_at_end.value), _apart(one.aicc, found.chosen.aicc), number(one.rmse),
            )
            for one in found.others
        ),
        (1, 2, 3),
    )  # fmt: skip
    yield Prose(
        t(
            "A law of more figures is taken only where AICc falls by more than {least:g}.",
            least=CLEARLY_BETTER,
        ),
        quiet=True,
    )


def _apart(aicc: float, first: float) -> str:
    return (
        number(aicc - first, 1)
        if abs(aicc) < float("inf") and abs(first) < float("inf")
        else t("too few points")
    )


def _not(found: FittedTable) -> Iterator[str]:
    yield t(
        "A law that fits is no proof of how the plant gives it up: several curves pass through few points. Beyond the "
        "last time it is a forecast."
    )
    if found.chosen.law == PELEG:
        whole, rate = found.chosen.yield_at_end.value, found.chosen.parameters["rate"].value
        yield t(
            "As Peleg writes it K1 is {k1} and K2 {k2}; as a second order the rate constant is {k}.",
            k1=number(1.0 / (rate * whole)), k2=number(1.0 / whole), k=number(rate / whole),
        )  # fmt: skip
    if not pace_is_held(found.chosen):
        yield t(
            "All of it was out by the first points: how fast it came cannot be told. Weigh earlier ones too."
        )
    if "most_out" in found.figures and found.figures["most_out"].value > max(found.minutes):
        yield t(
            "The last point lies before most of it is out: the yield at the end rests on the curve, not on a weighing."
        )
    yield t(
        "No published time–yield table of a Soxhlet was found: the curves this was checked on are of hot pressurised "
        "water, carbon dioxide and stirred batches. The Soxhlet of this tool is checked by its parts."
    )


QUESTION = Question(
    name="kinetics",
    title=later("Fit a time–yield table"),
    lead=later(
        "Yields weighed at several times, your own or printed: which law, how much in the end, when most is out."
    ),
    button=later("Which law?"),
    help='Fit yields over time: TABLE of "time yield" rows, as "0 0; 10 6.3; 20 8.7".',
    kind="time–yield table",
    asks=Way(Curved, work, tell),
)
