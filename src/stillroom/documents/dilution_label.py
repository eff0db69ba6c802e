"""A label for a bottle of diluted spirit, to print or to copy by pen.

Promises the figures of the answer. It speaks of the maker's own spirit and carries lines for a pen: it is no product
label.
"""

from typing import Unpack

from stillroom.answers.spirit_diluted import Diluted
from stillroom.documents.asking_dilute import DilutionWords, decimals_of
from stillroom.documents.blocks import LabelFace, Page, PageFacts, Points
from stillroom.documents.numbers_shown import number
from stillroom.products.flammable import flash_point
from stillroom.texts.catalogue import t

LABEL_MM = (90.0, 50.0)
PEN = "__________"


def dilution_label(
    found: Diluted,
    words: DilutionWords,
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """A label for the bottle of the mixture, to print or to copy by pen.

    Parameters
    ----------
    found : Diluted
    words : DilutionWords
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    flash = flash_point(found.want)
    burns = t("Flammable liquid and vapour") if flash.answer else t("Spirit: may burn")
    strength = t("Ethanol {want:.4g} % v/v at 20 °C, in water", want=found.want.value)
    mass = f"{number(found.product.value, decimals_of(found.product.value))} g"
    face = LabelFace(
        *LABEL_MM,
        title=t("Diluted spirit"),
        lines=(
            strength,
            t("{mass}, made on {pen} by {pen}", mass=mass, pen=PEN),
            t("Use by {pen}", pen=PEN),
        ),
        small=(
            t("Made from {have}, lot {pen}, and water {pen}", have=words.have, pen=PEN),
            t(
                "{burns}. No flame, no heat; closed, upright, out of reach of children. Not to be drunk.",
                burns=burns,
            ),
            t("Flash point near {flash:.0f} °C, about 3 °C either way.", flash=flash.answer.value)
            if flash.answer
            else flash.says,
        ),
        code="",
        copy_by_pen=(
            strength,
            t("{mass}   made ________   by ____   use by ________", mass=mass),
            t("{burns}. Not to be drunk.", burns=burns),
        ),
    )
    return Page(
        title=t("Label for {title}", title=words.title),
        kind="label",
        code="",
        blocks=(
            face,
            Points(
                (t("A label of the store room, not of a product: nothing here was released."),), "missing"
            ),
        ),
        **page_facts,
        href=href,
    )
