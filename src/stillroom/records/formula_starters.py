"""Formulas to begin from: a plain base that takes any extract, to be altered before anything is sold.

Promises a procedure whose dosed line is the extract named. Says nothing about preservation, pH or keeping: each of
those is tested in the product itself.
"""

from dataclasses import replace
from importlib.resources import files
from typing import Literal, TypeAlias, get_args

from stillroom.errors import UnknownName
from stillroom.records.procedure_from_yaml import procedure_from_yaml
from stillroom.records.procedures import Procedure
from stillroom.substances.carriers import FIXED_OIL, carrier
from stillroom.texts.catalogue import later

Base: TypeAlias = Literal["water", "spirit", "oil"]
BASES: tuple[Base, ...] = get_args(Base)
BASE_CALLED: dict[Base, str] = {
    "water": later("water base"),
    "spirit": later("base with spirit"),
    "oil": later("balm or butter without water"),
}
"""Each base in a word."""
DOSED_TICK = "The extract is dosed by its own assay"
"""What every base has ticked before its extract goes in; a formula that doses nothing has nothing to tick there."""


def base_that_takes(extraction: Procedure, wanted: str) -> str:
    """The base an extract can be stirred into: an extract in oil mixes with oil alone.

    Parameters
    ----------
    extraction : Procedure
        What makes the extract. [record]
    wanted : str
        The base that is asked for. [text]
    """
    stays = (carrier(one.substance) for one in extraction.lines)
    return "oil" if any(one and one.component == FIXED_OIL for one in stays) else wanted


def starting_formula(
    base: str, *, code: str, title: str, product_type: str = "", extract: str, extract_label: str = ""
) -> Procedure:
    """A formula to begin from.

    Parameters
    ----------
    base : "water", "spirit" or "oil"
        What the product mostly is. [text]
    code, title : str
        Of the formula. [text]
    product_type : str
        Its kind of product; empty for what the base is usually for. [text]
    extract : str
        Substance of the dosed line: what the extraction makes. [text]
    extract_label : str
        Its name on the label's list of ingredients, where it is known. [text]

    Returns
    -------
    Procedure
        Version 1. [record]

    Raises
    ------
    UnknownName
        There is no such base.
    """
    if base not in BASES:
        raise UnknownName.among(base, "a base to begin from", BASES)
    name = f"formula-{base}.yaml"
    text = files("stillroom.records").joinpath("starters").joinpath(name).read_text("utf-8")
    found = procedure_from_yaml(text, name)
    lines = tuple(
        replace(line, substance=extract, label_name=extract_label) if line.role == "dosed" else line
        for line in found.lines
    )
    kind = product_type or found.product_type
    return replace(found, code=code, title=title, product_type=kind, makes=title, lines=lines)
