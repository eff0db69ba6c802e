"""Ways of extracting that can be copied: complete, in proportion to any plant, and honest about markers."""

import numpy as np
import pytest

from stillroom.errors import BadEntry, NotAllowed, UnknownName
from stillroom.records.from_yaml import procedure_from_yaml
from stillroom.records.starters import copy_starter, holds_for, starter, starters
from stillroom.records.to_yaml import procedure_to_yaml
from stillroom.reference.cautions import cautions
from stillroom.reference.tables import row, table
from stillroom.stream.cautions import OF_SPIRIT, only_stays
from stillroom.stream.components import ETHANOL, MARKER, OTHERS, WATER, whole_mass
from stillroom.stream.kind import Feed
from stillroom.stream.run import kind_of, run
from stillroom.substances.markers import marker_nature
from stillroom.substances.plant_contents import typical_content
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction

WAYS = (
    "maceration",
    "percolation",
    "soxhlet",
    "reflux",
    "infusion",
    "hydrodistillation",
    "alkaloid-clean-up",
    "oil-maceration",
    "glycerol-maceration",
)
STOCK = spirit_mass_fraction(0.96)
SHELF = {
    "stock spirit": Feed({"ethanol": STOCK, "water": 1 - STOCK}, 0.807),
    "spirit": Feed({"ethanol": STOCK, "water": 1 - STOCK}, 0.807),
    "water": Feed({"water": 1.0}, 0.9982),
    "oil": Feed({"fixed oil": 1.0}, 0.920),
    "glycerol": Feed({"glycerol": 1.0}, 1.261),
    "acid": Feed({"hydrogen chloride": 0.1, "water": 0.9}),
    "ammonia": Feed({"ammonia": 0.1, "water": 0.9}),
    "ethyl acetate": Feed({"ethyl acetate": 1.0}, 0.9003),
}
COPIES = [
    ("maceration", "rosemary leaf", "rosmarinic acid"),
    ("maceration", "calendula flower", "total flavonoids"),
    ("maceration", "barberry bark", "berberine"),
    ("maceration", "hibiscus calyx", "anthocyanins"),
    ("percolation", "willow bark", "salicin"),
    ("percolation", "oak bark", "tannins"),
    ("percolation", "horse chestnut seed", "escin"),
    ("percolation", "goldthread rhizome", "berberine"),
    ("soxhlet", "turmeric rhizome", "curcumin"),
    ("soxhlet", "black pepper fruit", "piperine"),
    ("soxhlet", "birch bark", "betulin"),
    ("reflux", "willow bark", "salicin"),
    ("reflux", "rosemary leaf", "rosmarinic acid"),
    ("infusion", "green tea leaf", "total phenols"),
    ("infusion", "green tea leaf", "EGCG"),
    ("infusion", "comfrey root", "allantoin"),
    ("infusion", "marshmallow root", "mucilage"),
    ("hydrodistillation", "lavender flower", "linalool"),
    ("hydrodistillation", "thyme herb", "volatile oil"),
    ("hydrodistillation", "rose petal", "geraniol"),
    ("alkaloid-clean-up", "cinchona bark", "quinine"),
    ("alkaloid-clean-up", "cinchona bark", "cinchonine"),
    ("oil-maceration", "arnica flower", "helenalin"),
    ("oil-maceration", "calendula flower", "faradiol esters"),
    ("glycerol-maceration", "ribwort plantain leaf", "aucubin"),
    ("glycerol-maceration", "green tea leaf", "total phenols"),
]


def plant_feed(plant: str, marker: str, draws: int) -> Feed:
    """The plant as it is usually bought, drawn evenly over what is usual."""
    content = typical_content(plant, marker)
    dry = 1 - content.plant.loss_on_drying_percent / 100
    spread = np.linspace(content.low_percent_dried, content.high_percent_dried, draws) / 100 * dry
    others = np.full(draws, content.plant.by_water_percent[0] / 100 * dry)
    return Feed(
        {
            "water": np.full(draws, 1 - dry),
            "marker": spread,
            "other extractables": others,
            "plant solids": dry - spread - others,
        }
    )


def drawn(procedure, draws: int):
    """Every setting drawn within its own spread, from a fixed beginning."""
    random = np.random.default_rng(7)
    found = {}
    for step in procedure.steps:
        for one in step.settings:
            z, u = random.standard_normal(draws), one.standard_uncertainty
            if one.spread == "lognormal":
                found[f"{step.name}/{one.name}"] = one.value * np.exp(u * z)
            elif one.spread == "normal":
                found[f"{step.name}/{one.name}"] = one.value + u * z
            elif one.spread == "logit":
                scale = u / (one.value * (1 - one.value))
                logit = np.log(one.value / (1 - one.value)) + scale * z
                found[f"{step.name}/{one.name}"] = 1 / (1 + np.exp(-logit))
    return found


def test_every_way_is_offered():
    assert tuple(one.name for one in starters()) == WAYS


@pytest.mark.parametrize("name", WAYS)
def test_a_starter_says_what_it_is_for(name):
    one = starter(name)

    assert one.says.endswith(".")
    assert one.suits_plants
    assert one.apparatus
    assert one.days >= 1
    assert set(one.cautions) <= set(cautions())
    assert one.groups("holds")


@pytest.mark.parametrize("name", WAYS)
def test_every_step_of_a_starter_is_of_a_kind_with_all_its_cautions(name):
    takes = [line.substance for line in starter(name).procedure.lines]
    for step in starter(name).procedure.steps:
        kind = kind_of(step)
        needed = set(kind.cautions) - (set(OF_SPIRIT) if only_stays(takes) else set())

        assert needed <= set(step.cautions), f"{step.name} leaves out a caution"
        assert set(step.weighs) <= {*step.takes, *step.gives}
        assert len(step.ticks) <= 3


@pytest.mark.parametrize("name", WAYS)
def test_every_assumed_setting_of_a_starter_names_its_range_or_its_reason(name):
    for step in starter(name).procedure.steps:
        for one in step.settings:
            assert one.because, f"{step.name}/{one.name}"
            assert (one.origin == "chosen") <= (one.spread == "fixed")
            if one.because.startswith("parameter_ranges,"):
                key = one.because.removeprefix("parameter_ranges,").split(":")[0].strip()
                limits = row("parameter_ranges", key)
                scale = 100.0 if limits.words("unit").startswith("%") else 1.0

                assert limits.number("low") <= scale * one.value <= limits.number("high"), one.name


@pytest.mark.parametrize("name", WAYS)
def test_a_starter_ends_with_a_sample_set_aside_for_the_assay(name):
    last = starter(name).procedure.steps[-1]

    assert last.kind == "set aside"
    assert "sample" in last.gives


@pytest.mark.parametrize(("name", "plant", "marker"), COPIES)
def test_a_copy_has_no_blanks_and_reads_back_as_itself(name, plant, marker):
    made = copy_starter(name, plant, marker, "my-extract")
    text = procedure_to_yaml(made)

    assert "{" not in text.replace("{name", "")
    assert procedure_from_yaml(text, "copy.yaml") == made
    assert made.code == "my-extract"
    assert made.version == 1
    assert made.markers == (marker_nature(marker).name,)
    assert next(one for one in made.lines if one.name == made.scaled_by).substance == plant


@pytest.mark.parametrize(("name", "plant", "marker"), COPIES)
def test_a_copy_runs_and_closes_in_every_draw(name, plant, marker):
    made, draws = copy_starter(name, plant, marker, "my-extract"), 256
    account = run(
        made, {"plant": plant_feed(plant, marker, draws), **SHELF}, drawn(made, draws), 250.0, draws
    )
    came_in = sum(account.from_shelf.values())
    lost = sum(grams for step in account.steps for grams in step.losses.values())
    there = came_in[MARKER]
    product = account.outs[made.steps[-1].gives[0]]
    sample = account.outs["sample"]

    assert whole_mass(came_in) == pytest.approx(
        whole_mass(lost) + whole_mass(sum(account.outs.values())), rel=1e-9
    )
    assert (product[MARKER] > 0).all()
    assert (product[MARKER] + sample[MARKER] < there).all()
    assert np.median((product + sample)[MARKER] / there) > 0.3


@pytest.mark.parametrize(("name", "plant", "marker"), COPIES)
def test_a_copy_says_how_long_it_takes(name, plant, marker):
    made = copy_starter(name, plant, marker, "my-extract")
    account = run(made, {"plant": plant_feed(plant, marker, 2), **SHELF}, {}, 250.0, 2, with_work=True)
    minutes = sum(np.max(one.work.hands_min + one.work.watch_min) for one in account.steps)

    assert 60 < minutes < 24 * 60


def test_the_yield_of_a_maceration_is_that_of_a_calculation_by_hand():
    # Plain floats, one after another: 250 g of leaf at 8 % of water, 2 % of marker dried, spirit of 60 % v/v.
    made = copy_starter("maceration", "rosemary leaf", "rosmarinic acid", "my-extract")
    feed = Feed({"water": 0.08, "marker": 0.0184, "other extractables": 0.23, "plant solids": 0.6716})
    account = run(made, {"plant": feed, **SHELF}, {}, 250.0, 1)
    dry_g, marker_g = 250.0 * 0.92, 250.0 * 0.0184
    poured_g, ethanol_share = 2500.0 * 0.90911, 0.52086  # 60 % v/v: 909.11 kg/m3, 52.09 % w/w (OIML R 22)
    water_g = poured_g * (1 - ethanol_share) + 20.0
    ethanol_g = poured_g * ethanol_share * 0.998
    # about 0.9125 g/mL for the slightly weaker liquid; at rest after a week: marker shared with 0.3 mL/g of plant
    liquid_ml = (water_g + ethanol_g) / 0.9125
    dissolved = liquid_ml / (liquid_ml + 0.3 * dry_g) * (1 - 0.5 * 2.718281828 ** (-7 * 24 / 18))
    drained = dissolved * (1 - 1.6 * dry_g / liquid_ml)
    pressed = drained * (0.6 * dry_g) / (liquid_ml - 1.6 * dry_g) * 0.97

    found = float(account.given("tincture")[MARKER][0])
    assert found == pytest.approx(marker_g * 0.92 * (drained + pressed), rel=2e-3)


def test_a_prohibited_plant_is_refused_before_anything_is_bought():
    with pytest.raises(NotAllowed, match="may not be received"):
        copy_starter("maceration", "Aconitum napellus", "total alkaloids", "a")


@pytest.mark.parametrize("marker", ["berberine", "sanguinarine", "palmatine"])
def test_a_charge_that_never_leaves_cannot_be_shaken_out(marker):
    with pytest.raises(NotAllowed, match=r"charge at every pH.*Instead: maceration.*1-butanol"):
        copy_starter("alkaloid-clean-up", "barberry bark", marker, "a")


@pytest.mark.parametrize("marker", ["caffeine", "piperine", "theobromine", "colchicine"])
def test_what_is_hardly_a_base_is_not_cleaned_up_by_raising_the_ph(marker):
    with pytest.raises(NotAllowed, match="hardly a base"):
        copy_starter("alkaloid-clean-up", "coffee seed", marker, "a")


@pytest.mark.parametrize("marker", ["rosmarinic acid", "quinine", "escin", "mucilage", "betulin"])
def test_only_what_is_volatile_is_distilled_with_water(marker):
    with pytest.raises(NotAllowed, match="does not go over with steam"):
        copy_starter("hydrodistillation", "rosemary leaf", marker, "a")


@pytest.mark.parametrize(("name", "marker"), [("soxhlet", "carnosic acid"), ("infusion", "EGCG")])
def test_heat_on_what_heat_harms_is_a_warning_and_a_larger_loss(name, marker):
    holding, made = holds_for(name, marker), copy_starter(name, "green tea leaf", marker, "a")
    blank = starter(name).procedure.steps[0]

    assert holding.verdict == "warned"
    assert "loses by heat" in made.notes
    lost = [one.value for one in made.steps[0].settings if one.name == "broken_down_share"]
    assert lost > [one.value for one in blank.settings if one.name == "broken_down_share"]


@pytest.mark.parametrize("marker", ["curcumin", "resveratrol", "luteolin", "piperine"])
def test_water_for_what_hardly_dissolves_in_it_is_a_warning(marker):
    holding = holds_for("infusion", marker)

    assert holding.verdict == "warned"
    assert "hardly dissolves in water" in holding.why


def test_an_unknown_marker_is_not_refused():
    holding = holds_for("maceration", "unobtainine")
    made = copy_starter("maceration", "rosemary leaf", "unobtainine", "a")

    assert holding.verdict == "unknown"
    assert "Nothing is known here about unobtainine" in made.notes
    assert made.markers == ("unobtainine",)


def test_a_misspelt_marker_is_asked_about():
    assert "Did you mean rosmarinic acid" in holds_for("maceration", "rosmarinc acid").why


def test_a_clean_up_takes_the_pka_of_its_own_marker():
    def pka(marker):
        made = copy_starter("alkaloid-clean-up", "cinchona bark", marker, "a")
        return next(one for one in made.step("shake out").settings if one.name == "pka")

    assert pka("cinchonine").value == pytest.approx(8.3)
    assert pka("cinchonine").because == "markers, cinchonine"
    assert pka("total alkaloids").origin == "assumed"


def test_distilling_the_whole_oil_takes_hardly_anything_else_over():
    whole = copy_starter("hydrodistillation", "thyme herb", "essential oil", "a")
    one = copy_starter("hydrodistillation", "thyme herb", "thymol", "b")
    shares = [
        next(setting.value for setting in made.steps[0].settings if setting.name == "others_volatile_share")
        for made in (whole, one)
    ]

    assert shares[0] < 0.01 < shares[1]


def test_an_unknown_way_offers_the_nearest():
    with pytest.raises(UnknownName, match="percolation"):
        starter("percolaton")


@pytest.mark.parametrize(("plant", "marker"), [("", "quinine"), ("cinchona bark", "  ")])
def test_a_copy_needs_a_plant_and_a_marker(plant, marker):
    with pytest.raises(BadEntry, match="A copy is made for a"):
        copy_starter("maceration", plant, marker, "a")


def test_every_group_of_markers_has_a_verdict_for_every_way():
    groups = {one.words("marker_group") for name in ("markers", "marker_groups") for one in table(name).rows}
    pairs = {(one.words("way"), one.words("marker_group")) for one in table("way_markers").rows}

    assert {(way, group) for way in WAYS for group in groups} <= pairs


def test_what_is_refused_says_what_to_take_instead():
    for one in table("way_markers").rows:
        if one.words("verdict") == "refused":
            assert one.words("instead"), one.key


@pytest.mark.parametrize("percent", [30, 50, 60, 70, 80, 96])
def test_the_soxhlet_is_planned_with_spirit_of_every_strength(percent):
    fraction = spirit_mass_fraction(percent / 100)
    density = spirit_density_kg_m3(fraction, 20.0) / 1000.0
    made = copy_starter("soxhlet", "turmeric rhizome", "curcumin", "a")
    shelf = {**SHELF, "spirit": Feed({"ethanol": fraction, "water": 1 - fraction}, density)}
    account = run(made, {"plant": plant_feed("turmeric rhizome", "curcumin", 2), **shelf}, {}, 100.0, 2)
    marc = account.given("wet marc")
    held = marc[ETHANOL] / (marc[ETHANOL] + marc[WATER])

    assert (account.outs["extract"][MARKER] > 0).all()
    assert (held > fraction).all() or percent > 90


def test_most_of_the_spirit_is_got_back():
    made = copy_starter("percolation", "willow bark", "salicin", "a")
    account = run(made, {"plant": plant_feed("willow bark", "salicin", 2), **SHELF}, {}, 250.0, 2)
    bought = account.from_shelf["stock spirit"][ETHANOL]

    assert (account.outs["recovered spirit"][ETHANOL] / bought > 0.8).all()
    assert (account.outs["extract"][OTHERS] > 0).all()
