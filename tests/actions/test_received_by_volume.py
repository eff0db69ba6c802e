"""A liquid that is bought by the litre is received so: its mass is calculated where its density can be known."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot, received
from stillroom.actions.lots.stock_movements import count_stock
from stillroom.actions.testing.drying import weigh_drying
from stillroom.errors import BadEntry, StillroomError
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot


def spirit(stated: str = "96.0 % v/v") -> Lot:
    return Lot("SP1", LotKind.SPIRIT, "spirit 96 %", "spirit", stated=stated)


def test_spirit_in_litres_weighs_what_its_strength_and_temperature_make_of_it() -> None:
    # 96 % v/v weighs 807.42 kg/m3 at 20 °C (international alcoholometric tables; from-memory): 5 L are 4037.1 g.
    micrograms, counted_in, sure_g = received(spirit(), "5 L at 20 °C")

    assert micrograms / 1e6 == pytest.approx(4037.1, abs=0.3)
    assert counted_in == "ug"
    assert sure_g is not None
    assert 10.0 < sure_g < 60.0


@pytest.mark.parametrize(
    "text", ["5 L at 68 °F", "5000 mL at 20 °C", "5,0 L at 293.15 K", "5 dm³ at 20,0 °C"]
)
def test_a_volume_said_otherwise_weighs_the_same(text: str) -> None:
    assert received(spirit(), text)[0] == pytest.approx(received(spirit(), "5 L at 20 °C")[0], rel=1e-9)


def test_warmer_spirit_is_lighter_by_the_litre() -> None:
    assert received(spirit(), "5 L at 31 °C")[0] < received(spirit(), "5 L at 20 °C")[0]


def test_a_label_by_mass_gives_the_same_mass_as_the_same_label_by_volume() -> None:
    by_mass = received(spirit("93.84 % w/w"), "5 L at 20 °C")[0]

    assert by_mass == pytest.approx(received(spirit("96.0 % v/v"), "5 L at 20 °C")[0], rel=2e-5)


def test_water_and_an_acid_are_received_by_volume_too() -> None:
    # Water weighs 0.9982 g/mL at 20 °C, hydrochloric acid of 37 % 1.184 g/mL (handbook figures; from-memory).
    water = received(Lot("W", LotKind.WATER, "purified water", "water"), "5 L at 20 °C")[0]
    acid = received(Lot("A", LotKind.REAGENT, "hydrochloric acid 37 %", "acid"), "1 L at 20 °C")[0]

    assert water / 1e6 == pytest.approx(4991.0, abs=0.5)
    assert acid / 1e6 == pytest.approx(1184.0, abs=1.0)


@pytest.mark.parametrize(
    ("lot", "text", "needed"),
    [
        (spirit(), "5 L", "at 22 °C"),
        (spirit(""), "5 L at 20 °C", "State it as on its label"),
        (Lot("O", LotKind.INGREDIENT, "lavender oil", "oil"), "1 L at 20 °C", "Weigh it"),
        (spirit(), "5 L of rum at 20 °C", "nothing else"),
        (spirit("96 % v/v auf 20 °C"), "5 L at 20 °C", "not a basis"),
    ],
)
def test_where_no_mass_can_be_known_the_refusal_says_what_is_needed(lot: Lot, text: str, needed: str) -> None:
    with pytest.raises(StillroomError, match=needed) as refusal:
        received(lot, text)

    assert refusal.value.got
    assert refusal.value.where == ("stated" if "label" in needed or "basis" in needed else "amount")


@pytest.mark.parametrize(
    ("label", "stated", "text", "mass_g", "within_g"),
    [
        # 0.1 mol/L hydrochloric acid weighs 1.000 g/mL, 1 mol/L 1.016 g/mL at 20 °C (handbook figures; from-memory).
        ("hydrochloric acid 0.1 mol/L", "", "500 mL", 500.0, 0.5),
        ("hydrochloric acid", "0.1 M", "500 mL at 20 °C", 500.0, 0.5),
        ("hydrochloric acid 1 mol/L", "", "500 mL at 20 °C", 508.0, 0.5),
        # A warm room: 20 to 33 °C takes 0.35 % off water (0.9982 to 0.9947 g/mL, handbook; from-memory): inside its ±.
        ("hydrochloric acid 0.1 mol/L", "", "500 mL at 33 °C", 498.3, 2 * 2.3),
        # 0.1 mol/L silver nitrate weighs about 1.012 g/mL (handbook figure; from-memory): inside its ±.
        ("silver nitrate 0.1 mol/L", "", "500 mL", 506.0, 2 * 2.91),
    ],
)
def test_a_solution_by_moles_is_received_by_volume(label, stated, text, mass_g, within_g) -> None:
    micrograms, _, sure_g = received(Lot("N", LotKind.REAGENT, label, label, stated=stated), text)

    assert micrograms / 1e6 == pytest.approx(mass_g, abs=within_g)
    assert sure_g is not None
    assert 0.25 < sure_g < 3.0


@pytest.mark.parametrize(
    "label", ["potassium hydroxide 0.5 mol/L in ethanol", "iodine 2 mol/L", "Dragendorff reagent"]
)
def test_a_solution_of_unknown_density_is_asked_for_its_grams(label: str) -> None:
    with pytest.raises(BadEntry, match="write its grams"):
        received(Lot("N", LotKind.REAGENT, label, label), "500 mL at 20 °C")


def test_what_is_weighed_is_taken_as_it_was() -> None:
    assert received(spirit(), "3.500 kg") == (3_500_000_000, "ug", None)
    with pytest.raises(BadEntry):
        received(spirit(), "3 kg 5 L")


def solvent() -> Lot:
    return Lot("EA", LotKind.SOLVENT, "ethyl acetate", "ethyl acetate")


@pytest.mark.parametrize(
    "lot",
    [
        solvent(),
        spirit(""),
        Lot("O", LotKind.INGREDIENT, "lavender oil", "oil"),
        Lot("W", LotKind.RECOVERED, "recovered spirit", "recovered spirit"),
    ],
)
def test_a_density_that_was_read_makes_the_mass_of_any_liquid_received_by_the_litre(lot: Lot) -> None:
    # 5 L at 0.885 g/mL, read at the temperature of the volume, are 4425 g (by hand).
    micrograms, _, sure_g = received(lot, "5 L at 22 °C, 0.885 g/mL")

    assert micrograms / 1e6 == pytest.approx(4425.0, abs=0.01)
    assert sure_g is not None
    assert 1.0 < sure_g < 60.0


def test_a_density_that_was_read_goes_before_the_table_and_its_temperature_counts() -> None:
    # International alcoholometric tables: 96 % v/v weighs 0.8074 g/mL at 20 °C, 0.7988 at 30 °C (from-memory).
    by_table = received(spirit(), "5 L at 30 °C")[0] / 1e6
    read_warm = received(spirit(), "5 L at 30 °C, 0.8010 g/mL")[0] / 1e6
    read_cold = received(spirit(), "5 L at 30 °C, 0.8096 g/mL at 20 °C")[0] / 1e6

    assert read_warm == pytest.approx(4005.0, abs=0.01)
    assert by_table == pytest.approx(5000 * 0.7988, abs=2.0)
    assert read_cold == pytest.approx(5000 * (0.8096 - 0.0086), rel=0.004)
    assert (
        received(spirit(), "5 L at 30 °C, 0.8096 g/mL at 20 °C")[2]
        > received(spirit(), "5 L at 30 °C, 0.8010 g/mL")[2]
    )


@pytest.mark.parametrize(
    "text",
    ["5 L at 22 °C, 801.0 kg/m³", "5 L at 22 °C; 0.8010 g/ml", "5000 mL at 22 °C of density 0.8010 kg/L",
     "5,0 L at 71.6 °F 0,8010 g/mL at 22 °C", "5 dm³ at 22 °C, 0.8010 g/cm³ at 295.15 K"],
)  # fmt: skip
def test_a_density_said_otherwise_makes_the_same_mass(text: str) -> None:
    assert received(spirit(), text)[0] == pytest.approx(
        received(spirit(), "5 L at 22 °C, 0.8010 g/mL")[0], rel=1e-9
    )


def test_a_density_that_the_label_cannot_have_is_asked_about() -> None:
    with pytest.raises(BadEntry, match="agree"):
        received(spirit(), "5 L at 20 °C, 0.8856 g/mL")  # 70 % v/v


def test_what_its_scale_cannot_have_shown_is_kept_and_told_wherever_it_is_weighed(lab: Laboratory) -> None:
    # SCALE-2 takes 600 g in steps of 0.01 g.
    lot = Lot("GL-9", LotKind.INGREDIENT, "glycerin", "glycerin")
    came = receive_lot(lab, lot, "1.000 kg", by="TO", apparatus="SCALE-2")
    counted = count_stock(lab, "GL-9", found="61.204 g", by="TO", scale="SCALE-2")
    dried = weigh_drying(
        lab, "GL-9", dish="31.204 g", with_sample="41.20 g", dried=("41.00 g",), apparatus="SCALE-2", by="TO"
    )
    right = count_stock(lab, "GL-9", found="61.2 g", by="TO", scale="SCALE-2")

    assert "SCALE-2 takes 600 g at most. Got 1.000 kg. Correct the entry" in came.says
    assert "SCALE-2 shows steps of 0.01 g. Got 61.204 g. Correct the entry" in counted.says
    assert "SCALE-2 shows steps of 0.01 g. Got 31.204 g." in dried.says
    assert "SCALE-2" not in right.says
    with lab.look() as look:
        assert look.balance_ug("GL-9") == 1_000_000_000


def test_a_litre_at_its_temperature_is_taken_whole_by_the_act(lab: Laboratory) -> None:
    assert "by the density at that temperature" in receive_lot(lab, spirit(), "5 L at 20 °C", by="TO").says
