"""Until when a bottle may be used, by its earliest rule: own life, what it was made from, opened, warm room."""

from collections.abc import Sequence
from datetime import datetime

from stillroom.actions.house.house_facts import condition_of
from stillroom.actions.shelf.titrants_in_date import STRENGTH, titrant_dates
from stillroom.answers.reagent_life import LifeRule, life_rules
from stillroom.records.lots import Lot
from stillroom.records.reagent_recipes import is_made, recipe_making, recipe_row
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.substances.reagent_care import Care, care_of, is_reagent, warm_life

ROOM = "room temperature"


def rules_of_lot(look: Reader, lot: Lot) -> tuple[LifeRule, ...]:
    """Every rule of a reagent's life, the earliest first; the first of them holds.

    Parameters
    ----------
    lot : Lot
        Made here or bought.
    """
    care = care_of_substance(lot.substance)
    opened = opened_on(look, lot.code)
    room = condition_of(look, ROOM)
    made_on, own, ingredients = "", 0, {}
    if lot.made_by:
        own = look.procedure_of(lot.made_by).keeps_days
        made_on = look.received_at(lot.code)
        lots = {
            one.lot
            for step in look.steps(lot.made_by)
            for one in step.body.weighings
            if one.direction == "in" and one.lot
        }
        ingredients = {code: date for code in sorted(lots) if (date := look.lot(code).use_by)}
    rules = life_rules(
        made_on=made_on,
        own_life_days=own,
        label_says=lot.use_by,
        ingredients=ingredients,
        opened_on=opened,
        opened_life_days=care.opened_days if care else 0,
        room_c=room.value if room else None,
        warm=warm_life(care.reagent) if care else None,
    )
    return tuple(sorted((*rules, *_of_a_titrant(look, lot)), key=lambda one: one.last_day))


def _of_a_titrant(look: Reader, lot: Lot) -> tuple[LifeRule, ...]:
    """Until when a titrant and its factor serve, as the book stands now; nothing for any other reagent."""
    if not look.readings(lot.code, STRENGTH):
        return ()
    found = titrant_dates(look, lot.code, _as_it_stands(look))
    rules = []
    if found.use_by is not None and found.use_by.isoformat() != lot.use_by:
        rules.append(LifeRule(f"the days of a titrant {found.at_room}", found.use_by.isoformat()))
    if found.factor_until is not None:
        rules.append(LifeRule(f"its factor, {found.at_room}: set it again", found.factor_until.isoformat()))
    return tuple(rules)


@once
def _as_it_stands(look: Reader) -> datetime:
    """When the last entry was made."""
    return datetime.fromisoformat(look.entry(look.head.entry_no).done_at)


def dates_ahead(look: Reader, lots: Sequence[Lot]) -> None:
    """What the rules of some bottles rest on, known before it is asked of one after another."""
    codes = [one.code for one in lots]
    look.openings_ahead(codes)
    look.readings_ahead(codes)
    look.batches_ahead([one.made_by for one in lots if one.made_by])


def use_by_of(look: Reader, lot: Lot) -> LifeRule | None:
    """The rule that ends first, None where nobody gave the bottle any date."""
    rules = rules_of_lot(look, lot)
    return rules[0] if rules else None


def opened_on(look: Reader, lot: str) -> str:
    """Day the bottle was opened first, "" while it is closed."""
    opened = look.openings(lot)
    return opened[0].done_at[:10] if opened else ""


def care_of_substance(substance: str) -> Care | None:
    """What the reference minds about the reagent a lot holds, None where it does not know it."""
    if is_reagent(substance):
        return care_of(substance)
    return care_of(recipe_row(recipe_making(substance)).words("reagent")) if is_made(substance) else None
