"""The release list of what is no extract and no product: its date, its identity, its trial, its denaturant."""

from stillroom.actions.lots.lots_made import is_plant_water
from stillroom.actions.releasing.list_lines import papers_shown
from stillroom.actions.shelf.reagent_dates import use_by_of
from stillroom.actions.testing.reagent_bottles import failed_before_use
from stillroom.errors import UnknownName
from stillroom.products.check_lines import CheckLine, gravest_first
from stillroom.products.papers import count_of_germs
from stillroom.products.release_lines import lines_of_lot
from stillroom.products.release_record import LotFact
from stillroom.records.lots import Lot
from stillroom.records.reagent_recipes import recipe_making, recipe_row
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t


def lines_of_received(look: Reader, code: str, on: str) -> tuple[CheckLine, ...]:
    """The lines of a lot that is released on its papers, its identity or its trial.

    Parameters
    ----------
    on : str
        The day of the release. [ISO date]
    """
    lot = look.lot(code)
    found: list[CheckLine] = []
    if lot.kind.traits.released_on == "identity":
        decided = look.identities(code)
        last = decided[-1].body if decided else None
        fact = LotFact(
            code,
            True,
            True,
            last.accepted if last else None,
            evidence=last.evidence if last else None,
        )
        found += lines_of_lot(fact)
    rule = use_by_of(look, lot) if lot.kind.traits.spoils == "by its rules" else None
    last_day = rule.last_day if rule else lot.use_by
    if last_day:
        late = on[:10] > last_day
        part = later("{code} was to be used by {day}") if late else later("{code} may be used until {day}")
        close = (
            t("Reject it, or throw it away; correct the receipt where the date was typed wrong")
            if late
            else ""
        )
        found.append(
            CheckLine(
                f"use-by/{code}",
                code,
                "over" if late else "within",
                t(part, code=code, day=last_day),
                close=close,
            )
        )
    if lot.kind.traits.counts_germs:
        found += count_of_germs(papers_shown(look, code), awaited=is_plant_water(lot))
    if needs_trial(lot):
        found.append(_trial(look, code))
    return gravest_first(found)


def needs_trial(lot: Lot) -> bool:
    """Whether a reagent is made here to show something, so that a blank and a positive control can try it."""
    if lot.kind.traits.released_on != "trial" or not lot.made_by:
        return False
    try:
        return recipe_row(recipe_making(lot.substance)).words("part") != "part"
    except UnknownName:
        return False


def not_tried(look: Reader, code: str) -> bool:
    """Whether a reagent made here was never tried, or failed when it was tried last."""
    return not _tried(look, code) or failed_before_use(look, code)


def _tried(look: Reader, code: str) -> bool:
    return any(one.body.reagent_lot == code and one.body.subject == code for one in look.tests(code))


def _trial(look: Reader, code: str) -> CheckLine:
    tried = _tried(look, code)
    key, about = f"trial/{code}", t("Trial before use")
    if not tried:
        says = t("{code} was not tried on a blank and a positive control", code=code)
        return CheckLine(
            key,
            about,
            "missing",
            says,
            close=t("Try it: the blank stays clear, the positive control answers"),
        )
    if failed_before_use(look, code):
        says = t("{code} failed its trial", code=code)
        return CheckLine(
            key, about, "over", says, close=t("Make it again, or try it again with fresh controls")
        )
    return CheckLine(
        key,
        about,
        "within",
        t("{code} works: the blank stayed clear and the positive control answered", code=code),
    )
