"""Bodies of entries that speak of a batch as a whole."""

from dataclasses import dataclass

GIVEN_UP = "given up"
"""How a batch that was given up stands."""


@dataclass(frozen=True, slots=True)
class BatchGivenUp:
    """A batch is ended before its steps are, and why; ``taken_up_again`` says that this was a mistake.

    What it used stays used.
    """

    batch: str
    why: str
    taken_up_again: bool = False
