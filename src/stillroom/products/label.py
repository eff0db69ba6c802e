"""The words of a label, from what was made and what was declared.

Promises the ingredients in falling order, the declared strength with its basis, the batch code and the
cautions. Claims no e-mark: that needs an official sampling plan. Nothing on a label may rest on an
assumption. Names what only people can add: the responsible person, the language of the country.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.evidence.answer import Answer
from stillroom.products.claims import Flag, claims
from stillroom.quantities.basis import counted_once
from stillroom.quantities.content import Content
from stillroom.substances.reagents import day_of
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import ENGLISH, figure, language, later, t, word


@dataclass(frozen=True, slots=True)
class LabelFacts:
    """What a label is made from."""

    product: str
    each: Content
    """What it holds."""
    ingredients: Mapping[str, float]
    """Label name and share at the time of adding. [% w/w]"""
    batch: str
    made_on: str
    """[ISO date]"""
    best_before: str | None = None
    """[ISO date]"""
    declared: Answer | None = None
    """Strength declared at least, basis in words. [% w/w]"""
    content: Answer | None = None
    """What the batch holds; the declared strength rests on it. [% w/w]"""
    flammable: bool = False
    function: str = ""
    """Such as "Hair tonic, leave on"."""
    text: str = ""
    """Wording of the maker, looked through for claims."""
    responsible_person: str = ""
    """Empty, it leaves room for it."""
    allergens: tuple[str, ...] = ()
    """Fragrance allergens that must be named beside the ingredients."""


@dataclass(frozen=True, slots=True)
class IngredientOrder:
    """Ingredients as they stand on the label."""

    falling: tuple[str, ...]
    """From the least that must be ordered up, largest first."""
    any_order: tuple[str, ...]
    """Below that share; any order is right, here falling too."""
    ties: tuple[tuple[str, str], ...]
    """Neighbours of equal share: either order is right."""

    @property
    def words(self) -> str:
        """The list as printed."""
        return ", ".join((*self.falling, *self.any_order))


@dataclass(frozen=True, slots=True)
class Label:
    """A label ready to be looked at."""

    lines: tuple[str, ...]
    order: IngredientOrder
    flags: tuple[Flag, ...]
    """Words that promise too much."""
    to_add: tuple[str, ...]
    """What only people can add or check."""


def ingredient_order(parts: Mapping[str, float]) -> IngredientOrder:
    """Ingredients in the order of the law.

    Parameters
    ----------
    parts : mapping of str to float
        Label name and share at the time of adding. [% w/w]

    Returns
    -------
    IngredientOrder
        Falling from 1 % up; the rest may stand in any order and falls too. [text]

    Raises
    ------
    BadEntry
        There is no ingredient, or a share is not above zero.

    Notes
    -----
    An ingredient at exactly 1 % belongs to the ordered part.

    References
    ----------
    regulation-1223-2009
    """
    if not parts:
        raise BadEntry("A label must list its ingredients", "none")
    for name, percent in parts.items():
        if not 0.0 < percent <= 100.0:
            raise BadEntry(
                worded("The share of {called!r} must lie between 0 and 100 %", called=name), f"{percent:g} %"
            )
    edge = rule("ingredient-any-order-below").value
    ordered = sorted((name for name in parts if parts[name] >= edge), key=lambda name: (-parts[name], name))
    ties = tuple(
        (first, second) for first, second in pairwise(ordered) if abs(parts[first] - parts[second]) < 1e-9
    )
    rest = sorted((name for name in parts if parts[name] < edge), key=lambda name: (-parts[name], name))
    return IngredientOrder(tuple(ordered), tuple(rest), ties)


def label(facts: LabelFacts) -> Label:
    """The words of a label.

    Parameters
    ----------
    facts : LabelFacts
        What was made and declared. [record]

    Returns
    -------
    Label
        Lines, flags and what is still to add. [text]

    Raises
    ------
    NotAllowed
        The declared strength rests on an assumption, or the batch does not reach it.
    BadEntry
        A name, the batch code, a date or the nominal content is missing or impossible.

    References
    ----------
    regulation-1223-2009
    """
    if not facts.product.strip() or not facts.batch.strip():
        raise BadEntry("A label must name the product and its batch", repr((facts.product, facts.batch)))
    if not facts.each:
        raise BadEntry("A nominal content must be above zero", facts.each.words)
    order = ingredient_order(facts.ingredients)
    lines = [facts.product]
    if facts.function:
        lines.append(facts.function)
    if facts.each.amount >= rule("nominal-content-from").value:
        lines.append(figure(facts.each.words))
    if facts.declared is not None:
        lines.append(_strength(facts.declared, facts.content))
    lines.append(t("Ingredients: {list}", list=", ".join((order.words, *_not_yet(facts)))))
    lines.append(t("Batch {code}", code=facts.batch))
    keeping, to_add = _keeping(facts)
    lines.extend(keeping)
    lines.append(t("For external use only. Avoid contact with the eyes. Keep out of reach of children."))
    if facts.flammable:
        lines.append(t("Flammable. Keep away from heat, sparks and open flames. Do not smoke."))
    said = " ".join(lines).casefold()
    lines += [one for text in facts.text.splitlines() if (one := text.strip()) and one.casefold() not in said]
    lines.append(facts.responsible_person or t("[responsible person: name and address]"))
    if not facts.responsible_person:
        to_add.append(t("Name and address of the responsible person."))
    to_add.append(t("Nominal content, dates, cautions and function in the language of the country."))
    if language() != ENGLISH:
        to_add.append(t("A reading by somebody whose language it is, before printing."))
    to_add.extend(
        t("{first} and {second} are equal: either may stand first.", first=first, second=second)
        for first, second in order.ties
    )
    return Label(tuple(lines), order, claims(facts.text), tuple(to_add))


SHARES = {"w/w": later("w/w"), "v/v": later("v/v"), "w/v": later("w/v")}


def strength_words(written: str) -> str:
    """A declared strength in the language spoken at the moment.

    Parameters
    ----------
    written : str
        As it stands in the order, "0.095 % w/w total alkaloids as quinine". [text]

    Returns
    -------
    str
        With its comma, its kind of share and the compounds the catalogue knows; other names as they stand. [text]
    """
    written = counted_once(written)
    if language() == ENGLISH:
        return written
    found = re.fullmatch(r"(.*?%) (w/w|v/v|w/v)(,?) ?(.*?)(?: as (.+))?", written)
    if found is None:
        return figure(written)
    amount, share, _, marker, compound = found.groups()
    words = [figure(amount).replace(" %", "\u00a0%"), t(SHARES[share])]
    if marker:
        words.append(word(marker))
    if compound:
        words.append(t("as {compound}", compound=word(compound)))
    return " ".join(words)


def _not_yet(facts: LabelFacts) -> list[str]:
    """Allergens that no ingredient names already."""
    listed = {part.strip().casefold() for name in facts.ingredients for part in name.split(",")}
    return [one for one in facts.allergens if one.casefold() not in listed]


def _strength(declared: Answer, content: Answer | None) -> str:
    for one in (declared, content):
        if one is not None and one.rests_on_an_assumption:
            raise NotAllowed(
                "A figure on a label must rest on readings",
                worded("{called!r} rests on an assumption", called=one.name),
                "Measure it, and label then",
            )
    if not declared.basis:
        raise BadEntry(
            "A declared strength must carry its basis", f"{declared.value:g} %", 'Say "w/w, as quinine"'
        )
    if content is not None and content.value < declared.value:
        raise NotAllowed(
            worded(
                "A label may declare at most what the batch holds, {content:.4g} %", content=content.value
            ),
            worded("at least {declared:g} %", declared=declared.value),
            "Declare less, or dose again",
        )
    return t("At least {strength}", strength=strength_words(f"{declared.value:g} % {declared.basis}"))


def _keeping(facts: LabelFacts) -> tuple[list[str], list[str]]:
    made = day_of(facts.made_on)
    if facts.best_before is None:
        return [], [t("A best-before date, or the months it keeps after opening.")]
    last = day_of(facts.best_before)
    if last <= made:
        raise BadEntry(
            "A best-before date must lie after the day it was made",
            worded("{best_before}, made {made_on}", best_before=facts.best_before, made_on=facts.made_on),
        )
    longest = rule("longest-dated-life").value
    months = (last.year - made.year) * 12 + last.month - made.month - (last.day < made.day)
    if months > longest:
        return [t("Made {day}", day=made.isoformat())], [
            t(
                "It keeps more than {months} months: print the open jar with months after opening, no date.",
                months=f"{longest:g}",
            )
        ]
    return [t("Best before {day}", day=last.isoformat())], []
