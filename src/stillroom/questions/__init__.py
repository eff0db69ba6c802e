"""The questions that can be asked with nothing set up, one file each: what is asked, worked out, told and taught.

A new question is a file with a ``QUESTION`` in it, and its line here.
"""

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING

from stillroom.texts.catalogue import later

if TYPE_CHECKING:
    from stillroom.asking.question import Question

VERBS: Mapping[str, str] = {
    "dilute": later("Spirit and water for a wanted volume, by mass; needs no laboratory."),
    "blend": later("What to weigh of each spirit at hand for a wanted strength; needs no laboratory."),
    "order": later("From an order back to the plant, the spirit, the hours and the money."),
    "offer": later(
        "From an enquiry to a promise: what to buy, the date, the cost with its spread, the price."
    ),
    "season": later(
        "How much of a plant to have for a season of orders, what it loses and ties up; needs no laboratory."
    ),
    "compare": later(
        "Ways of extracting a plant side by side: yield, hours, spirit, cost, and the next trial; needs no laboratory."
    ),
    "dose": later("Grams of this extract for this bulk, on the scale in use."),
    "recover": later(
        "What a simple still gives back, up to a cut: how much, how strong, how hot, how long; needs no laboratory."
    ),
    "acid": later(
        "Acid or alkali and water for a wanted strength, in every meaning of a percentage; needs no laboratory."
    ),
    "buffer": later("Grams of two salts for a wanted pH, or the pH of a mixture; needs no laboratory."),
    "factor": later(
        "The factor of a titrant from its weighed primary standard; with --lot it is written into the book."
    ),
    "siphon": later(
        "When a Soxhlet may stop, from the residues of its last siphonings; needs no laboratory."
    ),
    "strengthen": later("Blend extract lots to a strength, with its doubt; needs no laboratory."),
    "kinetics": later("Yields over time fitted by a law, the simpler that holds; needs no laboratory."),
    "shake": later("What shaking a base out of water recovers; needs no laboratory."),
    "cooling": later(
        "Whether these condensers may run on this water, this bucket and this breaker; needs no laboratory."
    ),
}
"""Each question and what its verb says, so that the list of verbs starts without any of them."""


@cache
def declared(name: str) -> "Question":
    """The question of that name.

    Parameters
    ----------
    name : str
        Key of ``VERBS``. [text]
    """
    found: Question = import_module(f"{__name__}.{name}").QUESTION
    return found
