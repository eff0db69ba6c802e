"""What a refusal quotes is what somebody typed, letter for letter; nothing is quoted that nobody wrote."""

import random
import re
from datetime import date

import pytest

from stillroom.asking.question import answer
from stillroom.errors import StillroomError
from stillroom.questions import VERBS, declared
from tests.long_form import times

TODAY = date(2026, 11, 29)
PIECES = (
    "12", "1,5", "0.41", "-3", "1e4", "96", "g", "kg", "mL", "L", "%", "% v/v", "% w/w", "mg/g", "mol/L", "°C", "K",
    "±", "±0.3", "0.2", "at", "20 °C", "k = 2", "rosmarinic acid", "quinine", "spirit", "E1", ";", "/", "x", "n", "of",
    "g mg", "proof",
)  # fmt: skip
QUOTED = re.compile(r"'((?:[^'\\]|\\.)*)'")


def typed_at_random(chance: random.Random) -> str:
    return " ".join(chance.choice(PIECES) for _ in range(chance.randint(1, 5)))


def was_typed(quoted: str, typed: str) -> bool:
    """A part of it; or whole, with the unit that is asked for behind it; or less what was read by itself."""
    quoted, words = quoted.rstrip("… "), iter(typed.split())
    return quoted in typed or quoted.startswith(typed) or all(one in words for one in quoted.split())


@pytest.mark.parametrize("name", VERBS)
def test_a_refusal_quotes_only_what_was_typed(name: str) -> None:
    question, chance = declared(name), random.Random(f"quoted {name}")
    wrong = []
    for entry in (one.name for one in question.asks.said.entries()):
        for _ in range(times(12, 3)):
            typed = typed_at_random(chance)
            try:
                answer(question, {entry: typed}, TODAY)
            except StillroomError as trouble:
                told = [one.got for one in getattr(trouble, "errors", (trouble,)) if one.where == entry]
                quoted = [one for got in told for one in QUOTED.findall(str(got))]
                wrong += [(entry, typed, one) for one in quoted if not was_typed(one, typed)]

    assert wrong == []
