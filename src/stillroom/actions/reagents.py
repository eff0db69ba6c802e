"""What is done with reagents in the book: ticked, made, opened, tried before use, sold.

A dangerous one is made only while the responsible person's tick stands. What was made is a lot like any other: its
movements name the lots it came from, and it waits until somebody releases it.
"""

from collections.abc import Sequence
from datetime import datetime

from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.lots_in_use import must_be_released
from stillroom.actions.making import write_step
from stillroom.actions.reagent_dates import care_of_substance, opened_on, use_by_of
from stillroom.actions.receiving import amount_of
from stillroom.actions.weighing import Weighed
from stillroom.errors import BadEntry, NotAllowed, NotEnough
from stillroom.evidence.answer import Answer, reading
from stillroom.products.reagent import ScaledReagent, scale_reagent
from stillroom.quantities.money import Money
from stillroom.quantities.parse import parse
from stillroom.records.entries import BatchBegun, ControlTestRead, LotOpened, Moved, ProcedureWritten, ReagentAllowed
from stillroom.records.lots import SHELF, LotKind, Movement
from stillroom.records.procedures import Procedure
from stillroom.records.reagent_recipes import recipe, recipe_names, recipe_row
from stillroom.results.control_test import read_control_test
from stillroom.store.reader import Reader
from stillroom.substances.reagent_care import Care, care_of

MADE = "reagent"
"""Name of what the step of a recipe gives."""
STEP_UNSAID = "0.01 g"


def amount_asked(text: str) -> Answer:
    """How much reagent a person wants.

    Parameters
    ----------
    text : str
        "100 mL", "50 g".

    Raises
    ------
    BadEntry
        It is neither a volume nor a mass above zero.
    """
    found = parse(text, want=("mass", "volume"), zero_allowed=False, where="amount")
    unit = "g" if found.dimension.startswith("mass") else "mL"
    return reading("amount wanted", found.in_unit(unit), unit, "as asked")


def step_asked(text: str) -> Answer:
    """The smallest step of the scale a person has.

    Parameters
    ----------
    text : str
        "0.01 g".

    Raises
    ------
    BadEntry
        It is no mass above zero.
    """
    value = parse(text, want="mass", zero_allowed=False, where="step").in_unit("g")
    return reading("smallest step of the scale", value, "g", "as asked")


def scaled_recipe(procedure: Procedure, amount: str, step: str) -> ScaledReagent:
    """A recipe for an amount in words, on a scale in words.

    Parameters
    ----------
    procedure : Procedure
    amount : str
        "100 mL"; what the recipe is written for when empty.
    step : str
        "0.01 g"; that when empty.

    Raises
    ------
    BadEntry
        Amount or step cannot be read, or the recipe states no amounts.
    """
    wanted = step_asked(step or STEP_UNSAID)
    if amount:
        return scale_reagent(procedure, amount_asked(amount), wanted)
    one = scale_reagent(procedure, amount_asked("100 mL"), wanted)
    return scale_reagent(procedure, one.nominal, wanted)


def procedure_in_book(look: Reader, name: str) -> Procedure:
    """The laboratory's own version of a recipe, or the shipped one.

    Parameters
    ----------
    look : Reader
    name : str
        Key of a recipe, or code of a reagent procedure written here.

    Raises
    ------
    UnknownName
        Neither is there.
    """
    for one in look.procedures():
        if one.code == name and one.purpose == "reagent":
            return one
    return recipe(name)


def is_allowed(look: Reader, care: Care | None) -> bool:
    """Whether a reagent may be made here: always, or while the responsible person's tick stands."""
    return care is None or not care.tick or tick_of(look, care.reagent)


def tick_of(look: Reader, reagent: str) -> bool:
    """Whether the tick of a reagent stands."""
    found = [one.body for one in look.entries(kind="reagent allowed", subject=reagent)]
    return bool(found) and isinstance(found[-1], ReagentAllowed) and found[-1].allowed


def allow_reagent(
    lab: Laboratory, reagent: str, *, allowed: bool, why: str, by: str, at: datetime | None = None, request_key: str | None = None
) -> Done:
    """Tick a dangerous reagent, or take the tick back.

    Raises
    ------
    NotAllowed
        Who signs is not the responsible person.
    BadEntry
        No reason is given, or the reagent needs no tick.
    UnknownName
        There is no such reagent.
    """
    care = care_of(reagent)
    if not care.tick:
        raise BadEntry("Only a dangerous reagent is ticked", care.reagent, "Make it: nothing stands in the way")
    if not why.strip():
        raise BadEntry("A tick has its reason", "none", "Say why no safer test serves, and where the waste goes", where="why")
    body = ReagentAllowed(care.reagent, allowed, why.strip())
    with lab.act("allow reagent", {"reagent": care.reagent, "allowed": allowed, "why": why}, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if not pen.look.person(by).may_release:
            raise NotAllowed("Only the responsible person ticks a dangerous reagent", by, "Ask whoever may release", where="by")
        says = "may be made here" if allowed else "is not made here any more"
        return Done((pen.enter(body),), f"{care.reagent} {says}. Waste: {care.waste}.")


def make_reagent(
    lab: Laboratory,
    name: str,
    *,
    code: str,
    amount: str,
    weighed: Sequence[Weighed],
    scale: str = "",
    ticks: Sequence[str] = (),
    note: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Make a reagent: its recipe, its batch, its one step and its lot, in one go or not at all.

    Parameters
    ----------
    name : str
        Recipe.
    code : str
        Of the lot that is made.
    amount : str
        "100 mL".
    weighed : sequence of Weighed
        Every line of the recipe, and "reagent" where what stands in the bottle was weighed.
    scale : str
        Scale everything was weighed on.
    ticks : sequence of str
        The ticks that were made.
    note : str
        Needed when a mass is far from what was planned.

    Raises
    ------
    NotAllowed
        The tick of the responsible person or one of the step is missing, or a lot is not released or in date.
    BadEntry
        The amount, a mass or the code cannot be taken.
    NotEnough
        The shelf does not hold that much.
    UnknownName
        There is no such recipe, lot or scale.
    """
    asked = {
        "recipe": name, "code": code, "amount": amount, "scale": scale, "ticks": list(ticks), "note": note,
        "weighed": [[one.line, one.mass, one.lot, one.apparatus] for one in weighed],
    }  # fmt: skip
    with lab.act("make reagent", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look = pen.look
        procedure = procedure_in_book(look, name)
        care = care_of_substance(procedure.makes)
        if care is not None and not is_allowed(look, care):
            raise NotAllowed(
                f"{procedure.title} is made only after the responsible person's tick", care.tick,
                f"Take a safer test ({care.safer}), or have it ticked", where="code",
            )  # fmt: skip
        step = f"{look.apparatus(scale).smallest_step} g" if scale else STEP_UNSAID
        scaled = scaled_recipe(procedure, amount, step)
        if code in look.lot_codes():
            raise BadEntry("Every lot has a code of its own", f"{code}, which is in the book already", "Choose the next free code", where="code")
        numbers = []
        if procedure.code not in {one.code for one in look.procedures()}:
            numbers.append(pen.enter(ProcedureWritten(procedure)))
        masses = [one if one.apparatus else Weighed(one.line, one.mass, one.lot, scale) for one in weighed]
        masses = _with_the_bottle(masses, code, scale)
        together = sum(_grams(one) for one in masses if one.line != MADE)
        planned = {
            "amount": amount,
            "lines_g": {one.line.name: one.mass.value for one in scaled.lines if one.mass is not None},
        }
        total = scaled.total.value if scaled.total is not None else together
        numbers.append(pen.enter(BatchBegun(code, procedure.code, procedure.version, total, "", planned)))
        done_at = at or lab.clock()
        done_at = done_at if done_at.tzinfo else done_at.replace(tzinfo=lab.clock().tzinfo)
        numbers += write_step(pen, code, procedure.steps[0].name, masses, ticks, None, note, done_at)
        until = look.lot(code).use_by
        return Done(tuple(numbers), f"{code}, {procedure.title}, is made and waits. Use by {until or 'a date nobody gave'}; try it on a blank and a positive control first.")


def _with_the_bottle(masses: list[Weighed], code: str, scale: str) -> list[Weighed]:
    """The same, with what stands in the bottle: weighed, or everything that went in."""
    found = [one for one in masses if one.line == MADE and one.mass.strip()]
    rest = [one for one in masses if one.line != MADE]
    if found:
        return [*rest, Weighed(MADE, found[0].mass, code, found[0].apparatus)]
    return [*rest, Weighed(MADE, f"{sum(_grams(one) for one in rest):.6f} g", code, scale)]


def _grams(one: Weighed) -> float:
    return parse(one.mass, want="mass", zero_allowed=False, where=one.line).in_unit("g")


def open_lot(
    lab: Laboratory, lot: str, *, note: str = "", by: str, at: datetime | None = None, request_key: str | None = None
) -> Done:
    """Write that a bottle of reagent was opened: its opened life runs from now.

    Raises
    ------
    NotAllowed
        It is no reagent.
    BadEntry
        It was opened before.
    """
    with lab.act("open lot", {"lot": lot, "note": note}, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if pen.look.lot(lot).kind is not LotKind.REAGENT:
            raise NotAllowed("Opening is written of a reagent", lot, "Choose a reagent")
        before = opened_on(pen.look, lot)
        if before:
            raise BadEntry("A bottle is opened once", f"{lot}, opened on {before}", "Its opened life runs since then")
        number = pen.enter(LotOpened(lot, note.strip()))
        rule = use_by_of(pen.look, pen.look.lot(lot))
        return Done((number,), f"{lot} is open. Use by {rule.last_day}: {rule.says}." if rule else f"{lot} is open. It has no use-by date.")


def try_reagent(
    lab: Laboratory, lot: str, *, blank: str, positive_control: str, by: str, at: datetime | None = None, request_key: str | None = None
) -> Done:
    """Try a reagent on a blank and a positive control before it is used; the lot itself is the subject.

    Parameters
    ----------
    blank, positive_control : str
        What was seen: "precipitate" (or the colour of a positive), "clear", "unclear" or "not done".

    Raises
    ------
    NotAllowed
        It is no reagent the reference knows.
    BadEntry
        What was seen is none of the four words.
    """
    asked = {"lot": lot, "blank": blank, "positive": positive_control}
    with lab.act("try reagent", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        held = pen.look.lot(lot)
        care = care_of_substance(held.substance)
        if care is None or held.kind is not LotKind.REAGENT:
            raise NotAllowed("Only a reagent the reference knows is tried", lot, "Choose a reagent of the list")
        rule = use_by_of(pen.look, held)
        found = read_control_test(
            care.reagent, sample=positive_control, blank=blank, positive_control=positive_control, reagent_released=True,
            reagent_use_by=rule.last_day if rule else None, use_by_rule=rule.says if rule else "",
            tested_on=(at or lab.clock()).date().isoformat(),
        )  # fmt: skip
        works = found.counts
        says = "It works: the blank stayed clear and the positive control answered." if works else f"It does not serve. {found.because}"
        body = ControlTestRead(lot, care.reagent, lot, "not done", blank, positive_control, "present" if works else "no result", says)
        return Done((pen.enter(body),), f"{lot}: {says}")


def failed_before_use(look: Reader, lot: str) -> bool:
    """Whether the last trial of a reagent on its controls failed."""
    trials = [one.body for one in look.tests(lot) if one.body.reagent_lot == lot]
    return bool(trials) and trials[-1].outcome == "no result"


def sell_reagent(
    lab: Laboratory,
    lot: str,
    *,
    amount: str,
    packs: str,
    price: str,
    buyer: str,
    permit_looked_at: bool = False,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Sell reagent of a released lot: how much, in which packs, for how much, to whom.

    Raises
    ------
    NotAllowed
        The lot is no reagent of ours, not released, out of date, or its permit was not looked at.
    NotEnough
        The shelf holds less.
    BadEntry
        Amount, price or buyer cannot be taken.
    """
    asked = {"lot": lot, "amount": amount, "packs": packs, "price": price, "buyer": buyer, "permit": permit_looked_at}
    mass_ug, counted_in = amount_of(amount)
    money = Money.parse(price, where="price")
    if counted_in != "ug" or money.amount < 0:
        raise BadEntry("Reagent is sold by mass, for a price of zero or more", f"{amount}, {price}", where="amount")
    if not buyer.strip() or "/" in buyer or not buyer.isprintable() or len(buyer) > 80:
        raise BadEntry("A sale names its buyer in a few words", repr(buyer[:40]), "Write the name", where="buyer")
    if not packs.strip():
        raise BadEntry("A sale names its packs", "none", "Write how many bottles of how much", where="packs")
    with lab.act("sell reagent", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look, held = pen.look, pen.look.lot(lot)
        if held.kind is not LotKind.REAGENT or held.owner != "ours":
            raise NotAllowed("Only a reagent of ours is sold here", f"{lot}, {held.kind} of {held.owner}")
        on = (at or lab.clock()).date().isoformat()
        must_be_released(look, held, on=on)
        rule, care = use_by_of(look, held), care_of_substance(held.substance)
        if rule is None or on > rule.last_day:
            raise NotAllowed("A reagent is sold in date", f"{lot}, {rule.last_day if rule else 'without a date'}", "Make it fresh")
        if care is not None and care.permit and not permit_looked_at:
            raise NotAllowed("A permit may be needed here", care.permit, "Ask the authority, then say that it was looked at", where="permit")
        if look.balance_ug(lot) < mass_ug:
            raise NotEnough("The shelf must hold what is sold", amount, "Sell less", where="amount")
        why = f"sold to {buyer.strip()}: {packs.strip()}, {price}"
        moved = Moved((Movement(lot, SHELF, f"customer/{buyer.strip()}", mass_ug),), why)
        return Done((pen.enter(moved),), f"{amount} of {lot} is {why}.")


def recipes_here(look: Reader) -> tuple[str, ...]:
    """Every recipe that can be made: shipped, and written here."""
    own = tuple(one.code for one in look.procedures() if one.purpose == "reagent")
    return tuple(dict.fromkeys((*recipe_names(), *own)))


def hazards_of(name: str) -> str:
    """Hazard statements of a shipped recipe, "" of one written here."""
    return recipe_row(name).words("hazards") if name in recipe_names() else ""
