"""What a plant holds, as a person writes it: a range is read or asked about, and never part of a name."""

from itertools import product

import pytest

from stillroom.errors import BadEntry
from stillroom.records.own_from_yaml import _content
from stillroom.substances.markers import marker_key
from stillroom.substances.plant_contents import typical_content

NAMES = ("total flavonoids as isoquercitrin", "1,8-cineole", "vitamin B12", "ფლავონოიდები")
JOINS = (" to ", " bis ", " – ", "–", "-", " à ", " до ", " … ", "..", " % to ")


@pytest.mark.parametrize(("name", "join"), list(product(NAMES, JOINS)))
def test_a_range_in_any_words_is_the_range_and_not_the_name(name: str, join: str) -> None:
    for low, high in (("0,05", "0,2"), ("0.05", "0.2")):
        found = _content(f"{name} {low}{join}{high} %", "holds")
        assert (found.marker, found.low_percent_dried, found.high_percent_dried) == (name, 0.05, 0.2)


@pytest.mark.parametrize(
    "text", ["total flavonoids 0,9 %", "isoquercitrin 0,05 upwards 0,2 %", "5 mg/g rutin", "rutin: about 2 ‰"]
)
def test_a_figure_that_is_no_range_is_asked_about(text: str) -> None:
    with pytest.raises(BadEntry, match="lower and a higher end"):
        _content(text, "holds")


@pytest.mark.parametrize("name", NAMES)
def test_a_name_alone_stays_a_name(name: str) -> None:
    assert _content(name, "holds").marker == name


@pytest.mark.parametrize(
    "plant",
    ["Rosmarinblätter", "feuille de romarin", "Rosmarinus officinalis leaf", "ROSMARINUS OFFICINALIS"],
)
@pytest.mark.parametrize("marker", ["rosmarinic acid", "Rosmarinsäure", "acide rosmarinique"])
def test_a_plant_holds_the_same_in_any_language(plant: str, marker: str) -> None:
    assert typical_content(plant, marker) == typical_content("rosemary leaf", "rosmarinic acid") is not None


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("Koffein", "caffeine"),
        ("polyphénols", "total phenols"),
        ("Gerbstoffe", "tannins"),
        ("Salicylsaft", None),
    ],
)
def test_a_marker_is_found_in_another_language_or_not_at_all(said: str, key: str | None) -> None:
    assert marker_key(said) == key
