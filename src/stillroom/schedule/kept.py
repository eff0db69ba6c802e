"""A schedule with its jobs and its bench as JSON content and back, so that a book can keep it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from stillroom.errors import BookTrouble
from stillroom.schedule.bench import Bench
from stillroom.schedule.jobs import Job
from stillroom.schedule.placed import Schedule


@dataclass(frozen=True, slots=True)
class Kept:
    """A schedule, what it lays out, on what, and what was said of it."""

    jobs: tuple[Job, ...]
    bench: Bench
    schedule: Schedule
    assumed: tuple[str, ...] = ()
    """What nobody noted or knows, in sentences."""
    aside: tuple[str, ...] = ()
    """What could not be laid out, in sentences."""


def kept_json(kept: Kept) -> dict[str, Any]:
    """As JSON content."""
    content: dict[str, Any] = _adapter().dump_python(kept, mode="json", exclude_defaults=True)
    return content


def kept_from_json(content: Mapping[str, Any]) -> Kept:
    """What ``kept_json`` wrote.

    Raises
    ------
    BookTrouble
        It has another shape.
    """
    from pydantic import ValidationError

    try:
        found: Kept = _adapter().validate_python(content)
    except ValidationError as trouble:
        raise BookTrouble(
            "A kept schedule must have its shape", str(trouble), "Plan the day again"
        ) from trouble
    return found


@cache
def _adapter() -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(Kept)
