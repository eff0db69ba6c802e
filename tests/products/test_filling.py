"""Filling by mass: the story's yield, the printed tolerable errors, and the check on average."""

import pytest

from stillroom.errors import BadEntry, OutsideModel
from stillroom.evidence.answer import Answer, reading, reckoned, rerun
from stillroom.evidence.formulas import formula
from stillroom.evidence.trails import from_trail, trail
from stillroom.products.filling import bottles, check_fill, fill_mass, fill_yield, tolerable_error
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction


def _read(name: str, value: float, unit: str) -> Answer:
    return reading(name, value, unit, f"entry 1, {name}", entry_no=1)


NOMINAL = _read("nominal content", 100.0, "mL")
BULK = _read("bulk", 5000.0, "g")


@formula("test-density-of-spirit")
def density_of_spirit_g_ml(ethanol_volume_percent: float) -> float:
    return float(spirit_density_kg_m3(spirit_mass_fraction(ethanol_volume_percent / 100.0), 20.0)) / 1000.0


def _tonic_density() -> Answer:
    strength = _read("strength of the tonic", 40.0, "%")
    return reckoned(
        "density", density_of_spirit_g_ml, unit="g/mL", inputs={"ethanol_volume_percent": strength}
    )


def test_the_filling_of_the_story_comes_out_to_its_printed_digits():
    # Invented practice case: 5.000 kg of about 40 % v/v in bottles of 100 mL; printed 52.7 possible, 96.7 %.
    fill = fill_mass(NOMINAL, _tonic_density())
    could = bottles(BULK, fill)
    found = fill_yield(_read("bottles filled", 51.0, "pieces"), BULK, fill)

    assert could.possible.value == pytest.approx(52.7, abs=0.05)
    assert could.whole == 52
    assert found.value == pytest.approx(96.7, abs=0.05)
    assert rerun(from_trail(trail(found))) == found.value


def test_the_yield_moves_by_the_ratio_of_the_bottles():
    fill = fill_mass(NOMINAL, _tonic_density())

    one = fill_yield(_read("bottles filled", 51.0, "pieces"), BULK, fill).value
    other = fill_yield(_read("bottles filled", 48.0, "pieces"), BULK, fill).value
    assert other / one == pytest.approx(48.0 / 51.0, rel=1e-12)


@pytest.mark.parametrize(
    ("mass_percent", "density", "nominal", "printed"), [(40, 0.93518, 100, 93.52), (0, 0.99823, 200, 199.65)]
)
def test_a_fill_is_the_printed_mass(mass_percent, density, nominal, printed):
    # Densities of a handbook table (ethanol by mass at 20 °C), second-hand; mass = density x volume.
    found = fill_mass(_read("nominal", float(nominal), "mL"), _read("density", density, "g/mL"))

    assert found.value == pytest.approx(printed, abs=0.005)


def test_an_overfill_adds_its_share():
    density = _tonic_density()
    more = fill_mass(NOMINAL, density, _read("overfill", 1.0, "%"))

    assert more.value == pytest.approx(1.01 * fill_mass(NOMINAL, density).value, rel=1e-12)


@pytest.mark.parametrize(
    ("nominal", "printed"),
    [
        (10, 0.9), (15, 1.4), (30, 2.7), (33, 3.0), (50, 4.5), (75, 4.5), (100, 4.5), (150, 6.8), (200, 9.0),
        (330, 9.9), (500, 15.0), (1000, 15.0),
    ],
)  # fmt: skip
def test_the_tolerable_error_is_the_printed_one(nominal, printed):
    # Council Directive 76/211/EEC, Annex I, 2.4, with its rounding rule; second-hand.
    assert tolerable_error(_read("nominal", float(nominal), "mL")).value == pytest.approx(printed, abs=1e-9)


def test_outside_the_table_no_error_is_guessed():
    with pytest.raises(OutsideModel, match="printed from 5 to 10000"):
        tolerable_error(_read("nominal", 3.0, "mL"))


def _check(volumes_ml: list[float], nominal_ml: float = 50.0, density_g_ml: float = 0.95):
    weighed = [_read(f"bottle {at}", one * density_g_ml, "g") for at, one in enumerate(volumes_ml, 1)]
    return check_fill(weighed, _read("nominal", nominal_ml, "mL"), _read("density", density_g_ml, "g/mL"))


def test_a_filling_right_on_average_is_right():
    # Invented contents; mean 50.15 mL worked by hand.
    found = _check([50.3, 49.8, 50.6, 50.1, 49.5, 50.4, 50.2, 49.9, 50.7, 50.0])

    assert found.mean.value == pytest.approx(50.15, abs=1e-9)
    assert (found.short, found.far_short, found.verdict) == (0, 0, "right")


def test_a_mean_below_nominal_is_wrong():
    found = _check([49.9] * 10)

    assert found.verdict == "wrong"
    assert "mean is 0.10 mL below nominal" in found.because


def test_a_bottle_short_by_twice_the_error_is_wrong_whatever_the_mean():
    found = _check([51.0] * 50 + [40.0])

    assert (found.short, found.far_short, found.verdict) == (1, 1, "wrong")
    assert "1 of them short by more than 9 mL" in found.because


def test_one_short_bottle_in_fifty_one_may_be_and_two_may_not():
    assert _check([51.0] * 50 + [45.0]).verdict == "right"
    assert _check([51.0] * 49 + [45.0, 45.0]).verdict == "wrong"


def test_a_filling_of_exactly_the_nominal_content_is_right():
    assert _check([50.0] * 7).verdict == "right"


def test_what_cannot_be_filled_is_asked_back():
    with pytest.raises(BadEntry, match="needs weighed bottles"):
        check_fill([], NOMINAL, _tonic_density())
    with pytest.raises(BadEntry, match="at most 52 bottles"):
        fill_yield(_read("bottles filled", 60.0, "pieces"), BULK, fill_mass(NOMINAL, _tonic_density()))
    with pytest.raises(BadEntry, match="above zero in grams"):
        bottles(_read("bulk", 0.0, "g"), fill_mass(NOMINAL, _tonic_density()))
    with pytest.raises(BadEntry, match="all above zero"):
        fill_mass(_read("nominal", 0.0, "g"), _tonic_density())
    with pytest.raises(BadEntry, match="in mL and a density"):
        fill_mass(NOMINAL, None)
    with pytest.raises(BadEntry, match="overfill lies between"):
        fill_mass(NOMINAL, _tonic_density(), _read("overfill", 30.0, "%"))


def test_a_filling_says_how_sure_its_mean_is():
    density = reading("density", 0.95, "g/mL", "bottle", standard_uncertainty=0.0019)
    weighed = [reading(f"bottle {at}", 95.0, "g", "scale", standard_uncertainty=0.005) for at in range(4)]
    found = check_fill(weighed, _read("nominal", 100.0, "mL"), density)

    # By hand: 0.0019 of 0.95 g/mL are 0.2 % of 100 mL; the scale adds 0.003 %.
    assert "Mean 100.00 ± 0.40 mL" in found.because
