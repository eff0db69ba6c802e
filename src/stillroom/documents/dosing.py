"""The dose worked out before anybody weighs it: grams, what they make, the bound against the ceiling."""

from typing import Unpack

from stillroom.documents.blocks import Block, Heading, Numbers, Page, PageFacts, Points, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.certificate import list_table
from stillroom.documents.numbers_shown import show
from stillroom.evidence.answer import Answer
from stillroom.products.check_lines import CheckLine
from stillroom.products.dose import Dose
from stillroom.products.dose_option import Option, worst_of
from stillroom.texts.catalogue import t


def dose_page(
    dose: Dose,
    *,
    batch: str,
    extract: str,
    lines: tuple[CheckLine, ...] = (),
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """A dose as a page.

    Parameters
    ----------
    batch, extract : str
        Of the formula; of the lot that is dosed.
    lines : tuple of CheckLine
        Of the whole formula, as its release will repeat them.
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    chosen = dose.chosen
    blocks: list[Block] = [
        Numbers(
            (
                show(
                    chosen.mass,
                    label=t("Weigh of {extract}", extract=extract),
                    decimals=scale_decimals(chosen.mass),
                ),
            )
        ),
        *content_made(chosen),
        Points((chosen.judged.says,), "done" if chosen.judged.verdict == "within" else "missing"),
        Heading(t("The readings of “meets it”")),
        Table(
            (
                t("It should hold"),
                t("Weigh"),
                t("Content"),
                t("At least the aim"),
                t("At least the declared"),
                t("Ceiling"),
            ),
            tuple(
                (
                    f"{one.meets}{' (taken)' if one is chosen else ''}",
                    show(one.mass, decimals=scale_decimals(one.mass)),
                    show(
                        one.content,
                    ),
                    t("{chance_of_aim:.0f} of 100", chance_of_aim=one.chance_of_aim.value),
                    t("{chance_of_declared:.0f} of 100", chance_of_declared=one.chance_of_declared.value)
                    if one.chance_of_declared
                    else t("not declared"),
                    one.judged.verdict,
                )
                for one in dose.options
            ),
            (1, 2),
        ),
        Points(dose.notes),
    ]
    blocks += _of_the_formula(lines)
    blocks.append(caution_block("restricted-active"))
    return Page(
        title=t("The dose of {batch}", batch=batch),
        kind="dose",
        code=batch,
        blocks=tuple(blocks),
        **page_facts,
        lead=t("From the assay of {extract}, as it is in the jar.", extract=extract),
        href=href,
    )


def _of_the_formula(lines: tuple[CheckLine, ...]) -> list[Block]:
    """What stops or asks for a decision stands open; what holds is folded."""
    open_lines = tuple(one for one in lines if one.stops or one.needs_a_name)
    rest = tuple(one for one in lines if one not in open_lines)
    blocks: list[Block] = []
    if open_lines:
        blocks += [
            Heading(t("Of the whole formula: what its release will stop at, or ask about")),
            list_table(open_lines, {}),
        ]
    if rest:
        blocks += [Heading(t("Of the whole formula: every other line"), folded=True), list_table(rest, {})]
    return blocks


def content_made(chosen: Option) -> tuple[Block, ...]:
    """What a dose makes of the product: its content, and the bound that stands against the ceiling."""
    ceiling = chosen.judged.ceiling.limit
    return (
        Heading(t("What it makes of the product")),
        Numbers((
            show(chosen.content, label=t("Content")),
            show(worst_of(chosen.content), label=t("Upper bound, which stands against the ceiling")),
            *((show(ceiling, label=t("Ceiling")),) if ceiling else ()),
        )),
    )  # fmt: skip


def scale_step_g(mass: Answer) -> float:
    """Step of the scale a mass was rounded to. [g]."""
    return next((one.value for name, one in mass.inputs if name == "scale_step_g"), 0.01)


def scale_decimals(mass: Answer) -> int:
    """Decimals the scale shows."""
    return max(0, len(f"{scale_step_g(mass):.6f}".rstrip("0").partition(".")[2]))
