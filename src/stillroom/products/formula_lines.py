"""Everything the book can say about a formula, line by line: what formula page, entry, order, dose and release repeat.

Promises the same lines for the same facts at every door. What no rule names is told in one line and is no permission; a
name that nobody knows here is undecided until a person says what it is.
"""

import re
from collections.abc import Iterator
from dataclasses import replace

from stillroom.products.check_lines import CheckLine, Standing, gravest_first
from stillroom.products.claims import claim_lines
from stillroom.products.contained import Held, held_in, is_known, parts_in
from stillroom.products.formula_allergens import allergen_lines, allergens_to_name
from stillroom.products.formula_ceilings import ceiling_lines
from stillroom.products.formula_facts import FormulaFacts, Share
from stillroom.products.formula_keeping import keeping_lines
from stillroom.products.formula_together import kind_as_sprayed, together_lines
from stillroom.products.kinds import KINDS_OF_PRODUCT, MARKETS, Kind, has_rules_here, kind_of_product
from stillroom.reference.tables import row
from stillroom.substances.other_languages import in_english
from stillroom.substances.own import own_plant_of
from stillroom.substances.plants import plant_rules_in
from stillroom.substances.spirit_strengths import ethanol_mass_fraction_of, strength_in_name
from stillroom.substances.spirits import spirit_mass_fraction, spirit_volume_fraction_20c
from stillroom.texts.catalogue import t

SPIRITS, SOLVENTS, OTHER_ANNEXES = ("spirit",), ("solvent",), ("colorant", "UV filter")
"""What an ingredient is for: ethanol; isopropanol; what the annexes of colours and of UV filters rule."""
A_COLOUR = re.compile(r"\bC\.?I\.?\s*\d{5}\b", re.IGNORECASE)
STRONG = 0.96
"""Strength by volume of a spirit that names none, for a first look only. [v/v]"""
ETHANOL = "ethanol"
MARKET_LINE = "market"
AS_FRAGRANCE = "when used as fragrance"
"""Condition of a row that prohibits a plant for its scent only; in a perfume it has no other use."""


def formula_lines(facts: FormulaFacts) -> tuple[CheckLine, ...]:
    """Every line about a formula.

    Parameters
    ----------
    facts : FormulaFacts
        Shares, kind of product, pH, words, label. [record]

    Returns
    -------
    tuple of CheckLine
        What stops first. [records]
    """
    kind, held = kind_as_sprayed(facts), held_in(facts)
    ethanol = ethanol_percent(facts)
    by_row = (
        *_plants(facts, kind),
        *ceiling_lines(facts, held, kind, _alcohol_percent(facts, ethanol)),
        *allergen_lines(facts, held, kind),
    )
    found = [
        *_market(facts),
        *_kind(kind),
        *(one if has_rules_here(facts.market) else _elsewhere(one) for one in by_row),
        *keeping_lines(facts, held, _by_volume(ethanol)),
        *together_lines(facts, kind),
        *claim_lines(facts.words),
        *_unknown(facts, held),
        *_no_rule(facts, held),
    ]
    return gravest_first({one.key: one for one in reversed(gravest_first(found))}.values())


def names_for_label(facts: FormulaFacts) -> tuple[str, ...]:
    """Allergens that the list of ingredients must name beside the ingredients.

    Parameters
    ----------
    facts : FormulaFacts
        The formula. [record]

    Returns
    -------
    tuple of str
        Those that pass their threshold or may. [text]
    """
    return allergens_to_name(facts, held_in(facts), kind_of_product(facts.product_kind))


def ethanol_percent(facts: FormulaFacts) -> float:
    """Ethanol of a formula.

    Parameters
    ----------
    facts : FormulaFacts
        A spirit by the strength in its name (v/v at 20 °C unless it says more), or what its lot carries. [% w/w]

    Returns
    -------
    float
        Ethanol. [% w/w]
    """
    total = 0.0
    for share, part in parts_in(facts):
        if part.ingredient is None or part.ingredient.what_for not in SPIRITS or share.percent is None:
            continue
        told = [one for one in share.carries if one.substance == ETHANOL]
        if told:
            total += share.percent * (told[0].low_percent + told[0].high_percent) / 200.0
        else:
            named = strength_in_name(share.name) if part.strength_said else None
            by_mass = ethanol_mass_fraction_of(named) if named else float(spirit_mass_fraction(STRONG))
            total += share.percent * by_mass
    return total


def _by_volume(ethanol: float) -> float:
    return 100.0 * float(spirit_volume_fraction_20c(ethanol / 100.0)) if 0.0 < ethanol < 100.0 else ethanol


def _alcohol_percent(facts: FormulaFacts, ethanol: float) -> float:
    others = (
        share.percent or 0.0
        for share, part in parts_in(facts)
        if part.ingredient is not None and part.ingredient.what_for in SOLVENTS
    )
    return ethanol + sum(others)


def _elsewhere(line: CheckLine) -> CheckLine:
    """A row of the market that is held, for another: what is over there has to be decided here."""
    standing: Standing = "undecided" if line.standing == "over" else line.standing
    return replace(
        line,
        standing=standing,
        says=t("{says} That is the rule of {held}.", says=line.says, held=", ".join(MARKETS)),
    )


def _market(facts: FormulaFacts) -> Iterator[CheckLine]:
    if not has_rules_here(facts.market):
        says = t("No rules of the market {market} are held here.", market=facts.market)
        yield CheckLine(MARKET_LINE, facts.market, "undecided", says, close=t("Look the rule up"))


def _kind(kind: Kind) -> Iterator[CheckLine]:
    if not kind.understood:
        says = t(
            "The kind of product {kind} is not known here, so the rules of every use are compared.",
            kind=kind.written or "-",
        )
        close = t("Name it like one of these: {kinds}", kinds=", ".join(KINDS_OF_PRODUCT))
        yield CheckLine("kind", kind.written, "undecided", says, close=close)


def _plants(facts: FormulaFacts, kind: Kind) -> Iterator[CheckLine]:
    is_perfume = all("fragrance" in one.tags for one in kind.uses)
    for share in facts.shares:
        for found in plant_rules_in(_said_of(share)):
            limit = row("limits_eu", found.limit_row)
            for_scent = is_perfume and limit.words("conditions").startswith(AS_FRAGRANCE)
            standing: Standing = "over" if found.status == "prohibited" or for_scent else "undecided"
            year = limit["state_of_data"]
            yield CheckLine(
                f"plant/{found.name}",
                share.name,
                standing,
                t("{about} is of {plant}. {why}", about=share.name, plant=found.name, why=found.why),
                f"limits_eu, {found.limit_row}",
                found.source,
                int(year) if isinstance(year, float) else None,
                t(
                    "Take it out"
                    if standing == "over"
                    else "Read the text of the law and let a safety assessor decide"
                ),
            )


def _said_of(share: Share) -> str:
    """Everything a line is called, in English too, and the plant of one's own that it is an extract of."""
    mine = own_plant_of(share.name)
    plant = (mine[0].name, mine[0].latin_name) if mine else ()
    return " / ".join((share.name, share.label_name, *in_english(share.name), *plant))


def _unknown(facts: FormulaFacts, held: tuple[Held, ...]) -> Iterator[CheckLine]:
    ruled = {one.line for one in held}
    for share, part in parts_in(facts):
        if not (part.known or share.is_told or any(plant_rules_in(_said_of(share)))):
            yield _unknown_name(part.written, part.like)
    for carried in (one for share in facts.shares for one in share.carries):
        if not is_known(carried.substance):
            yield _unknown_name(carried.substance, "")
    for share, part in parts_in(facts):
        if part.ingredient is None or share.name in ruled:
            continue
        if part.ingredient.what_for in OTHER_ANNEXES:
            says = t(
                "{about} is a {what}, and no row of the annex that rules it is held here.",
                about=share.name,
                what=part.ingredient.what_for,
            )
            key = f"not held/{part.ingredient.name.casefold()}"
            yield CheckLine(key, share.name, "undecided", says, close=t("Look the rule up"))


def _unknown_name(written: str, like: str) -> CheckLine:
    says = t("{about} is a name that nobody knows here, and so are its limits.", about=written)
    if A_COLOUR.search(written):
        says = t(
            "{about} is none of the colours of Annex IV that are held here, and no other may colour a product.",
            about=written,
        )
    if like:
        says = f"{says} {t('Did you mean {like}?', like=like)}"
    close = t("Write its usual name or its registry number, or look its rule up and decide by name")
    return CheckLine(f"unknown/{written.casefold()}", written, "undecided", says, close=close)


def _no_rule(facts: FormulaFacts, held: tuple[Held, ...]) -> Iterator[CheckLine]:
    ruled = {one.line for one in held}
    free = [
        share.name
        for share, part in parts_in(facts)
        if share.name not in ruled
        and part.known
        and part.ingredient
        and part.ingredient.what_for not in OTHER_ANNEXES
    ]
    if free:
        says = t(
            "No rule is held here about {names}; that is no permission.", names=", ".join(dict.fromkeys(free))
        )
        yield CheckLine("no rule", t("All else"), "cannot be seen here", says)
