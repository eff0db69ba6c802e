"""A formula as it was weighed, ready to be looked through: shares, what each lot carries by its assay, pH, words."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from stillroom.actions.book.product_made import ProductMade, product_of
from stillroom.actions.book.results_kept import assay_for, assays, strength_of
from stillroom.actions.lots.ethanol_known import EthanolKnown
from stillroom.actions.testing.ph import BY_INSTRUMENT, PH
from stillroom.errors import StillroomError
from stillroom.products.formula_check import facts_of_procedure, label_words, purposes_in
from stillroom.products.formula_facts import Carried, FormulaFacts, Share
from stillroom.records.entries import Entry, ProcedureWritten, ResultReckoned
from stillroom.records.lot_kinds import MADE_AS
from stillroom.records.lots import Status
from stillroom.records.procedures import Line, Procedure
from stillroom.store.reader import Reader

ETHANOL = "ethanol"
WIDE = 2.0


def formula_of_batch(look: Reader, batch: str) -> FormulaFacts:
    """The formula of a batch as it was weighed.

    Parameters
    ----------
    batch : str
        Of a formula.

    Returns
    -------
    FormulaFacts
        Without the names on its label. [record]
    """
    procedure = look.procedure_of(batch)
    made = product_of(look, batch)
    lines = {line.name: line for line in procedure.lines}
    weighed = [
        (lines[one.line], one.lot, one.actual_g)
        for entry in look.steps(batch)
        for one in entry.body.weighings
        if one.direction == "in" and one.line in lines
    ]
    total_g = sum(mass_g for _, _, mass_g in weighed)
    known = EthanolKnown(look)
    shares = tuple(
        _share(look, made, known, line, lot, 100 * mass_g / total_g) for line, lot, mass_g in weighed
    )
    words = {"name": made.name}
    if procedure.title.casefold() != made.name.casefold():
        words["title"] = procedure.title
    words |= label_words(label_as_written(look, batch))
    ph, apart = ph_of(look, batch)
    made_on = max((one.done_at for one in look.steps(batch)), default=begun_at(look, batch))
    return FormulaFacts(
        shares=shares,
        product_kind=made.product_type or procedure.product_type,
        market=made.market,
        ph=ph,
        ph_apart=apart,
        words=words,
        purposes=purposes_in(procedure.lines),
        sold_from=date.fromisoformat(made_on[:10]),
    )


def formula_dosed(look: Reader, batch: str, extract: str, percent: float) -> FormulaFacts:
    """The formula of a batch as it will be with so much of an extract, before anything is weighed.

    Parameters
    ----------
    batch, extract : str
        Of the formula; the lot that is dosed.
    percent : float
        Of that lot in the product. [% w/w]

    Returns
    -------
    FormulaFacts
        With the names its formula writes for the label. [record]
    """
    begun, made = look.batch(batch), product_of(look, batch)
    procedure = look.procedure_of(begun.code)
    facts = facts_of_procedure(replace(procedure, product_type=made.product_type), made.market)
    known = EthanolKnown(look)
    shares = tuple(
        _share(look, made, known, line, extract, percent) if line.role == "dosed"
        else replace(share, percent=share.percent - percent)
        if line.role == "q.s." and share.percent is not None
        else share
        for line, share in zip(procedure.lines, facts.shares, strict=True)
    )  # fmt: skip
    ph, apart = ph_of(look, batch)
    words = {"name": made.name} | {name: text for name, text in facts.words.items() if name != "name"}
    return replace(facts, shares=shares, ph=ph, ph_apart=apart, words=words)


def label_as_written(look: Reader, batch: str) -> Procedure:
    """The version of a formula whose words the label of a batch bears: the newest, or the one it was released with.

    Parameters
    ----------
    batch : str
        Of a formula.

    Notes
    -----
    The words of a label may be put right while the batch waits; bottles that were let go bear what was written then.
    """
    code = look.batch(batch).procedure
    lots = [one.code for one in look.lots((MADE_AS["formula"],), made_by=batch)]
    decided = [one for lot in lots for one in look.decisions(lot)]
    written = look.entries(kind="procedure written", subject=code)
    if decided and decided[-1].body.to is Status.RELEASED:
        written = tuple(one for one in written if one.entry_no < decided[-1].entry_no)
    found = [one.body.procedure for one in written if isinstance(one.body, ProcedureWritten)]
    return max(found, key=lambda one: one.version) if found else look.procedure(code)


def with_label(facts: FormulaFacts, names: tuple[str, ...]) -> FormulaFacts:
    """The same formula with the names that stand on its list of ingredients."""
    return replace(facts, on_label=names)


def ph_result(look: Reader, batch: str) -> Entry[ResultReckoned] | None:
    """The last pH read of a batch or of its lot."""
    read = look.results(batch, PH)
    return read[-1] if read else None


def ph_of(look: Reader, batch: str) -> tuple[float | None, float]:
    """The pH of a batch as it was read last, and how far it may be off; None where nobody read it.

    Notes
    -----
    An instrument is right within limits, any value in them as likely: they lie the root of three standard uncertainties
    away (GUM 4.3.7), and a reading decides only where the whole of them lies on one side.
    """
    read = ph_result(look, batch)
    if read is None:
        return None, 0.0
    here = read.body.method in BY_INSTRUMENT.values()
    widest = 3.0**0.5 if here else read.body.coverage_factor or WIDE
    return read.body.value, round(widest * (read.body.standard_uncertainty or 0.0), 4)


def begun_at(look: Reader, batch: str) -> str:
    """When a batch was begun [ISO time]."""
    return look.begun(batch).done_at


def _share(
    look: Reader, made: ProductMade, known: EthanolKnown, line: Line, lot: str, percent: float
) -> Share:
    carries: tuple[Carried, ...] = ()
    if line.is_spirit:
        found = known.share(lot)
        if found.by_mass is not None:
            carries = (Carried(ETHANOL, 100 * found.by_mass, 100 * found.by_mass, found.says),)
    elif look.lot(lot).kind.traits.carrier:
        carries = tuple(_of_extract(look, made, lot))
    bought = look.lot(lot).kind.traits.carrier == "ingredient"
    return Share(line.substance, percent, line.label_name, carries, bought=bought)


def _of_extract(look: Reader, made: ProductMade, lot: str) -> Iterator[Carried]:
    """What an extract carries by its assays: what the order counts first, then everything else that was found."""
    order = made.order
    counted = ""
    if order is not None and made.is_dosed:
        try:
            strength = strength_of(look, lot, order.aim)
        except StillroomError:
            strength = None
        if strength is not None:
            counted = order.aim.of.casefold()
            spread = WIDE * (strength.standard_uncertainty or 0.0)
            found = assay_for(look, lot, order.aim)
            where = f"assay, entry {found.entry_no}" if found else "assay"
            yield Carried(
                order.aim.counted, max(0.0, strength.value - spread), strength.value + spread, where
            )
    for entry in assays(look, lot):
        name = entry.body.what.rpartition(", ")[0] or entry.body.what
        if not entry.body.counts or name.casefold().startswith(counted or "\0"):
            continue
        spread = WIDE * (entry.body.standard_uncertainty or 0.0)
        value = entry.body.value
        yield Carried(name, max(0.0, value - spread), value + spread, f"assay, entry {entry.entry_no}")
