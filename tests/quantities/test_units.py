"""Units change within a dimension and never across."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, UnknownName
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.units import convert, unit

# Fixed points of the scales and conversion factors of the SI brochure and of general handbooks (from-memory).
PRINTED = [
    (0.0, "°C", "K", 273.15, 1e-9),
    (32.0, "°F", "°C", 0.0, 1e-9),
    (212.0, "°F", "°C", 100.0, 1e-9),
    (-40.0, "°F", "°C", -40.0, 1e-9),
    (1.0, "atm", "hPa", 1013.25, 1e-9),
    (760.0, "mmHg", "Pa", 101325.0, 0.02),
    (760.0, "Torr", "Pa", 101325.0, 1e-9),
    (1.0, "kWh", "kJ", 3600.0, 1e-9),
    (1.0, "d", "min", 1440.0, 1e-9),
    (1.0, "L", "µL", 1e6, 1e-6),
    (5.0, "cl", "mL", 50.0, 1e-12),
    (1.5, "dL", "L", 0.15, 1e-12),
    (250.0, "mg", "g", 0.25, 1e-15),
    (0.5, "L/min", "L/h", 30.0, 1e-9),
    (789.0, "kg/m³", "g/mL", 0.789, 1e-12),
    (1.0, "%", "ppm", 10_000.0, 1e-9),
    (1.0, "lb", "g", 453.59237, 1e-9),
    (1.0, "US gal", "L", 3.785411784, 1e-12),
    (1.0, "UK gal", "L", 4.54609, 1e-12),
    (8.0, "US pint", "US gal", 1.0, 1e-12),
    (20.0, "UK fl oz", "UK pint", 1.0, 1e-12),
    (128.0, "US fl oz", "US gal", 1.0, 1e-12),
]


@pytest.mark.parametrize(("value", "have", "want", "printed", "tolerance"), PRINTED)
def test_a_unit_changes_as_the_handbooks_print(value, have, want, printed, tolerance):
    assert convert(value, have, want) == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize(
    ("have", "want", "need"),
    [
        ("g", "mL", "density would be needed"),
        ("mol", "g", "molar mass would be needed"),
        ("months", "d", "starting date"),
        ("bottles", "labels", "different things"),
        ("EUR", "USD", "different things"),
        ("mg/g", "mg/mL", "Restate the basis"),
        ("W", "kJ", "time would be needed"),
    ],
)
def test_a_change_across_dimensions_says_what_would_be_needed(have, want, need):
    with pytest.raises(BadEntry, match=need):
        convert(1.0, have, want)


@given(
    st.sampled_from(
        [("g", "kg"), ("mL", "L"), ("°C", "°F"), ("K", "°F"), ("h", "s"), ("%", "‰"), ("bar", "mmHg")]
    ),
    st.floats(min_value=-1e6, max_value=1e6),
)
def test_there_and_back_is_the_same_number(pair, value):
    there = convert(value, *pair)

    assert convert(there, pair[1], pair[0]) == pytest.approx(value, rel=1e-12, abs=1e-9)


def test_a_price_is_per_one_unit():
    assert convert(18.0, "EUR/kg", "EUR/g") == pytest.approx(0.018, abs=1e-15)
    assert convert(0.5, "EUR/mL", "EUR/L") == pytest.approx(500.0, abs=1e-9)


def test_no_unit_is_spelled_twice_and_every_spelling_leads_to_one():
    with pytest.raises(UnknownName, match="a unit"):
        unit("furlong")

    assert unit("ml") is unit("mL")
    assert unit("cm³").symbol == "mL"


def test_an_uncertainty_in_fahrenheit_is_a_difference_not_a_reading():
    found = Quantity(68.0, "°F", standard_uncertainty=1.8).to("°C")

    assert found.value == pytest.approx(20.0, abs=1e-9)
    assert found.standard_uncertainty == pytest.approx(1.0, abs=1e-12)


def test_a_quantity_is_never_infinite_and_never_on_a_basis_its_unit_denies():
    from stillroom.quantities.basis import Basis

    with pytest.raises(BadEntry, match="finite"):
        Quantity(float("nan"), "g")
    with pytest.raises(BadEntry, match="w/v by itself"):
        Quantity(5.0, "g/L", Basis("w/w"))
    with pytest.raises(BadEntry, match="Only a content"):
        Quantity(5.0, "g", Basis("w/w"))

    assert Quantity(5.0, "g/L").basis.ratio == "w/v"


def test_a_figure_without_uncertainty_is_not_a_measured_one():
    with pytest.raises(BadEntry, match="An uncertainty is needed"):
        Quantity(5.0, "g").measured()

    assert Quantity(5.0, "g", standard_uncertainty=0.1).measured().relative == pytest.approx(0.02, rel=1e-12)
