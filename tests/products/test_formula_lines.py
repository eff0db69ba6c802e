"""What is said of a formula holds whatever it is called, however it is split, and at every size."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from stillroom.products.check_lines import gravest
from stillroom.products.claims import claim_lines
from stillroom.products.formula_facts import Carried, FormulaFacts, Share
from stillroom.products.formula_lines import formula_lines, names_for_label
from stillroom.products.kinds import KINDS_OF_PRODUCT, kind_of_product
from stillroom.products.limit_rules import bounds_of, rules
from stillroom.reference.tables import row, table
from stillroom.substances.regulated import OF_THE_ALCOHOL, counted_as, regulated, regulated_row

SALTS = [
    one.key
    for one in table("regulated_substances").rows
    if one["parent"] != one.key and one["molar_mass_g_mol"]
    and not one["holds_percent"] and len(regulated(one.key)) == 1
    and one["parent"] in {key for rule in rules() for key in rule.counts if rule.as_what == key}
]  # fmt: skip
KINDS = st.sampled_from(KINDS_OF_PRODUCT)
PERCENT = st.floats(0.0005, 20.0)


def _standings(*shares: Share, kind: str = "hair leave-on", ph: float = 4.0) -> dict[str, str]:
    return {one.key: one.standing for one in formula_lines(FormulaFacts(shares, kind, ph=ph))}


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(SALTS), PERCENT, KINDS)
def test_a_salt_gets_the_verdict_of_its_parent_at_the_same_amount(salt, percent, kind):
    parent = regulated_row(salt).parent
    assume(parent != "benzoic acid")  # its salts have an entry of their own beside it (Annex V, 1a)
    factor, _ = counted_as(regulated_row(salt), parent)
    as_salt = _standings(Share(salt, percent), kind=kind)
    as_parent = _standings(Share(parent, percent * factor), kind=kind)

    assert as_salt.get(f"ceiling/{parent}") == as_parent.get(f"ceiling/{parent}")


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(table("regulated_substances").rows), PERCENT, KINDS, st.floats(0.1, 0.9))
def test_an_amount_in_two_lines_is_the_amount_in_one(one, percent, kind, split):
    whole = _standings(Share(one.key, percent), kind=kind)
    parted = _standings(
        Share(one.key, percent * split), Share(f"{one.key} ", percent * (1 - split)), kind=kind
    )

    assert {key: at for key, at in whole.items() if key.startswith("ceiling/")} == {
        key: at for key, at in parted.items() if key.startswith("ceiling/")
    }


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(table("regulated_substances").rows), PERCENT, KINDS, st.floats(0.01, 1.0))
def test_less_of_it_is_never_graver(one, percent, kind, part):
    gravity = ("within", "cannot be seen here", "undecided", "over")
    more, less = (_standings(Share(one.key, share), kind=kind) for share in (percent, percent * part))

    for key in less:
        if key.startswith(("ceiling/", "allergen/")):
            assert gravity.index(less[key]) <= gravity.index(more[key]), key


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(table("regulated_substances").rows), PERCENT, KINDS, st.floats(5.0, 95.0))
def test_a_strength_in_the_name_is_the_same_amount(one, percent, kind, strength):
    assume(one["holds_percent"] is None and round(strength, 1) != percent)
    pure = _standings(Share(one.key, percent * round(strength, 1) / 100), kind=kind)
    solution = _standings(Share(f"{one.key} {strength:.1f} %", percent), kind=kind)

    assert {key: at for key, at in pure.items() if key.startswith("ceiling/")} == {
        key: at for key, at in solution.items() if key.startswith("ceiling/")
    }


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(
        [
            one
            for one in rules()
            if one.is_law and len(one.counts) == 1 and one.as_what != OF_THE_ALCOHOL
            and not (one.prohibits or one.purpose or one.also)
        ]
    ),
    KINDS,
)  # fmt: skip
def test_at_its_figure_a_rule_is_within_and_just_over_it_is_not(rule, kind):
    key, found = rule.counts[0], bounds_of(rule, kind_of_product(kind))
    figures = {one.percent for one in found}
    assume(len(figures) == 1 and None not in figures)
    (most,) = figures
    factor = counted_as(regulated_row(key), rule.as_what)[1]
    lowest, highest = (found[0].row[end] if found[0].row else None for end in ("ph_low", "ph_high"))
    ph = (
        max(4.0, float(lowest or 0.0))
        if highest is None
        else min(max(4.0, float(lowest or 0.0)), float(highest))
    )
    standing = {
        at: _standings(Share(key, most * at / factor), kind=kind, ph=ph)[f"ceiling/{key}"]
        for at in (0.999999, 1.001)
    }

    assert standing[0.999999] in ("within", "cannot be seen here", "undecided")
    assert standing[1.001] == "over"


def test_every_row_of_the_law_is_read_for_some_kind_of_product_or_replaced():
    uses = kind_of_product("").uses
    read = {
        bound.row.key
        for rule in rules()
        for kind in uses
        for bound in bounds_of(rule, kind_of_product(kind.name))
    }
    plants = {one["limit_row"] for one in table("plants").rows}

    assert {
        one.key for one in table("limits_eu").rows if not one["replaced_by"] and one.key not in read | plants
    } == set()


@pytest.mark.parametrize(
    ("substance", "kind", "once_lawful", "later"),
    [
        ("o-phenylphenol", "face cream", 0.2, "eu-2018-1847"),
        ("polyaminopropyl biguanide", "face cream", 0.3, "eu-2019-831"),
        ("climbazole", "face cream", 0.5, "eu-2019-698"),
        ("zinc pyrithione", "shampoo", 1.0, "eu-2021-1902"),
    ],
)
def test_a_later_law_is_weighed_in_place_of_the_row_it_changed(substance, kind, once_lawful, later):
    # the figure of the row in force before stands in the 2015 export of the annexes (second-hand)
    lines = formula_lines(
        FormulaFacts((Share(substance, once_lawful),), kind, purposes={substance: "preservative"})
    )
    (ceiling,) = [one for one in lines if one.key == f"ceiling/{substance}"]

    assert ceiling.standing == "over"
    assert ceiling.source == later


@pytest.mark.parametrize("kind", ["Hair leave on", "HAIR LEAVE-ON", "leave-on, hair", "hair (leave-on)"])
def test_a_kind_of_product_is_one_however_it_is_written(kind):
    assert kind_of_product(kind).uses == kind_of_product("hair leave-on").uses


def test_a_kind_that_nobody_knows_is_asked_about():
    lines = formula_lines(FormulaFacts((Share("jojoba oil", 100.0),), "pet care"))

    assert {one.key: one.standing for one in lines}["kind"] == "undecided"


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(
        [
            one
            for one in table("limits_eu").rows
            if one["annex"] == "V" and one["max_mass_percent"] and not one["as_what"]
        ]
    )
)
def test_an_amount_and_a_figure_that_differ_are_printed_apart(one):
    most = one.number("max_mass_percent")
    lines = formula_lines(FormulaFacts((Share(one.words("counts").split(";")[0], most * 1.0004),), "shampoo"))
    told = [line.says for line in lines if line.standing == "over" and line.key.startswith("ceiling/")]

    assert all(f": {most:g} % of the product" not in says for says in told)


@pytest.mark.parametrize(
    "words",
    [
        "stops hair loss", "hair REGROWTH", "regrows your hair", "regrowing hair", "prevents hair-loss", "heals eczema",
        "healing balm", "healed wounds", "antibacterial", "Anti-bacterial wash", "kills bacteria",
        "a cure for psoriasis",
        "curative", "therapeutic oil", "relieves pain", "painkiller", "anti-inflammatory", "against inflammation",
        "grows new hair", "cures baldness", "regenerates cells", "treats dermatitis", "disinfecting gel", "medicated",
    ],
)  # fmt: skip
def test_a_claim_of_a_medicine_stops_in_every_form_of_its_word(words):
    lines = claim_lines({"name": words})

    assert "over" in {one.standing for one in lines}
    assert all(one.close for one in lines)


@pytest.mark.parametrize(
    "words",
    ["for healthy looking hair", "Hair tonic", "a soft cream for hands", "painted bottle", "fresh scent of rosemary",
     "Shampoo for every day", "leaves the skin feeling smooth", "Manicure oil", "scalp care", "Cucumber face mist"],
)  # fmt: skip
def test_words_of_look_and_feel_are_left_alone(words):
    assert claim_lines({"name": words}) == ()


def test_a_claim_that_is_denied_is_asked_about_and_does_not_stop():
    (line,) = claim_lines({"label": "It does not cure anything"})

    assert line.standing == "undecided"


def test_an_analysis_of_the_lot_takes_the_place_of_what_oils_usually_hold():
    # Regulation 1223/2009: 0.001 % in what stays on; 0.5 % of an oil that holds 0.1 % of linalool is 0.0005 %.
    carried = (Carried("linalool", 0.1, 0.1, "certificate"),)
    lines = formula_lines(
        FormulaFacts((Share("lavender oil", 0.5, carries=carried, whole=True),), "body lotion")
    )

    assert not [one for one in lines if one.key.startswith("allergen/")]


def test_what_the_label_must_name_is_told_and_then_within():
    facts = FormulaFacts((Share("jojoba oil", 99.5), Share("lavender oil", 0.5)), "body lotion")
    named = names_for_label(facts)

    assert {"Linalool", "Linalyl Acetate"} <= set(named)
    assert gravest(formula_lines(facts)) == "over"
    assert gravest(formula_lines(replace(facts, on_label=named))) == "cannot be seen here"


def test_what_is_rinsed_off_names_allergens_from_ten_times_more():
    # 0.001 % and 0.01 %: Annex III of Regulation 1223/2009 (second-hand).
    one = row("allergens", "Linalool")

    assert (one["leave_on_percent"], one["rinse_off_percent"]) == (0.001, 0.01)
    for kind, named in (("body lotion", True), ("shower gel", False)):
        facts = FormulaFacts((Share("linalool", 0.005),), kind)
        assert bool(names_for_label(facts)) is named


@pytest.mark.parametrize(("ph", "standing"), [(4.8, "within"), (6.8, "over"), (None, "undecided")])
def test_a_preservative_acid_needs_its_ph(ph, standing):
    # Free benzoic acid by pKa 4.20 (an open textbook table, second-hand): 20 % at pH 4.8, 0.25 % at pH 6.8.
    shares = (Share("water", 99.6), Share("sodium benzoate", 0.4))
    lines = formula_lines(FormulaFacts(shares, "hair leave-on", ph=ph))

    assert {one.key: one.standing for one in lines}["ph/benzoic acid"] == standing


@pytest.mark.parametrize(("spirit", "standing"), [(40.0, "within"), (10.0, "undecided"), (0.0, "undecided")])
def test_water_keeps_by_spirit_above_twenty_per_cent_or_is_asked_about(spirit, standing):
    # ISO 29621: ethanol above 20 % is a low risk (second-hand).
    shares = (Share("water", 100.0 - spirit), Share("spirit 96 %", spirit))
    lines = formula_lines(FormulaFacts(tuple(one for one in shares if one.percent), "hair leave-on"))

    assert {one.key: one.standing for one in lines}["preservation"] == standing


@pytest.mark.parametrize("name", ["sea holly hydrosol", "Eryngium Maritimum Flower Water", "birch juice"])
def test_what_its_name_calls_a_water_is_asked_what_keeps_it(name):
    bare = _standings(Share(name, 98.0), Share("glycerin", 2.0))
    kept = _standings(Share(name, 97.6), Share("glycerin", 2.0), Share("sodium benzoate", 0.4), ph=6.8)

    assert bare["preservation"] == "undecided"
    assert kept["ph/benzoic acid"] == "over"


@pytest.mark.parametrize("name", ["sunflower oil", "water lily wax"])
def test_what_only_begins_with_water_or_is_oil_is_not_asked_what_keeps_it(name):
    assert "preservation" not in _standings(Share(name, 98.0), Share("beeswax", 2.0))


def test_in_another_market_a_row_is_told_as_what_it_is_and_stops_nothing():
    facts = FormulaFacts(
        (Share("water", 97.0), Share("phenoxyethanol", 3.0)), "face cream", market="elsewhere"
    )
    lines = {one.key: one for one in formula_lines(facts)}

    assert lines["ceiling/phenoxyethanol"].standing == "undecided"
    assert "rule of EU" in lines["ceiling/phenoxyethanol"].says


def test_every_line_says_what_to_do_where_it_stops_or_asks():
    shares = tuple(
        Share(one, 3.0)
        for one in ("formaldehyde 37 %", "parfum", "moonwort", "belladonna", "retinol", "water")
    )
    lines = formula_lines(FormulaFacts(shares, "skin leave-on", words={"name": "heals acne"}))

    assert all(one.close for one in lines if one.stops or one.needs_a_name)
    assert len({one.key for one in lines}) == len(lines)


def test_one_certified_content_does_not_tell_what_else_is_in_something_bought():
    for name, key in (
        ("moonwort essence", "unknown/moonwort essence"),
        ("Parfum", "allergen/parfum"),
    ):
        told = Share(name, 2.0, carries=(Carried("panthenol", 3.0, 3.0),), bought=True)
        lines = formula_lines(FormulaFacts((Share("sunflower oil", 98.0), told), "body lotion"))

        assert next(one for one in lines if one.key == key).standing == "undecided"


PRESERVED = (Share("water", 99.5), Share("sodium benzoate", 0.5))


@given(st.floats(3.0, 8.0), st.floats(0.0, 1.0))
def test_a_ph_decides_for_a_preservative_only_where_its_whole_doubt_lies_on_one_side(ph, apart):
    # benzoic acid acts up to pH 5 or so (table preservative_bands, from memory)
    lines = formula_lines(
        FormulaFacts(PRESERVED, "hair rinse-off", ph=round(ph, 2), ph_apart=round(apart, 2))
    )
    found = next(one for one in lines if one.key == "ph/benzoic acid")
    low, high = round(round(ph, 2) - round(apart, 2), 4), round(round(ph, 2) + round(apart, 2), 4)

    assert found.standing == ("within" if high <= 5.0 else "over" if low > 5.0 else "undecided")


@pytest.mark.parametrize(
    ("ph", "apart", "standing"),
    [(4.6, 0.5, "undecided"), (4.5, 0.5, "within"), (5.4, 0.5, "undecided"), (5.6, 0.5, "over")],
)
def test_a_strip_of_4_6_does_not_clear_a_preservative_that_acts_up_to_5(ph, apart, standing):
    lines = formula_lines(FormulaFacts(PRESERVED, "hair rinse-off", ph=ph, ph_apart=apart))
    found = next(one for one in lines if one.key == "ph/benzoic acid")

    assert found.standing == standing
    assert f"{ph:g} ± 0.5" in found.says


BANDED = [one for one in table("limits_eu").rows if one["ph_low"] or one["ph_high"]]


@pytest.mark.parametrize("banded", BANDED, ids=lambda one: one.key)
@given(ph=st.floats(0.5, 13.5), apart=st.floats(0.0, 1.0))
def test_a_rule_with_two_ends_is_undecided_where_the_doubt_crosses_either(banded, ph, apart):
    low, high, ph, apart = banded["ph_low"] or 0.0, banded["ph_high"] or 14.0, round(ph, 1), round(apart, 1)
    found = FormulaFacts((), "hair leave-on", ph=ph, ph_apart=apart).ph_stands(low, high)
    lowest, highest = round(ph - apart, 3), round(ph + apart, 3)

    assert (found == "inside") == (low <= lowest and highest <= high)
    assert (found == "outside") == (highest < low or lowest > high)


@pytest.mark.parametrize(
    ("ph", "says"), [(5.6, "at most 2.5 %"), (5.2, "does not decide it"), (4.2, "asks for a pH from 5 to")]
)
def test_the_lower_end_of_a_band_decides_too(ph, says):
    # Lactic acid is advised at pH 5.0 or above (advice, row L089, from memory): below it a person decides.
    shares = (Share("water", 97.0), Share("lactic acid", 2.2), Share("phenoxyethanol", 0.8))
    lines = formula_lines(FormulaFacts(shares, "face cream", ph=ph, ph_apart=0.5))
    (found,) = [one for one in lines if one.key == "advice/lactic acid"]

    assert says in found.says
    assert found.standing == ("within" if ph == 5.6 else "undecided")


def _line(key, *shares, kind="face cream", **words):
    facts = FormulaFacts((Share("water", 95.0), *(Share(name, 0.4) for name in shares)), kind, words=words)
    return next((one for one in formula_lines(facts) if one.key == key), None)


AGENTS = ("bronopol", "2-Bromo-2-Nitropropane-1,3-Diol", "5-bromo-5-nitro-1,3-dioxane", "sodium nitrite")
AMINES = (
    "triethanolamine",
    "TEA",
    "Trolamine",
    "TEA-salicylate",
    "MEA-benzoate",
    "cocamide DEA",
    "triethanolamine 85 %",
)


@pytest.mark.parametrize("agent", AGENTS)
@pytest.mark.parametrize("amine", AMINES)
def test_an_amine_beside_what_gives_off_nitrite_is_over(agent, amine):
    # Annex III, entries 60 to 62: not with nitrosating systems (an export of the annexes, second-hand and recalled).
    found = _line("nitrosamines", amine, agent)

    assert found.standing == "over"
    assert found.source == "cosing-2015"
    assert _line("nitrosamines", amine) is None
    assert _line("nitrosamines", agent) is None


def test_what_holds_amines_as_traces_is_decided_by_name_and_tea_is_a_plant():
    assert _line("nitrosamines", "cocamidopropyl betaine", "bronopol").standing == "undecided"
    for plant in ("tea extract", "green tea extract", "Tea-tree oil", "TEA-TREE OIL", "niacinamide"):
        assert _line("nitrosamines", plant, "bronopol") is None


SPRAYED = [(one.key, {}) for one in table("product_kinds").rows if "spray" in one.words("tags").split()]
SAID = [
    ("hair tonic", {"name": word})
    for word in ("Rosemary mist", "Hair Spray", "tonic, sprayed on", "AEROSOL tonic")
]


@pytest.mark.parametrize(("kind", "words"), [*SPRAYED, *SAID])
def test_whatever_is_sprayed_waits_for_a_named_decision_about_what_is_breathed_in(kind, words):
    # SCCS/1539/14: a propellant spray and a pump spray alike may give drops that are breathed in (second-hand).
    found = _line("inhalation", "phenoxyethanol", kind=kind, **words)

    assert found.standing == "undecided"
    assert found.source == "sccs-1539-14"


@pytest.mark.parametrize("kind", ["hair tonic", "face cream", "shampoo", "deodorant"])
def test_what_is_not_sprayed_is_not_asked_about(kind):
    assert _line("inhalation", "phenoxyethanol", kind=kind) is None
    assert _line("inhalation", "phenoxyethanol", kind=kind, label="Do not spray near a flame.") is None


def test_a_tonic_that_its_name_calls_a_mist_is_held_to_the_rules_of_sprays():
    # Annex V, entry 58 (row L042): not in sprays.
    key = "ceiling/ethyl lauroyl arginate HCl"

    assert _line(key, "ethyl lauroyl arginate HCl", kind="hair tonic").standing != "over"
    assert (
        _line(key, "ethyl lauroyl arginate HCl", kind="hair tonic", name="Rosemary mist").standing == "over"
    )


@pytest.mark.parametrize(
    ("ph", "says"), [(4.6, "is usual."), (5.0, "does not decide it."), (7.5, "it needs pH 5 or lower.")]
)
def test_a_line_about_a_preservative_acid_says_a_sentence(ph: float, says: str) -> None:
    lines = formula_lines(FormulaFacts(PRESERVED, "hair rinse-off", ph=ph, ph_apart=0.05))

    (line,) = [one for one in lines if one.key == "ph/benzoic acid"]
    assert line.says.startswith("Benzoic acid")
    assert says in line.says
