"""A setting is taken in the unit its name carries, or refused."""

import pytest

from stillroom.errors import BadEntry
from stillroom.records.setting_from_text import (
    printed_unit,
    setting_name,
    standard_uncertainty,
    value_in_name_unit,
)


@pytest.mark.parametrize(
    ("name", "written", "value", "unit"),
    [
        ("liquid_ml_per_g", "20 mL/g", 20.0, "mL/g"),
        ("liquid_ml_per_g", "20", 20.0, "mL/g"),
        ("liquid_ml_per_g", "20 L/kg", 20.0, "mL/g"),
        ("liquid_ml_per_g", "0.5 L/g", 500.0, "mL/g"),
        ("left_mg_per_kg", "0.5 mg/g", 500.0, "mg/kg"),
        ("soak_min", "2 h", 120.0, "min"),
        ("heater_w", "0.8 kW", 800.0, "W"),
        ("bath_c", "353.15 K", 80.0, "°C"),
        ("bath_c", "-18 °C", -18.0, "°C"),
        ("drip_ml_per_min_kg", "5 mL/(min·kg)", 5.0, "mL/(min·kg)"),
        ("drip_ml_per_min_kg", "0.3 L/h/kg", 5.0, "mL/(min·kg)"),
        ("evaporated_share", "0.02", 0.02, ""),
        ("evaporated_share", "2 %", 0.02, ""),
        ("want_volume_fraction_20c", "70 %", 0.7, ""),
        ("ph", "9.5", 9.5, ""),
        ("log_p", "-0.7", -0.7, ""),
    ],
)
def test_a_value_is_turned_into_the_unit_of_its_name(name, written, value, unit):
    found, printed = value_in_name_unit(name, written)

    assert found == pytest.approx(value, rel=1e-12)
    assert printed == unit


@pytest.mark.parametrize(
    ("name", "written", "sentence"),
    [
        ("soak_min", "2 mL", "'soak_min' is in min"),
        ("soak_min", "2 /", "'soak_min' is in min"),
        ("soak_min", "2 ·", "'soak_min' is in min"),
        ("liquid_ml_per_g", "20 mL", "'liquid_ml_per_g' is in mL/g"),
        ("liquid_ml_per_g", "20 g/mL", "'liquid_ml_per_g' is in mL/g"),
        ("liquid_ml_per_g", "20 %", "'liquid_ml_per_g' is in mL/g"),
        ("liquid_ml_per_g", "1,500 mL/g", "Write 1500 or 1.5"),
        ("liquid_ml_per_g", "-20 mL/g", "cannot be negative"),
        ("evaporated_share", "2", "a share from 0 to 1"),
        ("evaporated_share", "-0.1", "a share from 0 to 1"),
        ("evaporated_share", "0.1 g", "carries no unit"),
        ("shakes", "3 mL", "carries no unit"),
        ("shakes", "many", "A setting is a number"),
    ],
)
def test_a_value_in_another_kind_of_unit_is_refused(name, written, sentence):
    with pytest.raises(BadEntry) as told:
        value_in_name_unit(name, written, where="f.yaml:3")

    assert sentence in str(told.value)
    assert told.value.where == "f.yaml:3"


@pytest.mark.parametrize(
    ("name", "written", "spread", "value"),
    [
        ("liquid_ml_per_g", "10 %", "lognormal", 0.1),
        ("liquid_ml_per_g", "0.25", "lognormal", 0.25),
        ("liquid_ml_per_g", "2 L/kg", "normal", 2.0),
        ("soak_min", "0.5 h", "normal", 30.0),
        ("bath_c", "2 K", "normal", 2.0),
        ("bath_c", "9 °F", "normal", 5.0),
        ("dried_share", "2 %", "logit", 0.02),
    ],
)
def test_an_uncertainty_is_a_share_where_it_multiplies_and_has_the_unit_elsewhere(
    name, written, spread, value
):
    assert standard_uncertainty(name, written, "", spread) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "spread", "sentence"),
    [
        ("10 %", "normal", "in the unit of its value"),
        ("-1 mL/g", "normal", "negative"),
        ("2 mL/g", "lognormal", "A number"),
    ],
)
def test_an_uncertainty_in_a_unit_it_cannot_have_is_refused(written, spread, sentence):
    with pytest.raises(BadEntry, match=sentence):
        standard_uncertainty("liquid_ml_per_g", written, "", spread)


def test_a_unit_written_apart_counts_as_one_written_beside_the_number():
    assert value_in_name_unit("soak_min", "2", "h") == (120.0, "min")

    with pytest.raises(BadEntry, match="A unit is written once"):
        value_in_name_unit("soak_min", "2 h", "min")


def test_a_name_with_spaces_gets_underscores():
    assert setting_name("Liquid ml per g", "f.yaml:1") == "liquid_ml_per_g"
    assert printed_unit("liquid_ml_per_g") == "mL/g"

    with pytest.raises(BadEntry, match="small letters"):
        setting_name("soak/min", "f.yaml:1")
