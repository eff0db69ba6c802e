"""The dose worked out before anybody weighs it: grams, what they make, the bound against the ceiling."""

from typing import Unpack

from stillroom.documents.blocks import Block, Heading, Numbers, Page, PageFacts, Points, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.showing import show
from stillroom.evidence.answer import Answer
from stillroom.products.dose import Dose
from stillroom.products.dose_option import worst_of
from stillroom.texts.catalogue import t


def dose_page(
    dose: Dose,
    *,
    batch: str,
    extract: str,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """A dose as a page.

    Parameters
    ----------
    dose : Dose
    batch, extract : str
        Of the formula; of the lot that is dosed.
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    chosen = dose.chosen
    blocks: list[Block] = [
        Numbers(
            (show(chosen.mass, label=t("dosing.weigh_of", extract=extract), decimals=_decimals(chosen.mass)),)
        ),
        Heading(t("dosing.makes_product")),
        Numbers(
            (
                show(chosen.content, label=t("dosing.content")),
                show(worst_of(chosen.content), label=t("dosing.upper_bound_stands_against")),
                *(
                    (show(chosen.judged.ceiling.limit, label=t("dosing.ceiling")),)
                    if chosen.judged.ceiling.limit
                    else ()
                ),
            )
        ),
        Points((chosen.judged.says,), "done" if chosen.judged.verdict == "within" else "missing"),
        Heading(t("dosing.readings_meets")),
        Table(
            (
                t("dosing.it_should_hold"),
                t("dosing.weigh"),
                t("dosing.content"),
                t("dosing.at_least_the_aim"),
                t("dosing.at_least_the_declared"),
                t("dosing.ceiling"),
            ),
            tuple(
                (
                    f"{one.meets}{' (taken)' if one is chosen else ''}",
                    show(one.mass, decimals=_decimals(one.mass)),
                    show(
                        one.content,
                    ),
                    t("dosing.chance_of_aim", chance_of_aim=one.chance_of_aim.value),
                    t("dosing.chance_of_declared", chance_of_declared=one.chance_of_declared.value)
                    if one.chance_of_declared
                    else t("dosing.not_declared"),
                    one.judged.verdict,
                )
                for one in dose.options
            ),
            (1, 2),
        ),
        Points(dose.notes),
    ]
    blocks.append(caution_block("restricted-active"))
    return Page(
        title=t("dosing.the_dose_of", batch=batch),
        kind="dose",
        code=batch,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("dosing.assay_jar", extract=extract),
        href=href,
    )


def _decimals(mass: Answer) -> int:
    """Decimals the scale shows."""
    step = next((one.value for name, one in mass.inputs if name == "scale_step_g"), 0.01)
    return max(0, len(f"{step:.6f}".rstrip("0").partition(".")[2]))
