"""Each kind of step on small round figures, worked by hand beside the check.

Density of water at 20 °C: 0.998201 g/mL, OIML R 22 at no ethanol (second-hand).
"""

import numpy as np
import pytest

from stillroom.errors import BadEntry, NotEnough, OutsideModel
from stillroom.stream.components import (
    ACID,
    AMMONIA,
    ETHANOL,
    MARKER,
    OTHERS,
    SALT,
    SOLIDS,
    SOLVENT,
    WATER,
    whole_mass,
)
from stillroom.stream.kind import Feed
from stillroom.stream.kinds.mixing import liquid_density_g_ml, stock_and_water
from tests.stream.practice import stream, works

WATER_G_ML = 0.998201


def by_hand(found: np.ndarray, **rows: float) -> None:
    """The named rows have these grams, and every other row has none."""
    names = {
        "acid": ACID, "marker": MARKER, "ammonia": AMMONIA, "ethanol": ETHANOL, "others": OTHERS,
        "salt": SALT, "solids": SOLIDS, "solvent": SOLVENT, "water": WATER,
    }  # fmt: skip
    expected = np.zeros_like(found)
    for name, grams in rows.items():
        expected[names[name]] = grams

    assert found == pytest.approx(expected, rel=1e-5, abs=1e-9)


def test_a_sample_has_the_make_up_of_its_extract():
    done = works("set aside", (stream(1, marker=8.0, water=2.0),), {"sample_g": 0.5})

    by_hand(done.outlets[0], marker=7.6, water=1.9)
    by_hand(done.outlets[1], marker=0.4, water=0.1)


def test_a_sample_larger_than_the_extract_is_all_of_it():
    done = works("set aside", (stream(1, marker=0.2, water=0.05),), {"sample_g": 0.5})

    by_hand(done.outlets[0])
    by_hand(done.outlets[1], marker=0.2, water=0.05)


def test_drying_leaves_the_water_and_solvent_that_were_set_and_a_film():
    soft = stream(1, marker=15.0, other_extractables=19.0, water=12.0, ethyl_acetate=5.0, ethanol=1.0)
    # 34 g of solids in 85 % of the extract: 40 g, of which 4 g water (10 %) and 2 g solvent (50 g/kg); film 1 g.
    done = works(
        "dry", (soft,), {"water_mass_fraction": 0.1, "solvent_left_mg_per_kg": 50_000.0, "film_g": 1.0}
    )

    by_hand(done.outlets[0], marker=14.625, others=18.525, water=3.9, solvent=1.95)
    by_hand(done.losses["dried off"], water=8.0, solvent=3.0, ethanol=1.0)
    by_hand(done.losses["film in the glassware"], marker=0.375, others=0.475, water=0.1, solvent=0.05)


def test_drying_adds_neither_water_nor_solvent_that_was_not_there():
    done = works(
        "dry", (stream(1, marker=34.0, water=3.0),),
        {"water_mass_fraction": 0.1, "solvent_left_mg_per_kg": 50_000.0, "film_g": 0.0},
    )  # fmt: skip

    by_hand(done.outlets[0], marker=34.0, water=3.0)
    by_hand(done.losses["dried off"])


STRIPPING = {
    "soft_extract_solids_mass_fraction": 0.7,
    "solvent_in_liquid_share": 0.6,
    "past_condenser_share": 0.1,
}


def test_stripping_leaves_a_soft_extract_of_the_wanted_solids():
    # 35 g of solids in 70 %: 15 g of liquid, 9 g of it solvent and 6 g water; a tenth of the vapour is lost.
    layer = stream(1, marker=15.0, other_extractables=20.0, water=12.0, ethanol=2.0, ethyl_acetate=609.0)
    done = works("strip solvent", (layer,), STRIPPING)

    by_hand(done.outlets[0], marker=15.0, others=20.0, water=6.0, solvent=9.0)
    by_hand(done.outlets[1], water=5.4, ethanol=1.8, solvent=540.0)
    by_hand(done.losses["solvent vapour"], water=0.6, ethanol=0.2, solvent=60.0)


def test_stripping_adds_neither_water_nor_solvent_that_was_not_there():
    done = works("strip solvent", (stream(1, marker=35.0, water=4.0, ethyl_acetate=8.0),), STRIPPING)

    by_hand(done.outlets[0], marker=35.0, water=4.0, solvent=8.0)
    by_hand(done.outlets[1])


def test_only_spirit_evaporates_while_blending_and_the_film_is_of_the_bulk():
    inlets = (stream(1, ethanol=200.0, water=100.0), stream(1, water=97.0), stream(1, marker=5.0))
    # 1 % of the spirit goes: 2 g. The bulk is 400 g, and a film of 4 g is a hundredth of each.
    done = works("blend", inlets, {"evaporated_share": 0.01, "film_g": 4.0})

    by_hand(done.losses["spirit evaporated"], ethanol=2.0)
    by_hand(done.losses["film in the vessel"], ethanol=1.98, water=1.97, marker=0.05)
    by_hand(done.outlets[0], ethanol=196.02, water=195.03, marker=4.95)


def test_a_film_larger_than_the_bulk_is_all_of_it():
    done = works("blend", (stream(1, water=3.0),), {"evaporated_share": 0.0, "film_g": 4.0})

    by_hand(done.outlets[0])
    by_hand(done.losses["film in the vessel"], water=3.0)


def test_filling_loses_its_share_of_the_bulk():
    done = works("fill", (stream(1, ethanol=300.0, water=700.0),), {"filling_loss_share": 0.02})

    by_hand(done.outlets[0], ethanol=294.0, water=686.0)
    by_hand(done.losses["left in filter and filler"], ethanol=6.0, water=14.0)


def test_only_spirit_evaporates_while_it_is_mixed():
    done = works(
        "mix to strength", (stream(1, ethanol=90.0, water=10.0), stream(1, water=50.0)),
        {"evaporated_share": 0.1},
    )  # fmt: skip

    by_hand(done.outlets[0], ethanol=81.0, water=60.0)
    by_hand(done.losses["evaporated while mixing"], ethanol=9.0)


def test_mixing_adds_what_goes_in():
    done = works("mix", (stream(1, water=5.0), stream(1, ethanol=3.0), stream(1, water=2.0)), {})

    by_hand(done.outlets[0], water=7.0, ethanol=3.0)


def test_the_plant_takes_up_its_millilitres_of_the_liquid():
    plant = stream(1, plant_solids=90.0, water=10.0)
    done = works("moisten", (plant, stream(1, water=200.0)), {"wetting_ml_per_g": 0.5})

    # 100 g of plant take 50 mL, that is 49.91 g of water.
    by_hand(done.outlets[0], solids=90.0, water=10.0 + 50.0 * WATER_G_ML)
    by_hand(done.outlets[1], water=200.0 - 50.0 * WATER_G_ML)


def test_just_enough_liquid_to_wet_the_plant_is_enough():
    plant = stream(1, plant_solids=100.0)
    liquid = stream(1, water=100.0)
    ml_per_g = 1.0 / float(liquid_density_g_ml(liquid)[0])

    works("moisten", (plant, liquid), {"wetting_ml_per_g": ml_per_g * (1 - 1e-9)})
    with pytest.raises(NotEnough, match="enough liquid to wet"):
        works("moisten", (plant, liquid), {"wetting_ml_per_g": ml_per_g * 1.001})


def test_water_has_its_printed_density_and_nothing_has_none():
    assert liquid_density_g_ml(stream(2, water=3.0, marker=4.0)) == pytest.approx(WATER_G_ML, abs=5e-7)
    with pytest.raises(BadEntry, match="some water, spirit"):
        liquid_density_g_ml(stream(1, marker=4.0))


def test_stock_as_strong_as_the_wanted_spirit_takes_no_water_and_a_weaker_one_is_refused():
    settings = {"want_volume_fraction_20c": 1.0, "spirit_ml_per_g": 4.0}
    # Pure ethanol: 0.78924 g/mL at 20 °C, OIML R 22 (second-hand); 50 g x 4 mL/g.
    stock_g, water_g = stock_and_water((Feed({"ethanol": 1.0}), Feed({"water": 1.0})), settings, 50.0)

    assert stock_g == pytest.approx(200.0 * 0.78924, abs=0.001)
    assert water_g == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(NotEnough, match="stronger than the spirit wanted"):
        stock_and_water((Feed({"ethanol": 0.99, "water": 0.01}), Feed({"water": 1.0})), settings, 50.0)


ACIDIFYING = {"resin_share": 0.4, "marker_in_resin_share": 0.1, "liquor_in_filter_share": 0.25}


def test_acid_drops_resin_with_some_alkaloid_and_the_filter_keeps_liquor():
    residue = stream(1, marker=20.0, other_extractables=50.0, water=300.0)
    done = works("acidify and filter", (residue, stream(1, hydrogen_chloride=8.0, water=92.0)), ACIDIFYING)

    # Resin 40 % of 50 g, alkaloids a tenth of 20 g; a quarter of the rest stays in the filter.
    by_hand(done.losses["resin on the filter"], others=20.0)
    by_hand(done.losses["marker in the resin"], marker=2.0)
    by_hand(done.losses["liquor in the filter"], marker=4.5, others=7.5, water=98.0, acid=2.0)
    by_hand(done.outlets[0], marker=13.5, others=22.5, water=294.0, acid=6.0)


def test_two_moles_of_acid_for_each_mole_of_alkaloid_are_just_enough():
    # 32.442 g at 324.42 g/mol is 0.1 mol; 0.2 mol of HCl at 36.461 g/mol is 7.2922 g.
    residue = stream(1, marker=32.442, water=300.0)
    told = ACIDIFYING | {"marker_g_mol": 324.42}

    works("acidify and filter", (residue, stream(1, hydrogen_chloride=7.2930, water=90.0)), told)
    with pytest.raises(NotEnough, match=r"1\.00 of that"):
        works("acidify and filter", (residue, stream(1, hydrogen_chloride=7.2910, water=90.0)), told)
    with pytest.raises(NotEnough, match=r"0\.50 of that"):
        works("acidify and filter", (residue, stream(1, hydrogen_chloride=3.6461, water=90.0)), told)


def test_the_acid_a_marker_needs_follows_its_own_molar_mass_and_is_not_guessed():
    # 32.442 g of a base of half the molar mass, 162.21 g/mol, is 0.2 mol: 14.5844 g of HCl for two nitrogens.
    residue = stream(1, marker=32.442, water=300.0)
    light = ACIDIFYING | {"marker_g_mol": 162.21}

    works("acidify and filter", (residue, stream(1, hydrogen_chloride=14.5850, water=90.0)), light)
    with pytest.raises(NotEnough, match=r"0\.50 of that"):
        works("acidify and filter", (residue, stream(1, hydrogen_chloride=7.2922, water=90.0)), light)
    works("acidify and filter", (residue, stream(1, hydrogen_chloride=0.1, water=90.0)), ACIDIFYING)


def test_salt_that_was_there_stays_and_some_of_the_spare_ammonia_fumes_away():
    liquor = stream(1, hydrogen_chloride=3.6461, ammonium_chloride=1.0, water=100.0)
    done = works("basify", (liquor, stream(1, ammonia=3.4062, water=50.0)), {"fumes_share": 0.2})

    # 0.1 mol of acid takes 1.7031 g of the ammonia and makes 5.3492 g of salt; a fifth of the rest goes.
    by_hand(done.losses["ammonia fumes"], ammonia=0.34062)
    by_hand(done.outlets[0], water=150.0, salt=6.3492, ammonia=1.36248)


def test_ammonia_must_be_more_than_the_acid():
    liquor = stream(1, hydrogen_chloride=3.6461, water=100.0)

    works("basify", (liquor, stream(1, ammonia=1.7032, water=50.0)), {"fumes_share": 0.0})
    with pytest.raises(NotEnough, match=r"1\.00 of it"):
        works("basify", (liquor, stream(1, ammonia=1.7031, water=50.0)), {"fumes_share": 0.0})
    with pytest.raises(NotEnough, match=r"0\.50 of it"):
        works("basify", (liquor, stream(1, ammonia=0.85155, water=50.0)), {"fumes_share": 0.0})


SHAKING = {
    "partition_ratio": 1.0, "pka": 8.0, "ph": 8.0, "shakes": 2, "others_distribution_ratio": 2.0,
    "solvent_in_water_g_per_g": 0.0, "water_in_solvent_g_per_g": 0.0, "interface_share": 0.0,
}  # fmt: skip


def shaken(**changes: float):
    # 100 mL of water; twice 50 mL of ethyl acetate at 0.9003 g/mL (CRC Handbook, second-hand).
    water = stream(1, water=99.8201, marker=9.0, other_extractables=16.0)
    return works("partition", (water, stream(1, ethyl_acetate=90.03)), SHAKING | changes)


def test_two_shakes_leave_what_the_formula_leaves():
    done = shaken()

    # D = 1/2 at pH = pKa: (100 / (100 + 0.5 x 50))^2 = 0.64 left; others (100 / (100 + 2 x 50))^2 = 0.25.
    assert done.outlets[1][MARKER, 0] == pytest.approx(9.0 * 0.64, rel=1e-4)
    assert done.outlets[1][OTHERS, 0] == pytest.approx(16.0 * 0.25, rel=1e-4)
    assert done.outlets[0][MARKER, 0] == pytest.approx(9.0 * 0.36, rel=1e-4)


def test_spirit_in_the_water_layer_counts_in_its_volume():
    # 60 g of ethanol in 100 g at 20 °C: 0.89113 g/mL (OIML R 22, second-hand), so 112.22 mL; D = 1/2, 50 mL.
    layer = stream(1, ethanol=60.0, water=40.0, marker=9.0)
    done = works("partition", (layer, stream(1, ethyl_acetate=45.015)), SHAKING | {"shakes": 1})

    assert done.outlets[1][MARKER, 0] == pytest.approx(9.0 * 112.22 / (112.22 + 25.0), rel=1e-4)


def test_the_layers_dissolve_in_one_another_and_the_interface_is_lost():
    done = shaken(solvent_in_water_g_per_g=0.1, water_in_solvent_g_per_g=0.05, interface_share=0.25)

    # 9.98201 g of solvent stay in the water; the layer of 80.04799 g takes a twentieth of water with it.
    layer_g = 90.03 - 9.98201
    assert done.outlets[0][SOLVENT, 0] == pytest.approx(0.75 * layer_g, rel=1e-9)
    assert done.outlets[0][WATER, 0] == pytest.approx(0.75 * 0.05 * layer_g, rel=1e-9)
    assert done.losses["left at the interface"][SOLVENT, 0] == pytest.approx(0.25 * layer_g, rel=1e-9)
    assert done.outlets[1][SOLVENT, 0] == pytest.approx(9.98201, rel=1e-9)
    assert done.outlets[1][WATER, 0] == pytest.approx(99.8201 - 0.05 * layer_g, rel=1e-9)


def test_the_solvent_cannot_take_more_water_than_there_is():
    done = shaken(water_in_solvent_g_per_g=2.0)

    assert done.outlets[0][WATER, 0] == pytest.approx(99.8201, rel=1e-12)
    assert done.outlets[1][WATER, 0] == pytest.approx(0.0, abs=1e-9)


def test_solvent_that_all_dissolves_in_the_water_is_not_enough():
    with pytest.raises(NotEnough, match=r"0\.90 of that"):
        shaken(solvent_in_water_g_per_g=90.03 / 99.8201 / 0.9)
    shaken(solvent_in_water_g_per_g=90.0 / 99.8201)


PERCOLATING = {
    "retention_ml_per_g": 1.0, "washing_capacity_ml_per_g": 2.0, "tanks": 1,
    "marker_within_reach_share": 0.5, "others_within_reach_share": 0.25,
    "pushed_out_share": 0.0, "evaporated_share": 0.0,
}  # fmt: skip


def percolated(pushing_water_g: float = 100.0, **changes: float):
    # 100 g of plant without its water, 300 mL of water on it: 100 mL stay, 200 mL drip.
    plant = stream(1, plant_solids=70.0, marker=10.0, other_extractables=20.0)
    liquid = stream(1, water=300.0 * WATER_G_ML)
    return works("percolate", (plant, liquid, stream(1, water=pushing_water_g)), PERCOLATING | changes)


def test_what_is_within_reach_is_washed_out_and_what_drips_is_not_kept():
    done = percolated()

    # One tank: 200 mL through a capacity of 2 mL/g x 100 g wash out 1 - exp(-1) = 0.6321 of what is in reach.
    assert done.outlets[0][MARKER, 0] == pytest.approx(10.0 * 0.5 * 0.6321206, rel=1e-5)
    assert done.outlets[0][OTHERS, 0] == pytest.approx(20.0 * 0.25 * 0.6321206, rel=1e-5)
    # Nothing is pushed out, so all the pushing water runs through.
    assert done.outlets[0][WATER, 0] == pytest.approx(200.0 * WATER_G_ML + 100.0, rel=1e-6)
    assert done.outlets[1][WATER, 0] == pytest.approx(100.0 * WATER_G_ML, rel=1e-6)


def test_less_pushing_water_than_the_place_it_takes_stays_whole():
    done = percolated(30.0, pushed_out_share=0.75)

    # 75 mL are pushed out; the 30 g that came stay in the plant.
    assert done.outlets[0][WATER, 0] == pytest.approx(275.0 * WATER_G_ML, rel=1e-6)
    assert done.outlets[1][WATER, 0] == pytest.approx(25.0 * WATER_G_ML + 30.0, rel=1e-6)


def test_spirit_evaporates_from_what_drips():
    plant = stream(1, plant_solids=100.0)
    done = works(
        "percolate", (plant, stream(1, ethanol=400.0, water=100.0), stream(1, water=1.0)),
        PERCOLATING | {"evaporated_share": 0.1, "retention_ml_per_g": 0.0},
    )  # fmt: skip

    by_hand(done.losses["evaporated while dripping"], ethanol=40.0)
    by_hand(done.outlets[0], ethanol=360.0, water=101.0)


def test_a_plant_that_keeps_just_all_of_its_liquid_gives_none():
    with pytest.raises(BadEntry, match=r"keeps 1\.00 of the liquid"):
        percolated(retention_ml_per_g=3.0001)
    assert percolated(retention_ml_per_g=2.999).outlets[0][MARKER, 0] > 0


def test_the_vapour_past_the_condenser_is_a_share_of_what_came_over():
    liquor = stream(1, ethanol=600.0, water=400.0, marker=15.0)
    still = {"ethanol_share": 0.5}
    tight = works("distil", (liquor,), still | {"past_condenser_share": 0.0})
    leaky = works("distil", (liquor,), still | {"past_condenser_share": 0.25})

    assert tight.outlets[0][ETHANOL, 0] == pytest.approx(300.0, rel=1e-9)
    assert leaky.outlets[0] == pytest.approx(0.75 * tight.outlets[0], rel=1e-12)
    assert leaky.losses["vapour past the condenser"] == pytest.approx(0.25 * tight.outlets[0], rel=1e-12)
    assert leaky.outlets[1] == pytest.approx(tight.outlets[1], rel=1e-12)
    assert tight.outlets[1][MARKER, 0] == 15.0
    # Over 600 g in 1000 g the vapour is stronger than the liquid.
    assert 0.6 < tight.outlets[0][ETHANOL, 0] / whole_mass(tight.outlets[0])[0] < 0.96


def test_a_liquor_weaker_than_wanted_is_not_boiled_at_all():
    liquor = stream(1, ethanol=10.0, water=990.0)
    done = works(
        "drive off spirit", (liquor,),
        {"residue_ethanol_mass_fraction": 0.02, "past_condenser_share": 0.1},
    )  # fmt: skip

    by_hand(done.outlets[0])
    by_hand(done.outlets[1], ethanol=10.0, water=990.0)


def test_half_a_gram_of_another_solvent_is_enough_for_a_still_to_stop():
    liquor = stream(1, ethanol=600.0, water=400.0, ethyl_acetate=0.5)

    with pytest.raises(OutsideModel, match=r"up to 0\.5 g of ethyl acetate"):
        works("distil", (liquor,), {"ethanol_share": 0.5, "past_condenser_share": 0.0})
