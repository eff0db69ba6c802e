"""A lot and the line it is weighed for may be called by two names of one ingredient."""

import pytest

from stillroom.substances.ingredients import ingredient, same_substance


@pytest.mark.parametrize(
    ("lot", "line"),
    [
        ("green tea leaf extract, infused", "green tea extract"),
        ("lavender flower oil", "Lavender Oil"),
        ("lavender flower hydrosol", "lavender hydrosol"),
        ("glycerol", "glycerin"),
        ("nettle root extract, macerated", "nettle root extract, macerated"),
    ],
)
def test_two_names_of_one_ingredient_are_one_substance(lot: str, line: str) -> None:
    assert same_substance(lot, line)


@pytest.mark.parametrize(
    ("lot", "line"),
    [
        ("rosemary leaf hydrosol", "lavender hydrosol"),
        ("lavandin oil", "lavender oil"),
        ("nettle root extract, macerated", "nettle leaf extract, macerated"),
        ("sodium benzoate", "potassium sorbate"),
    ],
)
def test_what_is_another_thing_stays_another(lot: str, line: str) -> None:
    assert not same_substance(lot, line)


def test_the_way_an_extract_was_made_does_not_hide_what_it_is() -> None:
    assert ingredient("green tea leaf extract, by Soxhlet").label_name == "Camellia Sinensis Leaf Extract"
