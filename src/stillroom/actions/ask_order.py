"""An order worked back to the plant with nothing set up: six entries, and an assumption for everything else.

Promises the same plan the book would keep, made from a way of extracting and a plain formula to begin from, with what
nobody said listed by its effect. Writes nothing; ``keeping_answers`` does, when it is asked to.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from stillroom.actions.house.house_facts import (
    USUAL_HOURS,
    USUAL_HOURS_PER_DAY,
    asked_of,
    condition_noted,
    known_height,
)
from stillroom.actions.order_unsaid import ROUND_ABOUT, left_unsaid, slug
from stillroom.errors import BadEntry, Phrase, worded
from stillroom.planning.outcome import Plan
from stillroom.planning.plan import plan
from stillroom.planning.plan_inputs import ALTITUDE, Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.working_days import WhenToBegin, when_to_begin
from stillroom.quantities.entry import entry, nothing_but, with_unit
from stillroom.quantities.uncertainty_words import SIGN
from stillroom.quantities.units import unit as known_unit
from stillroom.records.entries import ConditionNoted, LeftUnsaid
from stillroom.records.formula_starters import starting_formula
from stillroom.records.order_from_yaml import bottles, how_sure, stated_strength
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure, Setting, Spreading
from stillroom.records.setting_from_text import standard_uncertainty, value_in_name_unit
from stillroom.records.starters import copy_starter
from stillroom.records.written_values import iso_date, one_line

SAID = "as said when it was asked"
DECLARED_SHARE = 0.9
_NAMED_BEHIND = re.compile(
    r"(?P<figure>[\d.,\s]*\d\s*(?:%|‰|ppm|[a-zµ]+/[a-z]+)"
    r"(?:\s*(?:[wvm]\s?/\s?[wvm]\b|by (?:mass|weight|volume)\b))?)\s+(?:of\s+)?(?![wvm]\s?/|by\b)(?P<named>[^\W\d_].*)",
    re.IGNORECASE,
)
"""A figure with its unit and ratio, and behind it what it counts."""
_RATIO = re.compile(r"[wvm]\s?/\s?[wvm]|\bby (?:mass|weight|volume)\b", re.IGNORECASE)

HOUSE_FIELDS = {"altitude": "altitude", "hours-a-day": "working hours"}
"""Fields of the question that say how the house is, and what the house calls them."""


@dataclass(frozen=True, slots=True)
class OrderAsked:
    """Six entries, and whatever else was said.

    Attributes
    ----------
    product, kind : str
        Name on the label, and kind of product.
    bottles : str
        "24 × 50 mL".
    strength, of : str
        "0.10 %", and of what: "rosmarinic acid", or "total alkaloids as quinine".
    plant : str
    way : str
        Name of a starter.
    due : str
        ISO date.
    said : mapping of str to str
        What replaces an assumption, by its field.
    """

    product: str
    kind: str
    bottles: str
    strength: str
    of: str
    plant: str
    way: str
    due: str
    said: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class WorkedBack:
    """An order worked back.

    Attributes
    ----------
    asked : OrderAsked
    plan : Plan
    when : WhenToBegin
    unsaid : tuple of (LeftUnsaid, float)
        What was taken because nobody said it, with its share of the doubt, the largest first.
    """

    asked: OrderAsked
    plan: Plan
    when: WhenToBegin
    unsaid: tuple[tuple[LeftUnsaid, float], ...]


def work_back_from(asked: OrderAsked, today: date) -> WorkedBack:
    """Work an order back with nothing but six entries.

    Parameters
    ----------
    asked : OrderAsked
    today : date
        The day it is asked.

    Raises
    ------
    BadEntry, SeveralBadEntries
        An entry cannot be read.
    NotAllowed
        The plant, a solvent or the aim may not be used, or the way does not hold for the marker.
    UnknownName
        There is no such way.
    """
    order, extraction, formula = parts_of(asked, "as asked")
    if date.fromisoformat(order.due) < today:
        raise BadEntry(
            "An order is due today or later",
            worded("{due}, and today is {today}", due=order.due, today=today),
            "Look at the year",
            where="due",
        )
    extraction, known = _what_was_said(asked, extraction)
    # Draws are named after procedures: under a plain code the name of the product moves nothing.
    extraction, formula = replace(extraction, code="extraction"), replace(formula, code="formula")
    request = PlanRequest(order, extraction, formula, tuple(known))
    made = plan(request)
    hours, because = _hours_a_day(asked)
    when = when_to_begin(made.steps, order.due, hours, because, today)
    return WorkedBack(asked, made, when, tuple(left_unsaid(asked.said, made)))


def parts_of(asked: OrderAsked, code: str) -> tuple[Order, Procedure, Procedure]:
    """The order, its extraction and its formula, as a book would hold them.

    Parameters
    ----------
    asked : OrderAsked
    code : str
        Of the order; the procedures are called after the product.
    """
    product = _entry(asked.product, "product", "What is on the label", "Rosemary scalp tonic")
    kind = _entry(asked.kind, "kind", "A kind of product", "hair leave-on")
    plant = _entry(asked.plant, "plant", "A plant and its part", "rosemary leaf")
    units, nominal_ml = bottles(_entry(asked.bottles, "bottles", "Number × content", "24 × 50 mL"), "bottles")
    aim = stated_strength(_with_basis(asked.strength, asked.of), "strength")
    declared = asked.said.get("declared-at-least", "")
    at_least = (
        stated_strength(_with_basis(declared, asked.of), "declared-at-least")
        if declared
        else replace(
            aim,
            percent=DECLARED_SHARE * aim.percent,
            as_written=f"{DECLARED_SHARE * aim.percent:.3g} % w/w {aim.counted}",
        )
    )
    name = slug(product)
    extraction = copy_starter(asked.way, plant, aim.of if aim.of != "total alkaloids" else aim.reckoned_as,
                              f"{name[:16].rstrip('-')}-extract")  # fmt: skip
    formula = starting_formula(
        asked.said.get("base", ROUND_ABOUT["base"]),
        code=name[:24].rstrip("-"),
        title=product,
        product_type=kind,
        extract=extraction.makes,
    )
    order = Order(
        code=code,
        customer=asked.said.get("customer", "") or "not named yet",
        product=product,
        formula=formula.code,
        extraction=extraction.code,
        product_type=kind,
        market=asked.said.get("market", ROUND_ABOUT["market"]),
        units=units,
        nominal_ml=nominal_ml,
        aim=aim,
        at_least=at_least,
        due=iso_date(_entry(asked.due, "due", "A day", "2027-01-31"), "due"),
        how_sure_percent=how_sure(asked.said.get("how-sure", ROUND_ABOUT["how-sure"]), "how-sure"),
    )
    return order, extraction, formula


def _entry(text: str, where: str, what: str, example: str) -> str:
    if not text.strip():
        raise BadEntry(
            worded("{what} is needed here", what=Phrase(what)),
            "nothing",
            worded('Write it like "{example}"', example=example),
            where=where,
        )
    return one_line(text, where)


def _with_basis(strength: str, of: str) -> str:
    figure = _entry(strength, "strength", "A strength of the product", "0.10 %")
    said_with_it = _NAMED_BEHIND.match(figure)
    if said_with_it:
        figure, of = said_with_it["figure"], _one_name(said_with_it["named"].strip(), of.strip())
    counted = _entry(of, "of", "What the strength counts", "rosmarinic acid")
    figure = with_unit(figure, "%")
    ratio = "" if _RATIO.search(figure) else " w/w"
    return f"{figure}{ratio} {counted}"


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


def house_said(field: str, text: str) -> ConditionNoted:
    """How the house is, as a field of the question says it; a bare figure has the unit that is asked for.

    Parameters
    ----------
    field : str
        One of ``HOUSE_FIELDS``.
    text : str

    Raises
    ------
    BadEntry
        It is no such quantity, or lies where no laboratory works.
    """
    what = HOUSE_FIELDS[field]
    return condition_noted(what, with_unit(text, asked_of(what).unit))


def _hours_a_day(asked: OrderAsked) -> tuple[float, str]:
    said = asked.said.get("hours-a-day", "")
    if not said:
        return USUAL_HOURS_PER_DAY, USUAL_HOURS
    return house_said("hours-a-day", said).value, SAID


def may_be_said(asked: OrderAsked) -> tuple[str, ...]:
    """Names of everything that may be said of an order beside its six entries.

    Parameters
    ----------
    asked : OrderAsked
        Whose way of extracting has the settings.
    """
    from stillroom.planning.assumptions import ASSUMED

    _, extraction, _ = parts_of(asked, "as asked")
    settings = (
        f"set-{slug(step.name)}-{slug(one.name)}" for step in extraction.steps for one in step.settings
    )
    plain = ("base", "market", "customer", "declared-at-least", "how-sure", *HOUSE_FIELDS)
    return (*plain, *(slug(role) for role in ASSUMED), *settings)


def _what_was_said(asked: OrderAsked, extraction: Procedure) -> tuple[Procedure, list[Known]]:
    """The extraction with the settings that were said, and the rest of what was said as inputs of the plan."""
    from stillroom.planning.assumptions import ASSUMED

    roles = {slug(role): role for role in ASSUMED}
    settings = {
        f"set-{slug(step.name)}-{slug(one.name)}": (step.name, one.name)
        for step in extraction.steps
        for one in step.settings
    }
    known: list[Known] = []
    for name, text in asked.said.items():
        if name == ALTITUDE and text:
            known.append(known_height(house_said(name, text).value, SAID))
        elif name in roles and text:
            assumed = ASSUMED[roles[name]]
            value, doubt = _value_and_doubt(text, assumed.unit, name)
            known.append(
                Known(
                    roles[name],
                    f"asked/{roles[name]}",
                    value,
                    assumed.unit,
                    doubt,
                    "normal" if doubt else "fixed",
                    "reading",
                    SAID,
                    basis=assumed.basis,
                )
            )
        elif name in settings and text:
            extraction = _with_setting(extraction, *settings[name], text, name)
    return extraction, known


def _with_setting(procedure: Procedure, step: str, setting: str, text: str, where: str) -> Procedure:
    def said(one: Setting) -> Setting:
        value, doubt = _setting_and_doubt(one.name, text, where)
        spread: Spreading = "normal" if doubt else "fixed"
        return replace(
            one, value=value, standard_uncertainty=doubt, spread=spread, origin="measured", because=SAID
        )

    steps = (
        replace(one, settings=tuple(said(each) if each.name == setting else each for each in one.settings))
        if one.name == step
        else one
        for one in procedure.steps
    )
    return replace(procedure, steps=tuple(steps))


def _value_and_doubt(text: str, unit: str, where: str) -> tuple[float, float]:
    """A figure and its standard uncertainty: what stands after ± is taken as two of them."""
    found = entry(text, unit, basis_required=False, zero_allowed=True, sure_allowed=True, where=where)
    nothing_but(found, (), where=where)
    doubt = (found.standard_uncertainty or 0.0) * known_unit(found.unit).factor / known_unit(unit).factor
    return found.in_unit(unit), doubt


def _setting_and_doubt(name: str, text: str, where: str) -> tuple[float, float]:
    """The same of a setting, in the unit its name carries."""
    parts = re.split(SIGN, text)
    if len(parts) > 2:
        raise BadEntry("A figure has one ±", repr(text[:40]), 'Write it like "5.2 ± 0.3"', where=where)
    value, unit = value_in_name_unit(name, parts[0], where=where)
    half = standard_uncertainty(name, parts[1], unit, "normal", where) if len(parts) == 2 else 0.0
    return value, half / 2


def days_ahead(today: date, days: int = 42) -> str:
    """A day some weeks ahead, to offer as the day an order is due."""
    return (today + timedelta(days=days)).isoformat()
