"""One reader for each kind of entry: what stands beside a field completes it, and nothing written is lost."""

import pytest

from stillroom.errors import BadEntry
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import (
    degrees_apart,
    entry,
    several,
    share,
    step_of,
    sureness_beside,
    with_unit,
)


@pytest.mark.parametrize(
    ("text", "symbol", "value"),
    [("5", "mL", 5.0), ("5,5", "mL", 5.5), ("5 L", "mL", 5000.0), ("−4", "°C", -4.0), ("68 °F", "°C", 20.0)],
)
def test_a_bare_figure_has_the_unit_printed_beside_its_field(text, symbol, value):
    assert entry(text, symbol, where="x").in_unit(symbol) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "symbol"),
    [("5 L kg", "mL"), ("5 L of rum", "mL"), ("5 ± 1", "mL"), ("5 L, 6 L", "mL"), ("1 g g", "g")],
)
def test_what_a_field_does_not_use_is_refused(text, symbol):
    with pytest.raises(BadEntry) as refusal:
        entry(text, symbol, where="x")

    assert refusal.value.must
    assert refusal.value.do


def test_a_refusal_quotes_what_was_written_and_not_what_was_made_of_it():
    with pytest.raises(BadEntry) as refusal:
        entry("1,500", "g", where="x")

    assert "'1,500'" in str(refusal.value)
    assert refusal.value.got == "'1,500'"


@pytest.mark.parametrize(
    ("beside", "text", "half"),
    [
        ("384 mg/g", "12", 0.012),
        ("384 mg/g", "± 12 mg/g", 0.012),
        ("384 mg/g", "1.2 % w/w", 0.012),
        ("38.4 % w/w", "1.2", 0.012),
        ("38.4 % w/w", "12 mg/g", 0.012),
        ("38.4 % w/w", "0.6 (k = 1)", 0.012),
        ("38.4 % w/w", "u = 0.6", 0.012),
        ("40 % w/w", "3 % of it", 0.012),
        ("40 % w/w", "3 % relative", 0.012),
        ("960 mL/L", "3", 0.003),
        ("96 % v/v", "3 mL/L", 0.003),
        ("96 % v/v", "0,3", 0.003),
        ("96 % v/v", "+/- 0.3 % v/v", 0.003),
    ],
)
def test_a_plus_minus_has_the_unit_of_what_it_stands_beside(beside, text, half):
    found = sureness_beside(text, entry(beside), "%", where="x").half_width

    assert found / 100.0 == pytest.approx(half, rel=1e-12)


@pytest.mark.parametrize(
    ("beside", "text"),
    [
        ("40 % w/w", "3 %"),
        ("96 % v/v", "0.3 % w/w"),
        ("96 % v/v", "3 g"),
        ("96 % v/v", "0"),
        ("96 % v/v", "x"),
    ],
)
def test_a_plus_minus_with_two_readings_or_none_is_asked_back(beside, text):
    with pytest.raises(BadEntry) as refusal:
        sureness_beside(text, entry(beside), "%", where="x")

    assert refusal.value.do


def test_a_per_cent_beside_what_is_no_per_cent_is_a_share_of_it():
    assert sureness_beside("0.5 %", entry("12 mol/L"), "mol/L", where="x").half_width == pytest.approx(
        0.06, rel=1e-12
    )


def test_a_plus_minus_inside_the_entry_is_read_wherever_it_stands():
    ways = (
        "96 ± 0.3 % v/v",
        "96 % v/v ± 0.3",
        "(96 ± 0.3) % v/v",
        "96 % v/v, ± 0.3 (k = 2)",
        "96 % v/v, u = 0.15",
    )

    for text in ways:
        found = entry(text, sure_allowed=True)
        assert (found.fraction, found.standard_uncertainty) == (0.96, pytest.approx(0.15, rel=1e-12)), text
    bare = entry("96 ± 0.3", "%", by_definition=Basis(ratio="v/v"), sure_allowed=True)
    assert bare.standard_uncertainty == pytest.approx(0.15, rel=1e-12)


def test_the_last_figure_counts_in_the_unit_it_was_written_in():
    assert step_of(entry("1.184 g/mL"), "g/mL") == pytest.approx(0.001, rel=1e-12)
    assert step_of(entry("1184 kg/m³"), "g/mL") == pytest.approx(0.001, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kelvin"), [("20", 20.0), ("20 K", 20.0), ("± 0.2 °C", 0.2), ("0,9 °F", 0.5)]
)
def test_a_difference_of_temperature_has_no_zero_point(text, kelvin):
    assert degrees_apart(text, where="x") == pytest.approx(kelvin, rel=1e-12)


def test_a_bare_share_up_to_one_is_asked_back():
    assert share("91", where="x") == share("91 %", where="x") == share("910 ‰", where="x") == 0.91
    with pytest.raises(BadEntry, match=r"91 % or 0\.91 %"):
        share("0.91", where="x")
    with pytest.raises(BadEntry, match="between 0 and 100"):
        share("101 %", where="x")


@pytest.mark.parametrize(
    "text",
    ["412; 251; 156", "412 251 156 mg", "412, 251, 156 mg", "0.412 g; 251 mg; 156 mg",
     "412 mg 251 mg 156 mg", "0,412; 0,251; 0,156 g"],
)  # fmt: skip
def test_several_readings_stand_in_one_entry(text):
    found = several(text, "mg", where="x")

    assert [one.in_unit("mg") for one in found] == pytest.approx([412.0, 251.0, 156.0], rel=1e-12)


def test_the_unit_of_the_field_is_added_to_a_figure_with_its_doubt():
    assert with_unit("5 ± 0.1", "g").startswith("5 g")
    assert with_unit("5 g", "mL") == "5 g"
