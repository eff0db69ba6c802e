"""A strength keeps its ratio, its temperature and its way, and each is used.

Figures of the tables: Ph. Eur. 5.5, OIML R 22 (recalled: 96 % v/v is 93.84 % m/m and 807.42 kg/m³, 50 % v/v
42.43 % m/m, 70 % v/v 62.39 % m/m), USP 29 alcoholometric table at 15.56 °C (a web page that reproduces it was opened),
pure ethanol 789.3 kg/m³ at 20 °C (CRC Handbook, 102nd ed., second-hand). Corrections of readings at 31 °C were worked
by a step-by-step search outside this code from the OIML R 22 formula and glass of 25e-6 /K.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.answers.spirit_stated import stated_strength, usual_thermometer
from stillroom.errors import BadEntry, OutsideModel
from stillroom.quantities.strength_words import read_strength
from stillroom.quantities.strengths import SCALES, Strength
from stillroom.records.setting_from_text import value_in_name_unit
from stillroom.substances.spirit_strengths import (
    ethanol_mass_fraction_of,
    strength_in_name,
    volume_percent_20c_of,
)


@pytest.mark.parametrize(
    ("text", "mass_percent", "half_last_figure"),
    [
        ("96 % v/v at 20 °C", 93.84, 0.005),
        ("70 % v/v", 62.39, 0.005),
        ("50 % vol", 42.43, 0.005),
        ("15 % v/v at 15.56 °C", 12.14, 0.03),
        ("33 % v/v at 60 °F", 27.24, 0.03),
        ("0.80742 g/mL at 20 °C", 93.84, 0.01),
        ("93.84 % w/w", 93.84, 1e-9),
        ("39.465 % w/v", 42.43, 0.02),  # 50 mL of pure ethanol at 0.7893 g/mL in 100 mL
    ],
)
def test_whatever_a_strength_was_said_in_it_is_the_mass_the_tables_print(
    text: str, mass_percent: float, half_last_figure: float
) -> None:
    found = 100.0 * ethanol_mass_fraction_of(read_strength(text))

    assert found == pytest.approx(mass_percent, abs=half_last_figure)


@pytest.mark.parametrize(("reading", "right"), [("71.3 % v/v", 67.66), ("83 % v/v", 79.73)])
def test_an_alcoholometer_reading_at_31_degrees_is_corrected(reading: str, right: float) -> None:
    in_words = read_strength(f"{reading} at 31 °C by alcoholometer")
    in_a_field = read_strength(reading, known_by="alcoholometer", read_at_c=31.0)

    assert volume_percent_20c_of(in_words) == pytest.approx(right, abs=0.005)
    assert volume_percent_20c_of(in_a_field) == volume_percent_20c_of(in_words)


@given(st.floats(5.0, 99.0), st.sampled_from(["", " at 15 °C", " at 60 °F", " at 20 °C"]))
def test_a_strength_said_in_other_units_is_the_same_strength(percent: float, at: str) -> None:
    plain = ethanol_mass_fraction_of(read_strength(f"{percent!r} % v/v{at}"))
    others = [
        f"{percent!r} % v/v by label{at}",
        f"{10 * percent!r} mL/L{at}",
        f"{percent!r} % vol{at}",
        f"{percent!r} % v/v{at} by label",
    ]

    for text in others:
        assert ethanol_mass_fraction_of(read_strength(text)) == pytest.approx(plain, rel=1e-12), text


@given(
    st.floats(1.0, 99.9),
    st.sampled_from(["v/v", "w/w", "w/v"]),
    st.sampled_from(["20 °C", "15 °C", "15.56 °C"]),
)
def test_the_answer_of_a_strength_is_its_strength(percent: float, ratio: str, at: str) -> None:
    strength = read_strength(f"{0.75 * percent!r} % {ratio} at {at}")
    answer = stated_strength(strength, usual_thermometer())

    assert answer.answer.value == pytest.approx(volume_percent_20c_of(strength), abs=1e-7)
    assert answer.expanded_uncertainty > 0.0


@pytest.mark.parametrize("scale", [name for name, one in SCALES.items() if one.proof])
def test_a_doubt_said_in_proof_is_brought_to_per_cent(scale: str) -> None:
    found = stated_strength(read_strength(f"120 ± 2 {scale}"), usual_thermometer())
    low, high = (volume_percent_20c_of(read_strength(f"{one} {scale}")) for one in (119.0, 121.0))

    assert found.expanded_uncertainty == pytest.approx(high - low, rel=0.02)


@pytest.mark.parametrize(
    ("text", "beside", "must"),
    [
        ("71.3 % v/v at 31 °C", {}, "A label or a certificate means its volumes at"),
        ("96 % v/v at 16 °C", {"known_by": "certificate"}, "A label or a certificate means its volumes at"),
        ("71.3 % v/v", {"known_by": "alcoholometer"}, "has a temperature"),
        ("0.8074 g/mL", {}, "has a temperature"),
        ("71.3 % w/w at 20 °C", {"known_by": "alcoholometer"}, "known by alcoholometer is v/v"),
        ("71.3 % v/v at 20 °C", {"known_by": "density"}, "known by density is a density"),
        ("71.3 % v/v at 31 °C by alcoholometer", {"read_at_c": 20.0}, "has one temperature"),
        ("96 % v/v at 20 °C", {"means": "15 °C"}, "has one temperature"),
        ("96 % v/v by label", {"known_by": "alcoholometer"}, "known in one way"),
        ("96 %", {}, "must say its basis"),
        ("96 % v/w", {}, "is v/v or w/w or w/v"),
        ("96 % v/v methanol", {}, "counts ethanol"),
        ("0 % v/v", {}, "above 0"),
        ("140 proof", {}, "two proofs"),
        ("40° Cartier", {}, "no share of ethanol"),
    ],
)  # fmt: skip
def test_a_strength_that_lacks_or_contradicts_what_it_refers_to_is_asked_back(
    text: str, beside: dict[str, object], must: str
) -> None:
    with pytest.raises(BadEntry, match=must):
        read_strength(text, **beside)  # type: ignore[arg-type]


def test_more_grams_than_pure_ethanol_holds_are_refused() -> None:
    with pytest.raises(OutsideModel, match=r"Pure ethanol holds 78\.9 g"):
        ethanol_mass_fraction_of(read_strength("80 % w/v"))


def test_no_strength_can_be_made_without_its_ratio() -> None:
    with pytest.raises(BadEntry, match="known by label is v/v or w/w or w/v"):
        Strength(96.0, "%", None, "label", 20.0)


@pytest.mark.parametrize(
    ("name", "percent"),
    [
        ("spirit 96 %", 96.0),
        ("spirit 93.84 % w/w", 96.0),
        ("Ethanol 96 % vol (denatured with 1 % of something)", 96.0),
        ("alcohol denat., 50 % by mass", 57.889),  # 0.5 × 913.77 / 789.24, densities printed by OIML R 22
    ],
)
def test_a_spirit_named_after_its_strength_is_that_strength(name: str, percent: float) -> None:
    strength = strength_in_name(name)

    assert strength is not None
    assert volume_percent_20c_of(strength) == pytest.approx(percent, abs=0.005)


def test_a_name_without_a_strength_says_none() -> None:
    assert strength_in_name("recovered spirit") is None


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("0.70", 0.70),
        ("70 %", 0.70),
        ("70 % v/v", 0.70),
        ("62.39 % w/w", 0.70),
        ("60 % v/v at 15 °C", 0.60061),
    ],
)  # fmt: skip
def test_a_strength_in_a_procedure_is_taken_on_its_basis_and_at_its_temperature(
    text: str, share: float
) -> None:
    value, _ = value_in_name_unit("want_volume_fraction_20c", text)

    assert value == pytest.approx(share, abs=0.0001)


@pytest.mark.parametrize("text", ["70 % v/v at 31 °C", "70 ± 1 % v/v", "70 % v/v at 31 °C by alcoholometer"])
def test_a_strength_in_a_procedure_that_means_nothing_is_refused(text: str) -> None:
    with pytest.raises(BadEntry):
        value_in_name_unit("want_volume_fraction_20c", text)


@pytest.mark.parametrize("text", ["190 US proof", "US 190 proof", "190° US proof", "american 190 proof"])
def test_a_proof_is_read_however_its_words_stand(text: str) -> None:
    assert volume_percent_20c_of(read_strength(text)) == volume_percent_20c_of(
        read_strength("95 % v/v at 60 °F")
    )
