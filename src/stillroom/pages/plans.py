"""Pages of a plan: kept or fresh, what changed since and why, and what a charge would give."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.own_held import own_of, own_stated_after
from stillroom.actions.book.page_facts import facts_of, page_facts
from stillroom.actions.house.house_facts import hours_a_day
from stillroom.actions.orders.ordering import against, forecast_charge, kept_request, work_back
from stillroom.actions.orders.requesting import request_for
from stillroom.documents.blocks import Block, Facts, Link, Page
from stillroom.documents.ordering import charge_page, plan_page
from stillroom.documents.own_runs import own_runs_blocks
from stillroom.documents.plan_changes import change_blocks
from stillroom.documents.plant_dots import plant_href
from stillroom.errors import StillroomError
from stillroom.pages.plain_orders import show_plain
from stillroom.planning.changes import changes
from stillroom.planning.lines import starter_alone
from stillroom.planning.outcome import Plan
from stillroom.planning.plan import plan
from stillroom.planning.request import PlanRequest
from stillroom.planning.working_days import when_to_begin
from stillroom.records.entries import Entry, PlanMade
from stillroom.store.reader import Reader
from stillroom.substances.own import knowing
from stillroom.texts.catalogue import t

WORTH_SAYING = 0.05
"""A plan is out of date where the plant it takes has moved by more than this share of it. [1]"""


def show_plan(lab: Laboratory, order: str) -> Page:
    """The plan kept for an order, or a fresh one that nobody has kept; of a plain one, why there is none."""
    plain = show_plain(lab, order)
    if plain is not None:
        return plain
    with lab.look() as look:
        kept = kept_plan(look, order)
        stale, changed = _changed_since(look, order, kept[0]) if kept else ("", ())
    if kept is None:
        return plan_shown(lab, work_back(lab, order))
    return plan_shown(lab, kept[0], kept[1].entry_no, changed, stale)


def kept_plan(look: Reader, order: str) -> tuple[Plan, Entry[PlanMade]] | None:
    """The last plan kept for an order, run again from its inputs and from what was stated of one's own by then."""
    kept = kept_request(look, order)
    if kept is None:
        return None
    before = kept[1].entry_no
    with knowing(lambda: own_of(look, before=before), of=("own before", before)):
        return plan(kept[0]), kept[1]


def _changed_since(look: Reader, order: str, kept: Plan) -> tuple[str, tuple[Block, ...]]:
    """What the plan says no longer, what changed against the one before, and what worked again would change."""
    stale = ""
    blocks: list[Block] = []
    last = kept_request(look, order)
    earlier = kept_request(look, order, back=2)
    if earlier is not None:
        found = changes(earlier[0], kept.request)
        own = own_stated_after(look, earlier[1].entry_no, before=last[1].entry_no if last else None)
        says = against(earlier[1], kept.supply.plant_g, found, own=own)
        blocks += change_blocks(t("What changed against the plan before"), says, found, kept.supply.plant_g)
    try:
        fresh = request_for(look, order)
        since = changes(kept.request, fresh)
        own = last is not None and own_stated_after(look, last[1].entry_no)
        if (since or own) and last is not None:
            plant_g = plan(fresh).supply.plant_g
            says = against(last[1], plant_g, since, own=own)
            moved = abs(plant_g - kept.supply.plant_g) > WORTH_SAYING * kept.supply.plant_g
            if moved or fresh.order != kept.request.order:
                stale, says = says, ""
            blocks += change_blocks(t("Since this plan was kept"), says, since, kept.supply.plant_g)
        stale = " ".join((*_newer_versions(kept.request, fresh), stale)).strip()
    except StillroomError as trouble:
        blocks += change_blocks(t("Since this plan was kept"), trouble.sentence, ())
    return stale, tuple(blocks)


def _newer_versions(kept: PlanRequest, fresh: PlanRequest) -> tuple[str, ...]:
    """That a procedure was altered since the plan was kept, in a sentence for each."""
    pairs = {
        one.code: (one, now)
        for one, now in ((kept.extraction, fresh.extraction), (kept.formula, fresh.formula))
    }
    return tuple(
        t(
            "{procedure} has a newer version, {now}; this plan goes by version {then}: calculate it again.",
            procedure=now.title, now=now.version, then=one.version,
        )
        for one, now in pairs.values()
        if one.code == now.code and now.version > one.version
    )  # fmt: skip


def plan_shown(
    lab: Laboratory,
    made: Plan,
    kept_as: int | None = None,
    changed: tuple[Block, ...] = (),
    stale: str = "",
) -> Page:
    """A plan as a page, its days counted by the working hours of the house.

    Parameters
    ----------
    kept_as : int or None
        Entry it was kept under.
    changed : tuple of Block
        As ``plan_page`` takes them.
    stale : str
        What it says no longer.
    """
    with lab.look() as look:
        hours, because = hours_a_day(look)
        facts = facts_of(look)
    when = when_to_begin(made.steps, made.request.order.due, hours, because, lab.today())
    own = own_runs_blocks(made.request.remembered, made.lines, starter_alone(made.request))
    plant = made.request.plant
    history = Facts(((t("What this plant gave here"), Link(plant, plant_href(plant))),))
    return plan_page(made, when, kept_as=kept_as, changed=(history, *own, *changed), stale=stale, **facts)


def show_charge(lab: Laboratory, order: str, charge: str, *, plant_lot: str = "") -> Page:
    """What a charge of a given mass of plant would give."""
    found = forecast_charge(lab, order, charge, plant_lot=plant_lot)
    return charge_page(found, charge=charge, **page_facts(lab))
