"""What changed between two plans of an order, as a page says it: each input old and new, and its effect alone."""

from collections.abc import Sequence
from decimal import Decimal

from stillroom.documents.blocks import Block, Heading, Prose, Table
from stillroom.documents.setting_words import setting_words
from stillroom.planning.changes import Changed
from stillroom.planning.plan_inputs import Known
from stillroom.quantities.rounding import to_significant
from stillroom.texts.catalogue import t

HARDLY = 1e-3
"""What moves the plant by less than this share of it is counted, not listed. [1]"""
STAGES = ("extraction", "formula")
"""How the name of an input of a step begins."""


def change_blocks(head: str, says: str, found: Sequence[Changed], plant_g: float = 0.0) -> list[Block]:
    """A heading, what it comes to, and every input that differs and moves the plant.

    Parameters
    ----------
    head, says : str
        No sentence where it stands above already.
    plant_g : float
        Plant that the plan takes. [g]
    """
    listed = [one for one in found if not _hardly_moves(one, plant_g)]
    rows = tuple(
        (
            input_called(one.what),
            input_shown(one.old),
            input_shown(one.new),
            t("not alone") if one.effect_g is None else _moved_by(one.effect_g),
            one.new.because if one.new else "",
        )
        for one in listed
    )
    columns = (
        t("Input"),
        t("Before"),
        t("Now"),
        t("Alone it moves the plant by"),
        t("From"),
    )
    blocks: list[Block] = [Heading(head, folded=True)]
    if says:
        blocks.append(Prose(says))
    if rows:
        blocks.append(Table(columns, rows, (3,)))
    if hardly := len(found) - len(listed):
        blocks.append(
            Prose(t("Inputs that move it by less than a thousandth: {count}.", count=hardly), quiet=True)
        )
    return blocks


def _hardly_moves(one: Changed, plant_g: float) -> bool:
    """Whether an input acts on the plant and hardly: a price that moves none of it is no such input."""
    acts = bool(one.effect_g) or one.what.partition("/")[0] in STAGES
    return acts and one.effect_g is not None and abs(one.effect_g) < HARDLY * plant_g


def _moved_by(effect_g: float) -> str:
    return f"{to_significant(effect_g, 3):+f} g" if effect_g else ""


def changed_words(one: Changed) -> str:
    """One change in a few words: "assay of the plant 7 → 9.8 %"."""
    return f"{input_called(one.what)} {input_shown(one.old)} → {input_shown(one.new)}"


def input_called(role: str) -> str:
    """What an input is used for, in words: "percolate: liquid the marc keeps"."""
    part, _, rest = role.partition("/")
    if part in STAGES:
        step, _, name = rest.partition("/")
        return f"{step}: {setting_words(name)}" if name else role
    return rest if part == "order" and rest else role


def input_shown(known: Known | None) -> str:
    """An input with its doubt: "1.62 ± 0.48 mL/g"."""
    if known is None:
        return t("not used")
    doubt = f" ± {_figures(2 * known.uncertainty_in_unit, 2)}" if known.uncertainty_in_unit else ""
    return f"{_figures(known.value, 4)}{doubt} {known.unit}".strip()


def _figures(value: float, most: int) -> str:
    """So many figures at most, and never a power of ten."""
    return f"{Decimal(f'{value:.{most}g}'):f}"
