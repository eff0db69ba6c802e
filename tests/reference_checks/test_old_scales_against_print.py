"""Old scales of strength, and what dissolved matter pretends, against what others say of them."""

import pytest

from stillroom.science.liquids.old_scales import (
    proof_spirit_mass_fraction,
    volume_fraction_from_uk_proof,
    volume_fraction_from_us_proof,
)
from stillroom.substances.spirits import oiml_r22, pretended_in_spirit


def test_british_proof_spirit_has_the_strength_print_gives_it() -> None:
    # "57.1% of spirit by volume" (a page of the trade quoting the Act of 1952), page-opened.
    assert 100 * volume_fraction_from_uk_proof(100.0, oiml_r22()) == pytest.approx(57.1, abs=0.05)
    # "57.07% alcohol by volume or 49.24% by weight" (an encyclopaedia), page-opened; it prints an older table.
    assert 100 * volume_fraction_from_uk_proof(100.0, oiml_r22()) == pytest.approx(57.07, abs=0.03)
    assert 100 * proof_spirit_mass_fraction(oiml_r22()) == pytest.approx(49.24, abs=0.05)


def test_ethanol_itself_is_about_175_degrees_of_british_proof() -> None:
    # "175.25° proof UK or 200° proof USA" (the same encyclopaedia), page-opened.
    assert volume_fraction_from_uk_proof(175.0, oiml_r22()) == pytest.approx(175.0 / 175.25, abs=0.001)
    assert volume_fraction_from_us_proof(200.0) == 1.0


def test_a_proof_of_the_united_states_is_half_a_per_cent_by_volume() -> None:
    # "A liquor having 50 percent alcohol is termed 100 proof" (an encyclopaedia), page-opened.
    assert volume_fraction_from_us_proof(100.0) == 0.5


def test_two_grams_of_solids_make_70_per_cent_look_like_about_67() -> None:
    # Common practice, no source: "true 70 % looks like about 67".
    assert 100 * float(pretended_in_spirit(0.70, 2.0, 0.617)) == pytest.approx(67.0, abs=1.0)
