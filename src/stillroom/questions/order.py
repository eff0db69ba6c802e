"""Plan an order: worked back to the plant with nothing set up, from six entries and an assumption for everything else.

Promises the same plan the book would keep, made from a way of extracting and a plain formula to begin from. What is
told, taught and taken of it is ``order_told``. Writes nothing; ``actions.keeping_answers`` does, when it is asked to.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from stillroom.asking.entries import maybe, needed, taken
from stillroom.asking.question import Question, Sentence, Way
from stillroom.asking.readers import OneOf, Own, Words
from stillroom.asking.said import Said, others
from stillroom.errors import BadEntry, Phrase, StillroomError, worded
from stillroom.planning.assumptions import ASSUMED
from stillroom.planning.house_said import (
    HOURS_UNSAID,
    USUAL_HOURS_PER_DAY,
    asked_of,
    condition_noted,
    known_height,
)
from stillroom.planning.plan import plan
from stillroom.planning.plan_inputs import ALTITUDE, Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.working_days import when_to_begin
from stillroom.products.kinds import KINDS_OF_PRODUCT
from stillroom.quantities.content import Content
from stillroom.quantities.entry import entry, nothing_but, with_unit
from stillroom.quantities.uncertainty_words import SIGN
from stillroom.quantities.units import unit as known_unit
from stillroom.questions.order_told import ROUND_ABOUT, WorkedBack, assume, setting_field, slug, teach, tell
from stillroom.records.entries import ConditionNoted
from stillroom.records.formula_starters import BASES, base_that_takes, starting_formula
from stillroom.records.order_from_yaml import bottles, how_sure, wanted_strength
from stillroom.records.orders import Order, StatedStrength
from stillroom.records.procedures import Procedure, Setting, Spreading
from stillroom.records.setting_from_text import standard_uncertainty, value_in_name_unit
from stillroom.records.starters import copy_starter, starters
from stillroom.records.written_values import iso_date, one_line
from stillroom.reference.tables import table
from stillroom.substances.plant_contents import plants_known
from stillroom.texts.catalogue import later

SAID = "as said when it was asked"
DECLARED_SHARE = 0.9
DAYS_AHEAD = 42
INSTEAD = later("Such as 5.2 ± 0.3; in place of what is taken otherwise")
HOUSE_FIELDS = {"altitude": "altitude", "hours-a-day": "working hours"}
"""Entries that say how the house is, and what the house calls them."""
_NAMED_BEHIND = re.compile(
    r"(?P<figure>[\d.,\s]*\d\s*(?:%|‰|ppm|[a-zµ]+/[a-z]+)"
    r"(?:\s*(?:[wvm]\s?/\s?[wvm]\b|by (?:mass|weight|volume)\b))?)\s+(?:of\s+)?(?![wvm]\s?/|by\b)(?P<named>[^\W\d_].*)",
    re.IGNORECASE,
)
"""A figure with its unit and ratio, and behind it what it counts."""
_RATIO = re.compile(r"[wvm]\s?/\s?[wvm]|\bby (?:mass|weight|volume)\b", re.IGNORECASE)


# ---- what is asked


def house_said(field: str, text: str) -> ConditionNoted:
    """How the house is, as an entry says it; a bare figure has the unit that is asked for.

    Parameters
    ----------
    field : str
        One of ``HOUSE_FIELDS``.

    Raises
    ------
    BadEntry
        It is no such quantity, or lies where no laboratory works.
    """
    what = HOUSE_FIELDS[field]
    return condition_noted(what, with_unit(text, asked_of(what).unit))


def house_in(text: str, where: str) -> float:
    """The same, its value."""
    try:
        return house_said(where, text).value
    except StillroomError as error:
        raise error.at(where) from error


def counted_names() -> dict[str, str]:
    """What a strength may count, to choose from."""
    first = ("total alkaloids as quinine", "total phenols as gallic acid")
    return {one: one for one in (*first, *(one.key for one in table("markers").rows))}


def known_plants() -> dict[str, str]:
    """Plants and their parts, to choose from."""
    return {one: one for one in plants_known()}


def ways() -> dict[str, str]:
    """Ways of extracting, by name, with their titles."""
    return {one.name: one.title for one in starters()}


def days_ahead(today: date) -> str:
    """A day some weeks ahead, to offer as the day an order is due."""
    return (today + timedelta(days=DAYS_AHEAD)).isoformat()


def strength_in(text: str, where: str) -> str:
    """The strength as it was written, once its figure can be read; what it counts may stand beside it."""
    named = _NAMED_BEHIND.match(text)
    entry(named["figure"] if named else text, "%", want="ratio", basis_required=False, where=where)
    return one_line(text, where)


def aim_in(strength: str, of: str, where: str) -> StatedStrength:
    """A strength of the product, with what it counts behind the figure or beside it."""
    return wanted_strength(_with_basis(strength, of), where)


def _with_basis(figure: str, of: str) -> str:
    said_with_it = _NAMED_BEHIND.match(figure)
    if said_with_it:
        figure, of = said_with_it["figure"], _one_name(said_with_it["named"].strip(), of.strip())
    if not of.strip():
        raise BadEntry(
            worded("{what} is needed here", what=Phrase("What the strength counts")), "nothing",
            worded('Write it like "{example}"', example="rosmarinic acid"), where="of",
        )  # fmt: skip
    figure = with_unit(figure, "%")
    ratio = "" if _RATIO.search(figure) else " w/w"
    return f"{figure}{ratio} {one_line(of, 'of')}"


def _one_name(behind: str, of: str) -> str:
    """What the strength counts, said behind its figure, in its own entry, or in both alike."""
    if not of or behind.casefold() == of.casefold():
        return behind
    if behind.startswith("as ") and " as " not in of:
        return f"{of} {behind}"
    raise BadEntry(
        "What the strength counts is said once, or twice alike",
        worded("{behind!r} behind the figure, {of!r} beside it", behind=behind, of=of),
        "Leave one of them out",
        where="of",
    )


def extraction_of(way: str, plant: str, aim: StatedStrength, product: str) -> Procedure:
    """The way of extracting, copied for a plant and what its product counts."""
    marker = aim.of if aim.of != "total alkaloids" else aim.reckoned_as
    return copy_starter(way, plant, marker, f"{slug(product)[:16].rstrip('-')}-extract")


def may_be_said(before: Mapping[str, Any]) -> dict[str, Own[Known] | Own[Setting]]:
    """What may be said beside the entries, by name: what a plan would assume, and the settings of the way."""
    if not {"way", "plant", "strength", "of", "product"} <= before.keys():
        return {}
    aim = aim_in(before["strength"], before["of"], "strength")
    extraction = extraction_of(before["way"], before["plant"], aim, before["product"])
    roles = {slug(role): Own(_role(one), "figure") for role, one in ASSUMED.items() if role != ALTITUDE}
    settings = {
        setting_field(step.name, one.name): Own(_setting(one), "figure")
        for step in extraction.steps
        for one in step.settings
    }
    return {**roles, **settings}


def _role(assumed: Known) -> Any:
    def known(text: str, where: str) -> Known:
        """What is said in place of an assumption; what stands after ± is two standard uncertainties."""
        found = entry(
            text, assumed.unit, basis_required=False, zero_allowed=True, sure_allowed=True, where=where
        )
        nothing_but(found, (), where=where)
        u = found.standard_uncertainty or 0.0
        doubt = u * known_unit(found.unit).factor / known_unit(assumed.unit).factor
        return Known(
            assumed.role, f"asked/{assumed.role}", found.in_unit(assumed.unit), assumed.unit, doubt,
            "normal" if doubt else "fixed", "reading", SAID, basis=assumed.basis,
        )  # fmt: skip

    return known


def _setting(one: Setting) -> Any:
    def said(text: str, where: str) -> Setting:
        """The same of a setting, in the unit its name carries."""
        parts = re.split(SIGN, text)
        if len(parts) > 2:
            raise BadEntry("A figure has one ±", repr(text[:40]), 'Write it like "5.2 ± 0.3"', where=where)
        value, unit = value_in_name_unit(one.name, parts[0], where=where)
        half = standard_uncertainty(one.name, parts[1], unit, "normal", where) if len(parts) == 2 else 0.0
        spread: Spreading = "normal" if half else "fixed"
        return replace(
            one, value=value, standard_uncertainty=half / 2, spread=spread, origin="measured", because=SAID
        )

    return said


def said_words(name: str) -> str:
    """What an entry is called that hangs on the way: "set-macerate-portions" is "Macerate portions"."""
    return name.removeprefix("set-").replace("-", " ").capitalize()


def said_by_name(text: str, _: int) -> dict[str, str]:
    """What the command says with its name: "loss-on-drying=8.1"."""
    name, equals, value = text.partition("=")
    if not (equals and value.strip()):
        raise BadEntry(
            "What is said has a name and a value", repr(text), like("loss-on-drying=8.1"), where="--say"
        )
    return {name.strip(): value.strip()}


def like(example: str) -> str:
    """What to write."""
    return worded('Write it like "{example}"', example=example)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered(Said):
    """A product, how much of it, how strong, from which plant in which way, and when."""

    product: str = needed(
        Own(one_line), must=worded("{what} is needed here", what=Phrase("What is on the label")),
        do=like("Rosemary scalp tonic"),
        label=later("Product, kind"), short=later("Product"), help="Name on the label: with it, no book is needed.",
    )  # fmt: skip
    kind: str = needed(
        Words(lambda: KINDS_OF_PRODUCT, choice=True),
        must=worded("{what} is needed here", what=Phrase("A kind of product")), do=like("hair leave-on"),
        label=later("Kind of product"), beside=True, usual="hair leave-on", help="Kind of product.",
    )  # fmt: skip
    bottles: tuple[int, Content] = needed(
        Own(bottles), must=worded("{what} is needed here", what=Phrase("Number × content")), do=like("24 × 50 mL"),
        label=later("Bottles × content"), hint=later("Such as 24 × 50 mL, or 12 × 30 g"), help='"24 × 50 mL".',
    )  # fmt: skip
    strength: str = needed(
        Own(strength_in, "figure", "%"),
        must=worded("{what} is needed here", what=Phrase("A strength of the product")),
        do=worded(
            'Write it like "0.10 %"; what doses no active, a mist or a plain balm, '
            "is ordered in a laboratory of your own"
        ),
        label=later("It holds, of what"), short=later("Strength of the product"), help='"0.10 % w/w rosmarinic acid".',
    )  # fmt: skip
    of: str = taken(
        "", Own(one_line, "list", named=counted_names),
        label=later("Of what"), beside=True, help="What it counts, where --strength does not say it.",
    )  # fmt: skip
    plant: str = needed(
        Own(one_line, "list", named=known_plants),
        must=worded("{what} is needed here", what=Phrase("A plant and its part")), do=like("rosemary leaf"),
        label=later("Plant and part"), help="Plant and part.",
    )  # fmt: skip
    way: str = needed(
        OneOf(ways, later("a way of extracting")), label=later("Way of extracting"),
        help="Way of extracting: maceration, percolation, soxhlet, infusion, ...",
    )  # fmt: skip
    due: str = needed(
        Own(iso_date, "date"), must=worded("{what} is needed here", what=Phrase("A day")), do=like("2027-01-31"),
        label=later("Due"), begins=days_ahead, help="Day it is due: 2027-01-31.",
    )  # fmt: skip
    base: str = taken(
        ROUND_ABOUT["base"], OneOf(lambda: BASES, later("a base to begin from")),
        label=later("Base"), unasked=True, chosen=ROUND_ABOUT["base"],
    )  # fmt: skip
    market: str = taken(
        ROUND_ABOUT["market"], Words(lambda: ("EU", "another"), choice=True),
        label=later("Market"), unasked=True, chosen=ROUND_ABOUT["market"],
    )  # fmt: skip
    customer: str = taken("not named yet", Own(one_line), label=later("Customer"), unasked=True)
    declared_at_least: str | None = maybe(
        Own(one_line), label=later("Declared at least"), unasked=True, hint=INSTEAD
    )
    how_sure: float = taken(
        how_sure(ROUND_ABOUT["how-sure"], "how-sure"), Own(how_sure),
        label=later("How sure"), unasked=True, hint=INSTEAD,
    )  # fmt: skip
    hours_a_day: float | None = maybe(
        Own(house_in), label=later("Hours a day"), unasked=True, house="working hours", hint=INSTEAD
    )
    altitude: float | None = maybe(
        Own(house_in), label=later("Altitude"), unasked=True, house="altitude", hint=INSTEAD
    )
    order: str = taken(
        "", Words(), label=later("Order"), unasked=True,
        hint=later("Its plan is calculated again with what is said here"),
    )  # fmt: skip
    besides: Mapping[str, Known | Setting] = others(may_be_said, called=said_words, hint=INSTEAD)


# ---- how it is worked out


def parts_of(said: Ordered, code: str) -> tuple[Order, Procedure, Procedure]:
    """The order, its extraction and its formula, as a book would hold them.

    Parameters
    ----------
    code : str
        Of the order; the procedures are called after the product.
    """
    units, each = said.bottles
    aim = aim_in(said.strength, said.of, "strength")
    nine_tenths = DECLARED_SHARE * aim.percent
    at_least = (
        aim_in(said.declared_at_least, said.of, "declared-at-least")
        if said.declared_at_least
        else replace(aim, percent=nine_tenths, as_written=f"{nine_tenths:.3g} % w/w {aim.counted}")
    )
    extraction = extraction_of(said.way, said.plant, aim, said.product)
    formula = starting_formula(
        base_that_takes(extraction, said.base),
        code=slug(said.product)[:24].rstrip("-"),
        title=said.product,
        product_type=said.kind,
        extract=extraction.makes,
    )
    order = Order(
        code=code,
        customer=said.customer,
        product=said.product,
        formula=formula.code,
        extraction=extraction.code,
        product_type=said.kind,
        market=said.market,
        units=units,
        nominal_ml=each.nominal_ml,
        nominal_g=each.nominal_g,
        aim=aim,
        at_least=at_least,
        due=said.due,
        how_sure_percent=said.how_sure,
    )
    return order, extraction, formula


def work(said: Ordered) -> WorkedBack:
    """Work an order back with nothing but what was said."""
    order, extraction, formula = parts_of(said, "as asked")
    if date.fromisoformat(order.due) < said.today:
        raise BadEntry(
            "An order is due today or later",
            worded("{due}, and today is {today}", due=order.due, today=said.today),
            "Look at the year",
            where="due",
        )
    request = request_said(said, order, extraction, formula)
    made = plan(request)
    hours, because = (
        (USUAL_HOURS_PER_DAY, HOURS_UNSAID) if said.hours_a_day is None else (said.hours_a_day, SAID)
    )
    return WorkedBack(made, when_to_begin(made.steps, order.due, hours, because, said.today))


def request_said(said: Ordered, order: Order, extraction: Procedure, formula: Procedure) -> PlanRequest:
    """The request of a plan from nothing but what was said, its parts as ``parts_of`` gives them."""
    known = [one for one in said.besides.values() if isinstance(one, Known)]
    if said.altitude is not None:
        known.append(known_height(said.altitude, SAID))
    steps = tuple(
        replace(step, settings=tuple(_as_said(said, step.name, one) for one in step.settings))
        for step in extraction.steps
    )
    # Draws are named after procedures: under a plain code the name of the product moves nothing.
    extraction = replace(extraction, code="extraction", steps=steps)
    return PlanRequest(order, extraction, replace(formula, code="formula"), tuple(known))


def _as_said(said: Ordered, step: str, one: Setting) -> Setting:
    instead = said.besides.get(setting_field(step, one.name))
    return instead if isinstance(instead, Setting) else one


QUESTION = Question(
    name="order",
    title=later("Plan an order"),
    lead="",
    button=later("What does it take?"),
    help="From an order back to plant, spirit, packaging, hours and money.",
    kind="an order planned",
    asks=Way(Ordered, work, tell, teach, assume),
    sentences=(
        Sentence(
            "say",
            'Say what would be assumed: --say "loss-on-drying=8.1 ± 0.4".',
            tuple(one.name for one in Ordered.entries() if one.face.get("unasked")),
            said_by_name,
            many=True,
        ),
    ),
)
