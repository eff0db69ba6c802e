"""Which way, how strong: the ways of extracting a plant for a marker side by side, and the next trial worth making.

Promises the plan's own figures of one charge, by every way that holds for the marker; with a book, a plant's page asks
the same with its lots, glass, prices and runs. The calculation is ``planning.ways`` and ``planning.trials``. Writes
nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.question import Question, Told, Way
from stillroom.asking.readers import OneOf, Own
from stillroom.asking.said import Said
from stillroom.documents.blocks import Points
from stillroom.documents.ways_compared import (
    figures_by_way,
    reasons_blocks,
    trials_blocks,
    ways_blocks,
    which_way,
)
from stillroom.errors import NotAllowed, Phrase, worded
from stillroom.evidence.answer import Answer
from stillroom.planning.offering.own_plant import request_of_charge
from stillroom.planning.plan_inputs import Known
from stillroom.planning.trials import Trials, trials
from stillroom.planning.ways import Candidate, WayCompared, compared
from stillroom.quantities.entry import entry
from stillroom.quantities.money import EURO
from stillroom.questions.order import aim_in, counted_names, extraction_of, known_plants, ways
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.records.starters import Starter, holds_for, starters
from stillroom.records.written_values import one_line
from stillroom.stream.kinds.fits_the_glass import EXTRACTOR, FLASK, HEATER, THIMBLE
from stillroom.texts.catalogue import later, t

OF_NOTHING = "0.001 %"
"""Strength of the product that is not made: it takes nothing of the extract worth counting."""
USUAL_CHARGE_G = 100.0
DRAWS = 1024
GLASS_SAID = {"extractor": EXTRACTOR, "thimble": THIMBLE, "flask": FLASK, "heater": HEATER}


def grams_in(text: str, where: str) -> float:
    """A mass above zero [g]."""
    return entry(text, want="mass", where=where).in_unit("g")


def millilitres_in(text: str, where: str) -> float:
    """A volume above zero [mL]."""
    return entry(text, want="volume", where=where).in_unit("mL")


def watts_in(text: str, where: str) -> float:
    """A power above zero [W]."""
    return entry(text, want="power", where=where).in_unit("W")


@dataclass(frozen=True, slots=True, kw_only=True)
class Compare(Said):
    """A plant, what counts in it, how much of it, and the glass at hand."""

    plant: str = needed(
        Own(one_line, "list", named=known_plants), argument=True,
        must=worded("{what} is needed here", what=Phrase("A plant and its part")),
        do=worded('Write it like "{example}"', example="rosemary leaf"), label=later("Plant and part"),
        help="Plant and part.",
    )  # fmt: skip
    of: str = needed(
        Own(one_line, "list", named=counted_names),
        must=worded("{what} is needed here", what=Phrase("What the strength counts")),
        do=worded('Write it like "{example}"', example="rosmarinic acid"), label=later("What counts in it"),
        help="The marker: rosmarinic acid.",
    )  # fmt: skip
    charge: float = taken(
        USUAL_CHARGE_G, Own(grams_in, "figure", "g"), label=later("Plant in one charge"), hint=later("Such as 100 g"),
        help='Plant in one charge: "100 g".',
        unsaid=Assumption(
            what=later("how much plant"), taken="100 g", because=later("a small charge"),
            effect=later("hours hardly change with it, spirit and cost do"), share=0.3,
        ),
    )  # fmt: skip
    way: str | None = maybe(
        OneOf(ways, later("a way of extracting")), label=later("Picture and next trial by"), folded=True,
        help="Way that picture and next trial are of; the one of the highest yield where nobody says.",
    )  # fmt: skip
    extractor: float | None = maybe(
        Own(millilitres_in, "figure", "mL"), label=later("Your extractor"),
        hint=later("Of the Soxhlet, such as 250 mL"), folded=True, help='Extractor of your Soxhlet: "250 mL".',
    )  # fmt: skip
    thimble: float | None = maybe(
        Own(millilitres_in, "figure", "mL"), label=later("Your thimble"), folded=True, help='Your thimble: "200 mL".',
    )  # fmt: skip
    flask: float | None = maybe(
        Own(millilitres_in, "figure", "mL"), label=later("Your largest flask"), folded=True,
        help='Your largest flask: "1 L".',
    )  # fmt: skip
    heater: float | None = maybe(
        Own(watts_in, "figure", "W"), label=later("Your strongest heater"), folded=True,
        help='Your strongest heater: "400 W".',
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Compared:
    """The ways, and picture and next trial of one of them."""

    ways: tuple[WayCompared, ...]
    looked_at: WayCompared | None
    trials: Trials | None

    @property
    def figures(self) -> Mapping[str, Mapping[str, Answer]]:
        """By way and key."""
        return figures_by_way(self.ways)


def starter_ways(
    plant: str, aim: StatedStrength, known: tuple[Known, ...] = (), draws: int = DRAWS
) -> tuple[Candidate, ...]:
    """Every starter as a way that might be taken.

    Parameters
    ----------
    aim : StatedStrength
        What is counted.
    """
    found = []
    for one in starters():
        try:
            candidate, extraction = starter_candidate(one, plant, aim)
        except NotAllowed as error:
            found.append(Candidate(one.name, one.title, None, cannot=(error.must,)))
            continue
        request = replace(request_of_charge(extraction, aim, ""), known=known, draws=draws)
        found.append(replace(candidate, request=request))
    return tuple(found)


def starter_candidate(way: Starter, plant: str, aim: StatedStrength) -> tuple[Candidate, Procedure]:
    """A starter as a way that might be taken, not planned yet, and its extraction.

    Parameters
    ----------
    aim : StatedStrength
        What is counted.

    Raises
    ------
    NotAllowed
        It cannot work for what counts, or the plant is prohibited.
    """
    extraction = replace(extraction_of(way.name, plant, aim, plant), code="extraction")
    holding = holds_for(way.name, extraction.markers[0])
    warned = holding.why if holding.verdict == "warned" else ""
    return Candidate(way.name, way.title, None, warned), extraction


def work(said: Compare) -> Compared:
    """The ways side by side with nothing but what was said."""
    aim = aim_in(OF_NOTHING, said.of, "of")
    known = tuple(
        Known(role, f"asked/{name}", value, "W" if name == "heater" else "mL", origin="reading", because=t("as asked"))
        for name, role in GLASS_SAID.items()
        if (value := getattr(said, name)) is not None
    )  # fmt: skip
    found = compared(starter_ways(said.plant, aim, known), said.charge)
    looked_at = looked_at_of(found, said.way)
    made = trials(looked_at.way.request, said.charge) if looked_at and looked_at.way.request else None
    return Compared(found, looked_at, made)


def looked_at_of(ways_found: tuple[WayCompared, ...], name: str | None) -> WayCompared | None:
    """The way that picture and next trial are of: the one named, else the first that can be done."""
    named = [one for one in ways_found if one.lines and one.way.name == name]
    return next((one for one in (*named, *ways_found) if one.can or one in named), None)


def tell(it: Compared, said: Compare) -> Told:
    """Which way, the table, the picture, the next trial, and what it is not."""
    pictured = (
        tuple(trials_blocks(it.trials, t(it.looked_at.way.title), said.of))
        if it.trials and it.looked_at
        else ()
    )
    return Told(
        t("Ways of extracting {plant}, for {marker}", plant=said.plant, marker=said.of),
        which_way(it.ways, said.of),
        (*ways_blocks(it.ways, EURO), *pictured),
        (
            Points(
                (
                    t(
                        "A charge of {grams:g} g by each starter as it stands. Your own procedures, glass, prices and "
                        "runs count on the page of the plant, in your book.",
                        grams=said.charge,
                    ),
                )
            ),
            *reasons_blocks(it.ways),
        ),
    )  # fmt: skip


GLASS_UNSAID = {
    "flask": (later("the largest flask"), later("decides whether Soxhlet and reflux can be done")),
    "heater": (later("the strongest heater"), later("decides whether Soxhlet and reflux can be done")),
    "extractor": (later("the extractor of the Soxhlet"), later("decides how many fillings a Soxhlet takes")),
}


def assume(_: Compared, said: Compare) -> tuple[Assumption, ...]:
    """The glass that nobody said."""
    return tuple(
        Assumption(what, later("as the starter says"), later("nobody said"), effect, 0.1, field=name)
        for name, (what, effect) in GLASS_UNSAID.items()
        if getattr(said, name) is None
    )


QUESTION = Question(
    name="compare",
    title=later("Which way, how strong"),
    lead=later(
        "Ways of extracting side by side: yield, hours, spirit, water and money of one charge; the next trial."
    ),
    button=later("Which way?"),
    help="Ways of extracting PLANT side by side for a marker: yield, hours, spirit, water, cost, and the next trial.",
    kind="ways compared",
    asks=Way(Compare, work, tell, None, assume),
)
