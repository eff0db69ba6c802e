"""What ``stillroom dose`` asks when there is no book: six entries as options, the rest as more of them."""

from collections.abc import Callable
from typing import Any, TypeVar

import click

from stillroom.cli.asking import tell_page

Command = TypeVar("Command", bound=Callable[..., Any])
FIELDS = {
    "want": "wanted", "bulk": "amount", "strength": "strength", "of": "of", "matter": "matter",
    "plus_minus": "plus-minus", "measured_by": "measured-by", "kind": "kind", "market": "market", "step": "step",
    "loss_on_drying": "loss-on-drying", "density": "density", "at_hand": "at-hand", "how_sure": "how-sure",
}  # fmt: skip
"""Option and the field of the question it fills."""
_OPTIONS = (
    click.option("--want", default="", help='Without a book: what the product is to hold, "0.10 %".'),
    click.option("--at-least", is_flag=True, help="It is to hold at least that much, not about."),
    click.option("--strength", default="", help='Of the extract: "38.4 %".'),
    click.option("--of", default="", help='What the strength is of: "rosmarinic acid".'),
    click.option(
        "--matter",
        type=click.Choice(["as is", "dried"], case_sensitive=False),
        default="as is",
        help="Of which extract.",
    ),
    click.option("--plus-minus", default="", help='Its ±, in its unit: "1.2 (k = 2)", or "3 % of it".'),
    click.option(
        "--measured-by",
        type=click.Choice(["outside certificate", "titrated here", "not known"], case_sensitive=False),
        default="not known",
        help="How it was measured, where its ± is not known.",
    ),
    click.option("--bulk", default="", help='"5.000 kg", or "50 x 100 mL".'),
    click.option("--kind", default="", help='Kind of product: "hair leave-on".'),
    click.option("--market", default="EU", show_default=True, help="Where it is sold."),
    click.option("--step", default="", help='Readability of the scale, its smallest step: "0.01 g".'),
    click.option("--loss-on-drying", default="", help="Of the extract, when its strength is of the dried one."),
    click.option("--density", default="", help='Of the bulk, when bottles are counted: "0.95 g/mL".'),
    click.option("--at-hand", default="", help='Extract at hand: "39 g".'),
    click.option("--how-sure", default="", help='What "at least" means: "95" of 100 batches.'),
    click.option("--lesson", is_flag=True, help="Print it as a lesson."),
)  # fmt: skip


def asked_dose_options(command: Command) -> Command:
    """Add the options of a dose asked without a book."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def tell_asked_dose(asked: dict[str, Any], *, next_strength: str, share: str, as_json: bool) -> None:
    """Work a dose out without a book and print it.

    Parameters
    ----------
    asked : dict
        What ``asked_dose_options`` brought.
    next_strength, share : str
        Of the next lot; the usual share of extract.
    as_json : bool

    Raises
    ------
    StillroomError
        What was entered cannot be answered, or may not be made.
    """
    from stillroom.actions.asked_pages import dose_pages

    fields = {field: asked[option] for option, field in FIELDS.items()}
    fields |= {
        "meets": "at least" if asked["at_least"] else "about",
        "next-strength": next_strength,
        "usual-share": share,
    }
    pages = dose_pages(fields)
    tell_page(pages.lesson if asked["lesson"] and pages.lesson else pages.page, as_json=as_json)
