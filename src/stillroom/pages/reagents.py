"""Pages of reagents, with a book or without one."""

from collections.abc import Mapping
from datetime import date, timedelta
from urllib.parse import urlencode

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.pricing import currency_of
from stillroom.actions.shelf.reagent_dates import care_of_substance, dates_ahead, opened_on, use_by_of
from stillroom.actions.testing.reagents import hazards_of, is_allowed, procedure_in_book, scaled_recipe
from stillroom.documents.blocks import NO_BOOK, Page, PageFacts
from stillroom.documents.lot_accounts import amount_text
from stillroom.errors import NotAllowed, UnknownName, worded
from stillroom.pages.reagent_label import BottleFacts, ReagentFacts, bottle_label, reagent_certificate
from stillroom.pages.reagent_recipe import RecipeFacts, making_sheet, recipe_page
from stillroom.pages.reagent_shelf import HREF, Shelved, reagents_page
from stillroom.products.cost import CostItem, actual_cost
from stillroom.products.reagent import ScaledReagent
from stillroom.quantities.money import Money
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import Lot
from stillroom.records.procedures import Procedure
from stillroom.records.reagent_recipes import RECIPES, recipe, recipe_names, recipe_row, recipes_of
from stillroom.reference.tables import table
from stillroom.store.reader import Reader
from stillroom.substances.reagent_care import CARE, Care, care_of
from stillroom.substances.reagents import reagent_key
from stillroom.texts.catalogue import t

SOON = timedelta(days=14)
"""How long before its end a reagent is named among what to make: common practice, no source."""


def show_reagents(lab: Laboratory | None, facts: PageFacts = NO_BOOK) -> Page:
    """What is to be detected, safest first; what stands on the shelf and when it ends; what to make."""
    if lab is None:
        return reagents_page((), (), (), has_book=False, **facts)
    today = lab.today()
    with lab.look() as look:
        shelf = _shelf(look, today)
        own = tuple(
            (one.title, one.code)
            for one in look.procedures()
            if one.purpose == "reagent" and one.code not in recipe_names()
        )
    known = {one.key for one in table(CARE).rows}
    fresh = {
        name
        for name, one in shelf
        if one.use_by and not one.is_over and date.fromisoformat(one.use_by.last_day) - today > SOON
    }
    to_make = [
        t(
            "{called}: {lot} {which} on {last_day}.",
            called=one.name,
            lot=one.lot,
            which=t("ended") if one.is_over else t("ends"),
            last_day=one.use_by.last_day,
        )
        for substance, one in shelf
        if substance in known and substance not in fresh and one.use_by
    ]
    return reagents_page([one for _, one in shelf], to_make, own, has_book=True, **facts)


def _shelf(look: Reader, today: date) -> list[tuple[str, Shelved]]:
    found = []
    lots = look.lots(kinds_that(lambda one: "bottle" in one.papers), on_shelf=True)
    dates_ahead(look, lots)
    for lot in lots:
        left = look.balance_ug(lot.code)
        if left <= 0:
            continue
        rule = use_by_of(look, lot)
        over = rule is not None and today.isoformat() > rule.last_day
        found.append(
            (
                reagent_key(lot.substance) or lot.substance,
                Shelved(lot.code, lot.name, amount_text(left, "ug"), look.status(lot.code).value, rule, over),
            )
        )
    return sorted(found, key=lambda one: one[1].use_by.last_day if one[1].use_by else "")


def recipe_facts(lab: Laboratory | None, name: str, asked: Mapping[str, str]) -> RecipeFacts:
    """What the page of a recipe, a reagent or a test is made from.

    Parameters
    ----------
    name : str
        Recipe, reagent, or code of a reagent procedure written here.
    asked : mapping of str to str
        "amount" and "step".

    Raises
    ------
    UnknownName
        There is none of that name; the nearest are offered.
    BadEntry
        The amount or the step cannot be taken.
    """
    said = {key: text.strip() for key, text in asked.items() if key in ("amount", "step") and text.strip()}
    procedure, cost = None, t("Price not stated.")
    name = name.casefold() if name.casefold() in _known() else name
    if lab is None:
        procedure = recipe(name) if name in recipe_names() else None
        care = _care(procedure, name)
        allowed = not care or not care.tick
        scaled = (
            scaled_recipe(procedure, said.get("amount", ""), said.get("step", ""))
            if procedure and allowed
            else None
        )
    else:
        with lab.look() as look:
            codes = {one.code for one in look.procedures() if one.purpose == "reagent"}
            procedure = procedure_in_book(look, name) if name in {*codes, *recipe_names()} else None
            care = _care(procedure, name)
            allowed = is_allowed(look, care)
            scaled = (
                scaled_recipe(procedure, said.get("amount", ""), said.get("step", ""))
                if procedure and allowed
                else None
            )
            cost = _cost(look, scaled) if scaled else t("Price not stated.")
    row = recipe_row(name) if name in recipe_names() else None
    others = tuple(
        (recipe(one).title, one) for one in (recipes_of(care.reagent) if care else ()) if one != name
    )
    return RecipeFacts(
        name,
        care,
        procedure,
        scaled,
        hazards=hazards_of(name),
        container=row.words("container") if row else "",
        comes_from=f"{row.words('where')} ({row.words('seen')})" if row else "",
        parts=others,
        cost=cost,
        needs_tick=not allowed,
        has_book=lab is not None,
        asked=said,
    )


def _care(procedure: Procedure | None, name: str) -> Care | None:
    if procedure is not None:
        if procedure.code in recipe_names():
            return care_of(recipe_row(procedure.code).words("reagent"))
        return care_of_substance(procedure.makes)
    if name not in _known():
        raise UnknownName.among(name, "a reagent", _known())
    return care_of(name)


def _known() -> tuple[str, ...]:
    return (*(one.key for one in table(CARE).rows), *(one.key for one in table(RECIPES).rows))


def _cost(look: Reader, scaled: ScaledReagent) -> str:
    counted = currency_of(look)
    prices = {
        one.body.of: one.body
        for one in look.prices()
        if one.body.per == "kg" and one.body.currency == counted
    }
    items = []
    for line in scaled.lines:
        if line.mass is None:
            continue
        price = prices.get(line.line.substance)
        items.append(
            CostItem(
                line.line.name, line.mass, Money.parse(f"{price.amount} {price.currency}") if price else None
            )
        )
    found = actual_cost(items)
    return found.says if found.total else t("Price not stated.")


def show_recipe(
    lab: Laboratory | None, name: str, asked: Mapping[str, str], facts: PageFacts = NO_BOOK
) -> Page:
    """One recipe at the amount asked, or the test it is."""
    found = recipe_facts(lab, name, asked)
    return recipe_page(found, _address(name, "", found.asked), **facts)


def show_making_sheet(
    lab: Laboratory | None, name: str, asked: Mapping[str, str], facts: PageFacts = NO_BOOK
) -> Page:
    """The sheet to make a recipe by.

    Raises
    ------
    NotAllowed
        The recipe stays closed, or nothing is mixed.
    """
    found = recipe_facts(lab, name, asked)
    _must_be_open(found)
    return making_sheet(found, **facts)


def show_recipe_label(
    lab: Laboratory | None, name: str, asked: Mapping[str, str], facts: PageFacts = NO_BOOK
) -> Page:
    """A label for the bottle that will be made, most of it for the pen.

    Raises
    ------
    NotAllowed
        The recipe stays closed, or nothing is mixed.
    """
    found = recipe_facts(lab, name, asked)
    scaled, procedure = _must_be_open(found)
    days = procedure.keeps_days
    bottle = BottleFacts(
        procedure.title,
        f"{scaled.amount.value:g} {scaled.amount.unit}",
        found.hazards,
        found.container,
        found.care.waste if found.care else "",
        keeps=t("the day it is made")
        if days == 1
        else t("{days} days from making", days=days)
        if days
        else "",
    )
    return bottle_label(bottle, href=_address(name, "/label", found.asked), **facts)


def show_bottle_label(lab: Laboratory, lot: str, facts: PageFacts = NO_BOOK) -> Page:
    """The label of a lot of reagent."""
    with lab.look() as look:
        held = _reagent_lot(look, lot)
        care, rule = care_of_substance(held.substance), use_by_of(look, held)
        recipe_name = look.batch(held.made_by).procedure if held.made_by else ""
        row = recipe_row(recipe_name) if recipe_name in recipe_names() else None
        made = look.received_at(lot)[:10] if held.made_by else ""
        by = look.begun(held.made_by).by if held.made_by else ""
        bottle = BottleFacts(
            held.name,
            amount_text(look.balance_ug(lot), "ug"),
            hazards_of(recipe_name),
            row.words("container") if row else "",
            care.waste if care else "",
            lot,
            made,
            by,
            opened_on(look, lot),
            rule,
        )
    return bottle_label(bottle, href=f"{HREF}/lots/{lot}/label", **facts)


def show_reagent_certificate(lab: Laboratory, lot: str, facts: PageFacts = NO_BOOK) -> Page:
    """The certificate of a lot of reagent."""
    with lab.look() as look:
        held = _reagent_lot(look, lot)
        care = care_of_substance(held.substance)
        made_from: dict[str, str] = {}
        recipe_name = ""
        if held.made_by:
            recipe_name = look.batch(held.made_by).procedure
            for step in look.steps(held.made_by):
                made_from |= {
                    one.lot: look.lot(one.lot).name for one in step.body.weighings if one.direction == "in"
                }
        strengths, factors = look.readings(lot, "titrant strength"), look.readings(lot, "titrant factor")
        factor = ""
        if strengths and factors:
            u = factors[-1].body.standard_uncertainty
            factor = t(
                "{as_written} of {as_written_two}",
                as_written=factors[-1].body.as_written,
                as_written_two=strengths[-1].body.as_written,
            ) + (t(", standard uncertainty {u:g}", u=u) if u else "")
        found = ReagentFacts(
            held.name,
            lot,
            look.status(lot).value,
            tuple(made_from.items()),
            use_by_of(look, held),
            _trials(look, lot),
            factor,
            hazards_of(recipe_name),
            care.permit if care else "",
        )
    return reagent_certificate(found, href=f"{HREF}/lots/{lot}/certificate", **facts)


def _trials(look: Reader, lot: str) -> tuple[str, ...]:
    """Controls before use, in words."""
    own = (one for one in look.tests(lot) if one.body.subject == one.body.reagent_lot == lot)
    return tuple(f"{one.done_at[:10]}: {one.body.because}" for one in own)


def _reagent_lot(look: Reader, lot: str) -> Lot:
    held = look.lot(lot)
    if "bottle" not in held.kind.traits.papers:
        raise NotAllowed("This page is of a reagent", f"{lot}, {held.kind}", "Open the lot under Stock")
    return held


def _must_be_open(found: RecipeFacts) -> tuple[ScaledReagent, Procedure]:
    if found.needs_tick and found.care:
        raise NotAllowed(
            "This recipe opens after the responsible person's tick",
            found.care.tick,
            worded(
                "Take a test of lower hazard ({safer}), or have it ticked in a book", safer=found.care.safer
            ),
        )
    if found.scaled is None and found.parts:
        names = ", ".join(one for _, one in found.parts)
        raise NotAllowed(
            "One of its recipes is chosen first", found.name, worded("Choose {names}", names=names)
        )
    if found.scaled is None or found.procedure is None:
        raise NotAllowed(
            "Nothing is mixed beforehand for this test", found.name, "Read what it needs on its page"
        )
    return found.scaled, found.procedure


def _address(name: str, paper: str, asked: Mapping[str, str]) -> str:
    return f"{HREF}/{name}{paper}" + (f"?{urlencode(asked)}" if asked else "")
