"""The page in place of a plan where an order doses nothing."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Unpack

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.orders.made_here import MadeHere, made_here
from stillroom.documents.blocks import Block, Heading, Link, Page, PageFacts, Points, Prose, Table
from stillroom.documents.customers_order import order_blocks
from stillroom.documents.numbers_shown import number
from stillroom.products.formula_check import lines_about, spoken
from stillroom.records.lots import RETAINED_UNITS
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure
from stillroom.texts.catalogue import t


def plain_plan_page(
    order: Order,
    formula: Procedure,
    remarks: Sequence[str],
    made: Sequence[MadeHere] = (),
    **page_facts: Unpack[PageFacts],
) -> Page:
    """Where the plan of an order would stand that doses nothing: what cannot be worked back, and what it takes.

    Parameters
    ----------
    formula : Procedure
        As its next batch takes it.
    remarks : sequence of str
        What the release will repeat.
    made : sequence of MadeHere
        Lines that the laboratory makes itself.
    **page_facts
        As on every page.
    """
    rows = tuple((one.name, number(one.percent) if one.percent else one.role) for one in formula.lines)
    blocks: list[Block] = [
        Prose(
            t(
                (
                    "No active is dosed: no content is forecast, and no strength decides how much plant it takes. "
                    "What the batch takes follows from the formula when it is begun: weigh its lines in these shares."
                )
                if order.is_plain and made
                else (
                    "No active is dosed: there is no plant, extract or spirit of an "
                    "extraction to work back to, and no content to forecast. What the "
                    "batch takes follows from the formula when it is begun: weigh its "
                    "lines in these shares."
                )
                if order.is_plain
                else (
                    "The extract is bought: there is no plant to work back to. How much of "
                    "it goes in is worked out when the batch is begun, from the content on "
                    "its certificate."
                )
            )
        ),
        Table((t("Line"), t("Share, % w/w")), rows, (1,)),
        Prose(_hold(order)),
        *_made_blocks(made),
    ]
    if remarks:
        blocks += [Heading(t("What the release will repeat"), folded=True), Points(tuple(remarks))]
    blocks += [Heading(t("The order")), *order_blocks(order)]
    return Page(
        title=t(
            "Plan for {amount} of {product}", amount=order.content.counted(order.units), product=order.product
        ),
        kind="plan",
        code=order.code,
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "Nothing is worked back, and no plan need be kept"
            if order.is_plain
            else ("Nothing is worked back: the dose follows the certificate of the extract that is bought")
        ),
        href=f"/orders/{order.code}/plan",
    )


def show_plain(lab: Laboratory, order: str) -> Page | None:
    """What stands in place of a plan where an order doses nothing; None where there is a plan."""
    with lab.look() as look:
        found = look.order(order)
        if found.is_worked_back:
            return None
        formula = look.procedure(found.formula)
        lines = lines_about(replace(formula, product_type=found.product_type), found.market)
        made = tuple(made_here(look, found, formula))
        return plain_plan_page(found, formula, tuple(spoken(one) for one in lines), made, **facts_of(look))


def _made_blocks(made: Sequence[MadeHere]) -> list[Block]:
    """What is made before the batch is begun, back to its plant."""
    if not made:
        return []
    rows = tuple(
        (
            one.line.name,
            f"{number(one.needed_g, 0)} g",
            Link(one.procedure.title, f"/make/procedures/{one.procedure.code}"),
            t("about {grams} g of {plant}", grams=number(float(f"{one.plant_g:.2g}"), 0), plant=one.plant)
            if one.plant_g
            else t("not calculated: the procedure does not say enough"),
        )
        for one in made
    )
    return [
        Heading(t("Made here first")),
        Table((t("Line"), t("Needed"), t("Made by"), t("Takes")), rows, (1,)),
        Prose(
            t(
                "For the bottles of the order and {kept} kept back, with what stays in vessel and filler, at 1 g/mL "
                "where it is sold by volume. The plant is what the figures of its procedure give, read or assumed: "
                "begin with some more, and weigh what came.",
                kept=RETAINED_UNITS,
            )
        ),
    ]


def _hold(order: Order) -> str:
    """What all bottles of an order hold together, and what that leaves open."""
    whole = order.units * order.content.amount / 1000.0
    if order.content.by_mass:
        return t(
            "{units} of {each} hold {kilograms:.4g} kg. Begin with more: some stays in vessel and filler.",
            units=order.units, each=order.content.words, kilograms=whole,
        )  # fmt: skip
    return t(
        "{units} bottles of {each} hold {litres:.4g} L; how many grams that is cannot be said before the density of "
        "the bulk is measured. Begin with more: some stays in vessel and filler.",
        units=order.units, each=order.content.words, litres=whole,
    )  # fmt: skip
