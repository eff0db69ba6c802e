"""What changed between two plans of an order, as a page says it: each input old and new, and its effect alone."""

from collections.abc import Sequence

from stillroom.documents.blocks import Block, Heading, Prose, Table
from stillroom.documents.setting_words import setting_words
from stillroom.planning.changes import Changed
from stillroom.planning.plan_inputs import Known
from stillroom.texts.catalogue import t


def change_blocks(head: str, says: str, found: Sequence[Changed]) -> list[Block]:
    """A heading, what it comes to, and every input that differs.

    Parameters
    ----------
    head, says : str
        No sentence where it stands above already.
    """
    rows = tuple(
        (
            input_called(one.what),
            input_shown(one.old),
            input_shown(one.new),
            t("not alone") if one.effect_g is None else f"{one.effect_g:+.1f} g",
            one.new.because if one.new else "",
        )
        for one in found
    )
    columns = (
        t("Input"),
        t("Before"),
        t("Now"),
        t("Alone it moves the plant by"),
        t("From"),
    )
    table = [Table(columns, rows, (3,))] if rows else []
    return [Heading(head, folded=True), *([Prose(says)] if says else []), *table]


def changed_words(one: Changed) -> str:
    """One change in a few words: "assay of the plant 7 → 9.8 %"."""
    return f"{input_called(one.what)} {input_shown(one.old)} → {input_shown(one.new)}"


def input_called(role: str) -> str:
    """What an input is used for, in words: "percolate: liquid the marc keeps"."""
    part, _, rest = role.partition("/")
    if part in ("extraction", "formula"):
        step, _, name = rest.partition("/")
        return f"{step}: {setting_words(name)}" if name else role
    return rest if part == "order" and rest else role


def input_shown(known: Known | None) -> str:
    """An input with its doubt: "1.62 ± 0.48 mL/g"."""
    if known is None:
        return t("not used")
    doubt = f" ± {2 * known.uncertainty_in_unit:.2g}" if known.uncertainty_in_unit else ""
    return f"{known.value:.4g}{doubt} {known.unit}".strip()
