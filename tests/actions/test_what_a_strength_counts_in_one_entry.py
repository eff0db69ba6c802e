"""What a strength counts may stand behind the figure or in its own entry."""

from datetime import date
from itertools import product

import pytest

from stillroom.errors import BadEntry
from stillroom.questions.order import Ordered, parts_of

FIGURES = ("0,020 %", "0.020 % w/w", "0.02% W/W", "0.02 % M/M", "0.02% by mass", "0.2 mg/g", "200 ppm")
NAMES = ("total flavonoids as hyperoside", "rosmarinic acid", "total alkaloids as quinine")


def asked(strength: str, of: str, **said: str) -> Ordered:
    fields = {
        "product": "Lotion", "kind": "body lotion leave-on", "bottles": "12 × 100 mL", "strength": strength, "of": of,
        "plant": "calendula flower", "way": "maceration", "due": "2027-06-01",
    } | said  # fmt: skip
    return Ordered.read({name: text for name, text in fields.items() if text}, date(2026, 11, 24), {})


@pytest.mark.parametrize(("figure", "name"), list(product(FIGURES, NAMES)))
def test_the_name_behind_the_figure_is_the_name_beside_it(figure: str, name: str) -> None:
    beside, _, _ = parts_of(asked(figure, name), "A")
    for strength, of in ((f"{figure} {name}", ""), (f"{figure} of {name}", ""), (f"{figure} {name}", name)):
        assert parts_of(asked(strength, of), "A")[0] == beside


def test_what_it_is_reckoned_as_may_stand_behind_the_figure() -> None:
    whole, _, _ = parts_of(asked("0.02 %", "total flavonoids as hyperoside"), "A")
    assert parts_of(asked("0.02 % as hyperoside", "total flavonoids"), "A")[0] == whole


def test_what_is_declared_may_be_written_as_the_page_shows_it() -> None:
    name = "total flavonoids as hyperoside"
    said = {"declared-at-least": f"0.018 % w/w {name}"}
    order, _, _ = parts_of(asked("0.02 %", name, **said), "A")
    assert (order.at_least.percent, order.at_least.counted) == (0.018, order.aim.counted)


def test_two_names_that_disagree_are_asked_about() -> None:
    with pytest.raises(BadEntry, match="once, or twice alike"):
        parts_of(asked("0.02 % rutin", "hyperoside"), "A")
