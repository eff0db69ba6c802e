"""The body of the entry that keeps a plan."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class PlanMade:
    """A plan kept: the request it can be run again from, and its answers by line."""

    order: str
    request: dict[str, Any]
    answers: dict[str, Any]
