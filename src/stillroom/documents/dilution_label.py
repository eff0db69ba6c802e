"""A label for a bottle of diluted spirit, to print or to copy by pen.

Promises the figures of the answer. It speaks of the maker's own spirit and carries lines for a pen: it is no product
label.
"""

from typing import Unpack

from stillroom.documents.asking_dilute import DilutionWords, decimals_of
from stillroom.documents.blocks import LabelFace, Page, PageFacts, Points
from stillroom.documents.showing import number
from stillroom.products.flammable import flash_point
from stillroom.results.spirit_diluted import Diluted
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
    burns = (
        t("asking_dilute.flammable_liquid_and_vapour") if flash.answer else t("asking_dilute.spirit_may_burn")
    )
    strength = t("asking_dilute.ethanol_at_in_water", want=found.want.value)
    mass = f"{number(found.product.value, decimals_of(found.product.value))} g"
    face = LabelFace(
        *LABEL_MM,
        title=t("asking_dilute.diluted_spirit"),
        lines=(
            strength,
            t("asking_dilute.made_on_by", mass=mass, pen=PEN),
            t("asking_dilute.use_by", pen=PEN),
        ),
        small=(
            t("asking_dilute.made_lot_water", have=words.have, pen=PEN),
            t("asking_dilute.no_flame_no_heat", burns=burns),
            t("asking_dilute.flash_point_near_about", flash=flash.answer.value)
            if flash.answer
            else flash.says,
        ),
        code="",
        copy_by_pen=(
            strength,
            t("asking_dilute.made_by_use_by", mass=mass),
            t("asking_dilute.not_to_be_drunk", burns=burns),
        ),
    )
    return Page(
        title=t("asking_dilute.label_for", title=words.title),
        kind="label",
        code="",
        blocks=(
            face,
            Points((t("asking_dilute.label_store_room_not"),), "missing"),
        ),
        **page_facts,
        href=href,
    )
