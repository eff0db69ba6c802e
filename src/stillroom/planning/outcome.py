"""What a plan says: lines that open, two answers kept apart, the bends of the stream, a buying list."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from stillroom.errors import UnknownName
from stillroom.evidence.answer import Answer
from stillroom.evidence.seal import Json
from stillroom.evidence.trails import trail
from stillroom.planning.request import PlanRequest


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One figure of the plan.

    ``median``, ``low``, ``high``: of the draws, low and high at 5 and 95 %. [unit]
    """

    key: str
    group: str
    label: str
    unit: str
    basis: str
    value: float
    """What the plan says to have or to expect. [unit]"""
    median: float
    low: float
    high: float
    largest_input: str
    """The input whose doubt contributes most; empty where nothing varies."""
    largest_share: float
    """Its share of the spread. [1]"""
    r_squared: float | None
    """How much of the spread the inputs one by one explain. [1]"""
    note: str
    """Also "interaction ..." where they explain little."""
    says: str
    answer: Answer
    """Gives ``value`` again when rerun."""


@dataclass(frozen=True, slots=True)
class SupplyAnswer:
    """How much plant, so that the extract is enough for the whole bulk."""

    plant_g: float
    rank: int
    draws: int
    seed: int
    how_sure_percent: float
    median_g: float
    low_g: float
    high_g: float
    sentence: str


@dataclass(frozen=True, slots=True)
class ContentAnswer:
    """How sure the strength lies between declared and ceiling, once dosed by the assay then taken [% w/w].

    Without a ceiling only the declared strength counts, and ``no_rule`` says so.
    """

    share_within_percent: float
    share_below_percent: float
    share_above_percent: float
    median_percent: float
    low_percent: float
    high_percent: float
    declared_percent: float
    aim_percent: float
    ceiling_percent: float | None
    sentence: str
    no_rule: str = ""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Active that a step sends another way: a named loss, or an outlet that is not followed [g]."""

    name: str
    median_g: float
    low_g: float
    high_g: float


@dataclass(frozen=True, slots=True)
class Bend:
    """One step of the stream, in grams of the marker: median, and 5 and 95 % of what goes on."""

    procedure: str
    step: str
    kind: str
    into_g: float
    out_g: float
    out_low_g: float
    out_high_g: float
    elsewhere: tuple[Elsewhere, ...]


@dataclass(frozen=True, slots=True)
class RunLine:
    """One figure of how a step runs: median, and 5 and 95 %; ``label`` waits to be said in a language."""

    label: str
    unit: str
    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class HowItRuns:
    """How a step runs: figures, sentences to be known before it begins, minutes by the clock, and what cannot be."""

    figures: tuple[RunLine, ...]
    says: tuple[str, ...]
    minutes: float = 0.0
    cannot: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StepForecast:
    """What a step takes and gives in all, and how long it takes: medians [g, min]; how it runs, where that is told."""

    procedure: str
    step: str
    kind: str
    into_g: Mapping[str, float]
    out_g: Mapping[str, float]
    losses_g: Mapping[str, float]
    hands_min: float
    watch_min: float
    free_min: float
    runs: HowItRuns | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """One line of the buying list: what to have, what is there, what to buy; when what was ordered comes."""

    item: str
    label: str
    needed: float
    unit: str
    have: float
    to_buy: float
    because: str
    comes: str = ""


@dataclass(frozen=True, slots=True)
class Cost:
    """One line of the cost: median [the currency of the plan]."""

    item: str
    amount: float
    low: float
    high: float
    price: float
    price_unit: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """An input and its share of the doubt about the plant needed; assumed ones are worth measuring."""

    name: str
    origin: str
    share: float
    because: str


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan: from an order of bottles back to the plant."""

    request: PlanRequest
    lines: tuple[PlanLine, ...]
    supply: SupplyAnswer
    content: ContentAnswer
    bends: tuple[Bend, ...]
    steps: tuple[StepForecast, ...]
    buying: tuple[Purchase, ...]
    costs: tuple[Cost, ...]
    doubts: tuple[Doubt, ...]
    not_known: tuple[str, ...] = ()

    def __hash__(self) -> int:
        """The same for the same request, which everything else follows from."""
        return hash(self.request)

    def line(self, key: str) -> PlanLine:
        """The line of that key.

        Raises
        ------
        UnknownName
            There is none; the nearest keys are offered.
        """
        return _line(self.lines, key)

    @property
    def answers(self) -> dict[str, Answer]:
        """Every line's answer, by key."""
        return {one.key: one.answer for one in self.lines}

    def trails(self) -> dict[str, Json]:
        """Every answer in one table: ``{"tops": {key of line: key}, "rows": {key: row}}``."""
        return trails_of(self.lines)

    def to_json(self) -> dict[str, Any]:
        """The plan as JSON content, with the request it can be run again from; trails apart."""
        return {
            "request": self.request.to_json(),
            "lines": [line_to_json(one) for one in self.lines],
            "supply": asdict(self.supply),
            "content": asdict(self.content),
            "bends": [asdict(one) for one in self.bends],
            "steps": [asdict(one) for one in self.steps],
            "buying": [asdict(one) for one in self.buying],
            "costs": [asdict(one) for one in self.costs],
            "doubts": [asdict(one) for one in self.doubts],
            "not_known": list(self.not_known),
        }


@dataclass(frozen=True, slots=True)
class Forecast:
    """What a charge of a given mass of plant would give."""

    request: PlanRequest
    plant_g: float
    lines: tuple[PlanLine, ...]
    bends: tuple[Bend, ...]
    steps: tuple[StepForecast, ...]

    def line(self, key: str) -> PlanLine:
        """The line of that key.

        Raises
        ------
        UnknownName
            There is none; the nearest keys are offered.
        """
        return _line(self.lines, key)


def line_to_json(line: PlanLine) -> dict[str, Any]:
    """A line without its trail, which is named by its key."""
    content = {name: getattr(line, name) for name in PlanLine.__slots__ if name != "answer"}
    return content | {"answer": line.answer.key}


def trails_of(lines: tuple[PlanLine, ...]) -> dict[str, Json]:
    """The answers of lines in one table, shared inputs once."""
    rows: dict[str, Json] = {}
    for one in lines:
        found = trail(one.answer)["rows"]
        if isinstance(found, Mapping):
            rows.update(found)
    return {"tops": {one.key: one.answer.key for one in lines}, "rows": rows}


def line_of(lines: tuple[PlanLine, ...], key: str) -> PlanLine | None:
    """The line of that key among some; None where there is none."""
    return next((one for one in lines if one.key == key), None)


def _line(lines: tuple[PlanLine, ...], key: str) -> PlanLine:
    found = line_of(lines, key)
    if found is None:
        raise UnknownName.among(key, "a line of the plan", (one.key for one in lines))
    return found
