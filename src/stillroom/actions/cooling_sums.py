"""Cooling with nothing set up: what boils, how it is cooled, and whether everything on the breaker may run at once.

Promises a verdict that names the first set-up that fails. The inlet is asked each day and never filled in. Writes
nothing.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.actions.cooling_entries import ASKED, CAUGHT_C, TAKEN_PERCENT, set_ups_in
from stillroom.documents.blocks import NO_BOOK, Page, PageFacts
from stillroom.documents.cooling import CoolingFound, CoolingWords, cooling_page, verdict
from stillroom.documents.doors import Unsaid, opened_at, question_address, said_in
from stillroom.documents.lessons import lesson_page
from stillroom.documents.lessons_of_sums import cooling_lesson
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.evidence.answer import Answer, assumed, published, reading, reckoned
from stillroom.quantities.entry import degrees_apart, entry, share, with_unit
from stillroom.records.conditions import Condition
from stillroom.results.cooled import (
    CooledSetUp,
    breaker_limit,
    cooled,
    first_failing,
    least_flow,
    pressure_at,
    total_load,
    water_used,
)
from stillroom.results.cooled_by_bucket import Bucket, bucket, still_water
from stillroom.results.plain_sums import sum_of
from stillroom.science.heat.breaker import PLANNED_SHARE

QUESTION = "cooling"
ENTRIES = ("set-ups", "inlet", "flow", "hoses", "hours")
HOSES = ("series", "parallel")
MARGIN_K = 20.0
JACKET_ML = 150.0
RANGES: dict[str, tuple[float, float]] = {
    "inlet": (0.0, 60.0),
    "flow": (0.02, 30.0),
    "hours": (0.0, 48.0),
    "altitude": (-450.0, 5000.0),
    "bucket": (0.5, 1000.0),
    "ice": (0.0, 200.0),
    "pump": (0.0, 500.0),
    "jacket": (10.0, 5000.0),
    "breaker": (1.0, 125.0),
    "mains": (90.0, 440.0),
}


@dataclass(frozen=True, slots=True)
class CoolingAsked:
    """Cooling as it was asked, worked out.

    Attributes
    ----------
    page : Page
    lesson : Page
    found : CoolingFound
    refused : NotAllowed or None
        Why it must not run, naming the first set-up that fails; None when all may run.
    """

    page: Page
    lesson: Page
    found: CoolingFound
    refused: NotAllowed | None


def work_out_cooling(
    fields: Mapping[str, str], facts: PageFacts = NO_BOOK, *, altitude: Condition | None = None
) -> CoolingAsked:
    """Work cooling out from its fields.

    Parameters
    ----------
    fields : mapping of str to str
        "set-ups" (in the order of the water, between semicolons or on lines), "inlet", "flow", "hoses", "hours", and
        what else was said: "share", "altitude", "margin", "heaters", "breaker", "mains", "bucket", "ice", "pump",
        "jacket", "caught-at".
    facts : PageFacts
        Of the laboratory, where one is open.
    altitude : Condition or None
        As it was noted in the book; taken where nobody said another, and told.

    Raises
    ------
    StillroomError
        An entry is missing or cannot be read.
    """
    said = said_in(fields)
    set_ups = set_ups_in(said, _share(said))
    in_series = _in_series(said)
    inlet = _asked(
        said, "inlet", "temperature", "°C", "Hold the thermometer under the tap today", "cooling water in"
    )
    flow = _asked(said, "flow", "flow", "L/min", 'Write "0.5 L/min"; a litre jug and a watch tell it', "flow")
    hours = _asked(said, "hours", "time", "h", 'Write "6 h"', "time")
    height = _altitude(said, altitude)
    margin = _margin(said)
    pressure = pressure_at(height)
    found = cooled(set_ups, inlet, flow, margin, pressure, in_series=in_series)
    lines = reading("lines of water", 1.0 if in_series else float(len(set_ups)), "1", ASKED)
    best = _most_volatile_first(found)
    reordered = None
    if in_series and best != found:
        reordered = cooled([one.set_up for one in best], inlet, flow, margin, pressure, in_series=True)
    outcome = CoolingFound(
        set_ups=found,
        failing=first_failing(found),
        reordered=reordered,
        total=total_load(set_ups),
        pressure=pressure,
        water=water_used(flow, lines, hours),
        water_an_hour=water_used(flow, lines, reading("an hour", 1.0, "h", ASKED)),
        least_flow=least_flow(reordered or found, inlet, in_series=in_series),
        still=tuple(still_water(one, _jacket(said)) for one in found if one.passes),
        bucket=_bucket(said, found, flow, hours, inlet, in_series),
        heaters=_heaters(said),
        limit=_limit(said),
    )
    words = CoolingWords(
        inlet=_words(said, "inlet", "°C"),
        flow=_words(said, "flow", "L/min"),
        hours=_words(said, "hours", "h"),
        in_series=in_series,
        margin=f"{margin.value:g}",
        bucket=_words(said, "bucket", "L"),
        ice=_words(said, "ice", "kg"),
        breaker=_words(said, "breaker", "A"),
    )
    page = cooling_page(
        outcome, words, _unsaid(said, outcome, altitude), href=question_address(QUESTION, said), **facts
    )
    lesson = lesson_page(
        cooling_lesson(outcome, words, cooled(set_ups, inlet, flow, margin, pressure, in_series=False)),
        title=f"Lesson: {page.title}",
        href=question_address(f"{QUESTION}/lesson", said),
        **facts,
    )
    told, failed = verdict(outcome, words)
    refused = (
        NotAllowed("This must not run as it stands", told, "Change what it names, and ask again")
        if failed
        else None
    )
    return CoolingAsked(page, lesson, outcome, refused)


def _words(said: Mapping[str, str], name: str, unit: str) -> str:
    """An entry as it is told again, with its unit."""
    text = said.get(name, "")
    return with_unit(text, unit)


def _in_series(said: Mapping[str, str]) -> bool:
    kind = said.get("hoses", "") or "series"
    if kind not in HOSES:
        raise BadEntry("Hoses run in series or in parallel", repr(kind[:20]), "Choose one", where="hoses")
    return kind == "series"


def _most_volatile_first(found: tuple[CooledSetUp, ...]) -> tuple[CooledSetUp, ...]:
    return tuple(sorted(found, key=lambda one: one.limit.value))


def _asked(said: Mapping[str, str], name: str, want: str, unit: str, do: str, what: str) -> Answer:
    if not said.get(name):
        must = (
            "The temperature of the cooling water is asked each day, never filled in"
            if name == "inlet"
            else f"The {what} is needed"
        )
        raise BadEntry(must, "nothing", do, where=name)
    return reading(what, _value(said, name, want, unit), unit, ASKED)


def _altitude(said: Mapping[str, str], noted: Condition | None) -> Answer:
    if noted is not None and not said.get("altitude"):
        where = f"noted, entry {noted.entry_no}"
        return reading("altitude", noted.value, "m", where, entry_no=noted.entry_no)
    return _taken(said, "altitude", "length", "m", 0.0, "altitude", "the sea, since nobody said")


def _taken(
    said: Mapping[str, str], name: str, want: str, unit: str, otherwise: float, what: str, because: str
) -> Answer:
    if said.get(name):
        return reading(what, _value(said, name, want, unit), unit, ASKED)
    return assumed(what, otherwise, unit, because)


def _value(said: Mapping[str, str], name: str, want: str, unit: str) -> float:
    text = said[name]
    value = entry(
        text, unit, want=want, negative_allowed=name == "altitude", zero_allowed=True, where=name
    ).in_unit(unit)
    low, high = RANGES[name]
    if not low <= value <= high:
        raise BadEntry(
            worded(
                "{called} must lie between {low:g} and {high:g} {unit}",
                called=name.capitalize(),
                low=low,
                high=high,
                unit=unit,
            ),
            repr(text[:40]),
            "Check the figure and its unit",
            where=name,
        )
    return value


def _margin(said: Mapping[str, str]) -> Answer:
    if not said.get("margin"):
        return published(
            "margin below the boiling point",
            MARGIN_K,
            "K",
            "common practice, no source",
            sources=("common-practice",),
        )
    value = degrees_apart(said["margin"], where="margin")
    if not 0.0 <= value <= 60.0:
        raise BadEntry(
            "The margin must lie between 0 and 60 K",
            repr(said["margin"][:40]),
            "20 K is usual",
            where="margin",
        )
    return reading("margin below the boiling point", value, "K", ASKED)


def _share(said: Mapping[str, str]) -> Answer:
    if not said.get("share"):
        return assumed("share of the heater that boils", 1.0, "1", "all of it: the careful side")
    value = share(said["share"], least=0.01, where="share")
    return reading("share of the heater that boils", value, "1", ASKED)


def _jacket(said: Mapping[str, str]) -> Answer:
    return _taken(
        said,
        "jacket",
        "volume",
        "mL",
        JACKET_ML,
        "water standing in the condenser",
        "a usual small condenser",
    )


def _bucket(
    said: Mapping[str, str],
    found: tuple[CooledSetUp, ...],
    flow: Answer,
    hours: Answer,
    inlet: Answer,
    in_series: bool,
) -> Bucket | None:
    if not said.get("bucket"):
        return None
    litres = _asked(said, "bucket", "volume", "L", "", "water in the bucket")
    ice = _taken(said, "ice", "mass", "kg", 0.0, "ice", "none")
    pump = _taken(said, "pump", "power", "W", 0.0, "pump", "none said")
    return bucket(found, flow, inlet, litres, ice, pump, hours, in_series=in_series)


def _heaters(said: Mapping[str, str]) -> Answer | None:
    parts = [one.strip() for one in re.split(r"[;\n]|,\s|\s\+\s", said.get("heaters", "")) if one.strip()]
    if not parts:
        return None
    loads: dict[str, Answer] = {}
    for part in parts:
        hit = re.fullmatch(r"(?:(\d+)\s*[×x*]\s*)?(.+)", part)
        many, text = (int(hit[1] or 1), hit[2]) if hit else (1, part)
        watts = entry(text, "W", where="heaters")
        for _ in range(min(many, 50)):
            name = f"heater {len(loads) + 1}"
            loads[name] = reading(name, watts.in_unit("W"), "W", ASKED)
    return reckoned("all heaters at once", sum_of, unit="W", inputs=loads, says="the sum")


def _limit(said: Mapping[str, str]) -> Answer | None:
    if not said.get("breaker"):
        return None
    current = _asked(said, "breaker", "current", "A", "", "breaker")
    voltage = _taken(said, "mains", "voltage", "V", 230.0, "mains", "230 V, since nobody said")
    planned = published(
        "planned share", PLANNED_SHARE, "1", "common practice, no source", sources=("common-practice",)
    )
    return breaker_limit(current, voltage, planned)


def _unsaid(said: Mapping[str, str], found: CoolingFound, noted: Condition | None) -> tuple[Unsaid, ...]:
    items: list[Unsaid] = []

    def add(what: str, taken: str, because: str, effect: str, share: float, field: str) -> None:
        items.append(Unsaid(what, taken, because, effect, share, field, opened_at(QUESTION, said, field)))

    if not said.get("altitude"):
        add(
            "altitude",
            noted.as_written if noted else "0 m",
            f"noted on {noted.at[:10]}, entry {noted.entry_no}" if noted else "the sea, since nobody said",
            "each 300 m lowers every boiling point by about 1 °C",
            0.2,
            "altitude",
        )
    if not said.get("margin"):
        add(
            "how far below its boiling point water may leave", f"{MARGIN_K:g} K", "common practice, no source",
            "decides which set-ups pass", 0.3, "margin",
        )  # fmt: skip
    if not said.get("share") and any(one.set_up.load.name and _by_heater(one) for one in found.set_ups):
        add(
            "how much of a heater boils the liquid", "all of it", "the careful side",
            "a mantle gives 40 to 70 %: the true rise is that much less", 0.4, "share",
        )  # fmt: skip
    if not said.get("heaters") or not said.get("breaker"):
        add(
            "what hangs on the breaker",
            "nothing",
            "nobody said",
            "not checked",
            0.25,
            "heaters" if not said.get("heaters") else "breaker",
        )
    caught = [one for one in found.set_ups if not _by_heater(one)]
    if caught and not said.get("caught-at"):
        add(
            "how warm what drips back is when its volume is taken", f"{CAUGHT_C:g} °C", "caught cold in a cylinder",
            "taken boiling hot the same millilitres weigh 5 to 8 % less, and so does the heat", 0.07, "caught-at",
        )  # fmt: skip
    if any(
        leaf.leaf and leaf.leaf.kind == "assumed" and leaf.value == TAKEN_PERCENT
        for one in caught
        for _, leaf in one.set_up.load.inputs
    ):
        add(
            "how strong the spirit that drips back is", f"{TAKEN_PERCENT:g} % v/v", "the careful side: the vapour of a"
            " flask that has fallen to 20 % v/v", "at 86 % v/v it gives 18 % less heat, pure ethanol 43 % less; write"
            ' "spirit 86 % v/v 12 mL/min"', 0.2, "set-ups",
        )  # fmt: skip
    if not said.get("jacket"):
        add(
            "water standing in a condenser", f"{JACKET_ML:g} mL", "a usual small condenser",
            "moves the minutes left when the water stops, in proportion", 0.05, "jacket",
        )  # fmt: skip
    return tuple(items)


def _by_heater(one: CooledSetUp) -> bool:
    return any(name == "power_w" for name, _ in one.set_up.load.inputs)
