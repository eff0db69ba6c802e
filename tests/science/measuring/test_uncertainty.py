"""The budget against the Guide's own examples; figures and half digits as printed there."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, UnknownName
from stillroom.science.measuring.uncertainty import (
    arcsine,
    coverage_factor,
    expanded,
    propagate,
    rectangular,
    triangular,
)


def test_end_gauge_of_the_guide():
    # GUM H.1, second-hand: l 50 000 838 nm, u 32 nm, nu 16, U99 93 nm; k 2.92 from memory
    def length(x):
        difference = x["d0"] + x["d1"] + x["d2"]
        return (
            x["ls"]
            + difference
            - x["ls"] * (x["dalpha"] * (x["mean"] + x["swing"]) + x["alpha"] * x["dtheta"])
        )

    values = {
        "ls": 50_000_623,
        "d0": 215,
        "d1": 0,
        "d2": 0,
        "alpha": 1.15e-5,
        "dalpha": 0,
        "mean": -0.1,
        "swing": 0,
        "dtheta": 0,
    }
    spreads = {
        "ls": 25,
        "d0": 5.8,
        "d1": 3.9,
        "d2": 6.7,
        "alpha": rectangular(2e-6),
        "dalpha": rectangular(1e-6),
        "mean": 0.2,
        "swing": arcsine(0.5),
        "dtheta": rectangular(0.05),
    }
    budget = propagate(
        length, values, spreads, {"ls": 18, "d0": 24, "d1": 5, "d2": 8, "dalpha": 50, "dtheta": 2}
    )
    stated = expanded(budget, coverage=0.99)

    assert budget.value == pytest.approx(50_000_838, abs=0.5)
    assert budget.standard_uncertainty == pytest.approx(32, abs=0.5)
    assert math.floor(budget.effective_dof) == 16
    assert stated.k == pytest.approx(2.92, abs=0.005)
    assert stated.expanded_uncertainty == pytest.approx(93, abs=1.0)  # the Guide multiplies by the rounded 32
    assert budget.contributions[0].name == "ls"


IMPEDANCE = {"v": 4.999, "i": 0.019661, "phi": 1.04446}
SPREADS = {"v": 0.0032093613, "i": 9.471008e-6, "phi": 7.520638e-4}
TOGETHER = {("v", "i"): -0.3553112, ("v", "phi"): 0.8576242, ("i", "phi"): -0.6451112}


@pytest.mark.parametrize(
    ("part", "printed", "half_digit", "uncertainty", "allowed"),
    [
        ("resistance", 127.732, 0.0005, 0.071, 0.0005),
        ("reactance", 219.847, 0.0005, 0.295, 0.001),
        ("impedance", 254.260, 0.0005, 0.236, 0.0005),
    ],
)
def test_correlated_inputs_of_the_guide(part, printed, half_digit, uncertainty, allowed):
    # GUM H.2, from the means, spreads and correlations of its five readings
    # resistance second-hand, the rest from memory
    functions = {
        "resistance": lambda x: x["v"] / x["i"] * math.cos(x["phi"]),
        "reactance": lambda x: x["v"] / x["i"] * math.sin(x["phi"]),
        "impedance": lambda x: x["v"] / x["i"],
    }
    budget = propagate(functions[part], IMPEDANCE, SPREADS, correlations=TOGETHER)

    assert budget.value == pytest.approx(printed, abs=half_digit)
    assert budget.standard_uncertainty == pytest.approx(uncertainty, abs=allowed)


def test_cadmium_standard_of_the_chemists_guide():
    # EURACHEM/CITAC QUAM A1, page opened; unrounded figures second-hand
    values = {"m": 100.28, "purity": 0.9999, "flask": 100.0, "fill": 0.0, "warmth": 0.0}
    spreads = {
        "m": 0.05,
        "purity": rectangular(0.0001),
        "flask": triangular(0.1),
        "fill": 0.02,
        "warmth": rectangular(0.084),
    }
    budget = propagate(
        lambda x: 1000 * x["m"] * x["purity"] / (x["flask"] + x["fill"] + x["warmth"]), values, spreads
    )
    lines = {one.name: one.contribution for one in budget.contributions}
    volume = math.hypot(lines["flask"], lines["fill"], lines["warmth"])

    assert budget.value == pytest.approx(1002.7, abs=0.05)
    assert budget.standard_uncertainty == pytest.approx(0.835199, abs=5e-7)
    assert lines["m"] == pytest.approx(0.49995, abs=5e-6)
    assert lines["purity"] == pytest.approx(0.0578967, abs=5e-8)
    assert volume == pytest.approx(0.666525, abs=5e-7)


def test_sodium_hydroxide_of_the_chemists_guide():
    # EURACHEM/CITAC QUAM A2, page opened
    elements = {
        "C": (8, 12.0107, 0.0008),
        "H": (5, 1.00794, 7e-5),
        "O": (4, 15.9994, 3e-4),
        "K": (1, 39.0983, 1e-4),
    }
    values = {"R": 1.0, "m": 0.3888, "P": 1.0, "V": 18.64, "warm": 0.0} | {
        k: v for k, (_, v, _) in elements.items()
    }
    spreads = {
        "R": 0.0005,
        "m": math.sqrt(2) * rectangular(0.00015),
        "P": rectangular(0.0005),
        "V": triangular(0.03),
        "warm": 0.006,
    } | {k: rectangular(half) for k, (_, _, half) in elements.items()}

    def concentration(x):
        molar_mass = sum(count * x[k] for k, (count, _, _) in elements.items())
        return x["R"] * 1000 * x["m"] * x["P"] / (molar_mass * (x["V"] + x["warm"]))

    budget = propagate(concentration, values, spreads)

    assert budget.value == pytest.approx(0.10214, abs=5e-6)
    assert budget.standard_uncertainty == pytest.approx(0.00010, abs=5e-6)
    assert budget.standard_uncertainty == pytest.approx(0.0001005007, abs=5e-11)


def test_four_normal_inputs_add_in_squares():
    # JCGM 101, 9.2.2: u = 2.00; from memory
    names = ("a", "b", "c", "d")
    budget = propagate(lambda x: sum(x.values()), dict.fromkeys(names, 0.0), dict.fromkeys(names, 1.0))

    assert budget.standard_uncertainty == pytest.approx(2.00, abs=0.005)
    assert [one.share for one in budget.contributions] == pytest.approx([0.25] * 4)


@pytest.mark.parametrize(
    ("dof", "printed"), [(1, 12.71), (2, 4.30), (5, 2.57), (10, 2.23), (math.inf, 1.960)]
)
def test_coverage_factors_are_those_of_the_guides_table(dof, printed):
    # GUM table G.2, 95 %; from memory
    assert coverage_factor(0.95, dof) == pytest.approx(printed, abs=0.005)


def test_k_is_students_t_of_the_degrees_of_freedom_and_2_for_many():
    # GUM table G.2, 95 %: 2.20 at 11, 2.09 at 20; from memory. 1.96 for a normal distribution is told as 2 (6.3.3).
    printed = {10: 2.23, 11: 2.20, 20: 2.09, 50: 2.01, math.inf: 2.00}
    for dof, k in printed.items():
        budget = propagate(lambda x: x["a"], {"a": 1.0}, {"a": 0.1}, {"a": dof})

        assert expanded(budget).k == pytest.approx(k, abs=0.005)


@given(st.floats(0.01, 10.0), st.floats(0.01, 10.0), st.floats(0.1, 100.0))
def test_scaling_the_result_scales_its_uncertainty(first, second, scale):
    values, spreads = {"a": 3.0, "b": 4.0}, {"a": first, "b": second}
    plain = propagate(lambda x: 2 * x["a"] - x["b"], values, spreads)
    scaled = propagate(lambda x: scale * (2 * x["a"] - x["b"]), values, spreads)

    assert scaled.standard_uncertainty == pytest.approx(scale * plain.standard_uncertainty, rel=1e-9)
    assert plain.standard_uncertainty == pytest.approx(math.hypot(2 * first, second), rel=1e-9)


def test_fully_correlated_inputs_that_are_subtracted_cancel():
    values, spreads = {"a": 3.0, "b": 1.0}, {"a": 0.2, "b": 0.2}
    budget = propagate(lambda x: x["a"] - x["b"], values, spreads, correlations={("a", "b"): 1.0})

    assert budget.standard_uncertainty == pytest.approx(0.0, abs=1e-9)


def test_an_uncertainty_of_nothing_known_is_refused_with_the_nearest_input():
    with pytest.raises(UnknownName, match="Did you mean 'blank'"):
        propagate(lambda x: x["blank"], {"blank": 1.0}, {"blnk": 0.1})


def test_impossible_uncertainties_are_refused():
    with pytest.raises(BadEntry, match="cannot be below zero"):
        propagate(lambda x: x["a"], {"a": 1.0}, {"a": -0.1})
    with pytest.raises(BadEntry, match="degrees of freedom of 'a' must be above zero"):
        propagate(lambda x: x["a"], {"a": 1.0}, {"a": 0.1}, {"a": 0})
    with pytest.raises(BadEntry, match="lies within ± 1"):
        propagate(lambda x: x["a"], {"a": 1.0, "b": 1.0}, {"a": 0.1}, correlations={("a", "b"): 1.5})
