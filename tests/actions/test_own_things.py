"""A marker, plant or ingredient of one's own serves titration, plan, dose and label like those of the tables."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.book.results_kept import assay_for
from stillroom.actions.correcting.entries import correct_reading
from stillroom.actions.house.equipment_and_people import add_apparatus
from stillroom.actions.house.own_things import state, state_fields
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.releasing.certifying import _name_for_label
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.actions.testing.titrant_factors import factor_titrant
from stillroom.actions.testing.titration import titrate
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed, UnknownName
from stillroom.pages.own_things import show_own
from stillroom.planning.plant_knowledge import typical
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.order_from_yaml import stated_strength
from stillroom.records.own_from_yaml import KEYS, own_from_fields, own_to_fields
from stillroom.records.people import Apparatus, Person
from stillroom.records.procedures import Line
from stillroom.substances.acids import protolyte
from stillroom.substances.ingredients import ingredient, same_substance
from stillroom.substances.markers import charge_of, marker_key, molar_mass, usual_compound
from stillroom.substances.own import (
    CHARGES,
    Own,
    OwnContent,
    OwnIngredient,
    OwnMarker,
    OwnPlant,
    Stated,
    by_names,
    knowing,
)
from stillroom.substances.plants import plant_rule
from tests.practice import noon

CONESSINE = {
    "marker": "conessine",
    "molar mass": "356.59 g/mol",
    "charge": "base",
    "pka": "9.2",
    "equivalents": "2",
}
BARK = {"plant": "holarrhena bark", "latin name": "Holarrhena pubescens", "holds": "conessine 0.3 to 1.2 %"}


@pytest.fixture
def lab(tmp_path: Path) -> Iterator[Laboratory]:
    """A laboratory of a stranger: nothing in it but a scale, a burette and an acid whose factor is known."""
    with begin_laboratory(
        tmp_path / "own", "A stranger's laboratory", Person("AB", "Ada Bern", may_release=True), clock=noon
    ) as lab:
        add_apparatus(lab, Apparatus("SCALE-1", "scale", "balance", 0.0001, "g", 0.0002), by="AB")
        add_apparatus(lab, Apparatus("BUR-1", "burette", "burette", 0.05, "mL", 0.02), by="AB")
        for code, substance in (("HCL-01", "hydrochloric acid"), ("NAOH-01", "sodium hydroxide")):
            receive_lot(
                lab, Lot(code, LotKind.REAGENT, substance, "titrant", supplier="own"), "1 kg", by="AB"
            )
            factor_titrant(
                lab,
                code,
                strength="0.0200 mol/L",
                factor="1.000",
                factor_standard_uncertainty="0.001",
                by="AB",
            )
            release(lab, code, meaning="factor set", by="AB")
        receive_lot(
            lab, Lot("HOL-01", LotKind.PLANT, "holarrhena bark", "bark", supplier="a trader"), "1 kg", by="AB"
        )
        yield lab


def titrated(
    lab: Laboratory,
    lot: str = "HOL-01",
    titrant: str = "HCL-01",
    way: str = "direct",
    blank: str = "0.05 mL",
    second: str = "2.25 mL",
    note: str = "",
) -> tuple[str, ...]:
    portions = [("1.0000 g", "2.25 mL"), ("1.0000 g", second)]
    titrate(
        lab,
        lot,
        portions=portions,
        blank=blank,
        titrant=titrant,
        scale="SCALE-1",
        burette="BUR-1",
        way=way,
        note=note,
        by="AB",
    )
    with lab.look() as look:
        return tuple(f"{one.body.what}: {one.body.value:.4f}" for one in look.results(lot))


def test_a_lot_under_another_name_of_a_plant_of_ones_own_is_that_plant(lab: Laboratory) -> None:
    state_fields(lab, "plant", {**BARK, "also-called": "kurchi bark"}, by="AB")
    receive_lot(
        lab, Lot("HOL-02", LotKind.PLANT, "Kurchi bark", "Kurchi bark", supplier="a trader"), "1 kg", by="AB"
    )
    with lab.look() as look:
        assert (look.lot("HOL-02").substance, look.lot("HOL-02").name) == ("holarrhena bark", "Kurchi bark")
    copied = copy_procedure(lab, "maceration", "kurchi bark", "conessine", "kurchi", by="AB")
    with lab.look() as look:
        assert look.procedure("kurchi").lines[0].substance == "holarrhena bark", copied.says


def test_a_base_of_ones_own_is_titrated_with_acid_and_counted_by_its_equivalents(lab: Laboratory) -> None:
    state_fields(lab, "marker", CONESSINE, by="AB")
    state_fields(lab, "plant", BARK, by="AB")

    # By hand: 2.20 mL of 0.0200 mol/L are 0.0440 mmol; two for each conessine: 0.0220 mmol of 356.59 g/mol, 7.845 mg in
    # 1 g: 0.7845 %.
    assert "total alkaloids as conessine, as is: 0.7845" in titrated(lab)


@pytest.mark.parametrize(
    ("blank", "percent"), [("0.00 mL", "0.8023"), ("0 mL", "0.8023"), ("0.01 mL", "0.7988")]
)
def test_a_blank_of_nothing_is_a_blank_of_a_titration_too(lab: Laboratory, blank: str, percent: str) -> None:
    state_fields(lab, "marker", CONESSINE, by="AB")
    state_fields(lab, "plant", BARK, by="AB")

    # By hand: (2.25 - blank) mL of 0.0200 mol/L, two for each conessine of 356.59 g/mol, in 1 g.
    assert f"total alkaloids as conessine, as is: {percent}" in titrated(lab, blank=blank)


def test_a_titre_ten_times_too_large_gives_no_result_and_once_put_right_is_as_if_it_never_was(
    lab: Laboratory,
) -> None:
    state_fields(lab, "marker", CONESSINE, by="AB")
    state_fields(lab, "plant", BARK, by="AB")
    titrated(lab, second="2.31 mL")
    titrated(lab, second="23.1 mL", note="it showed so")
    with lab.look() as look:
        meant, slipped = look.results("HOL-01")
        (titre,) = [one for one in look.readings("HOL-01") if one.body.as_written == "23.1 mL"]
    correct_reading(lab, titre.entry_no, "2.31 mL", why="a point", by="AB")
    with lab.look() as look:
        put_right = look.results("HOL-01")[-1]

    assert meant.body.counts
    assert not slipped.body.counts
    assert slipped.body.because.startswith("It does not count. 2 portions: 0.784 to 8.219 %")
    assert put_right.body.counts
    assert put_right.body.because == meant.body.because
    for name in ("value", "standard_uncertainty", "coverage_factor"):
        assert getattr(put_right.body, name) == pytest.approx(getattr(meant.body, name), rel=1e-9)


def test_portions_that_fall_apart_no_more_than_a_titration_does_count(lab: Laboratory) -> None:
    state_fields(lab, "marker", CONESSINE, by="AB")
    state_fields(lab, "plant", BARK, by="AB")
    # The usual 2 % of a portion and 0.03 mL of 2.2 mL: by Student's t with 14 degrees of freedom two differ by more
    # than 14 % once in a thousand.
    for second, counts in (("2.40 mL", True), ("2.65 mL", False)):
        titrated(lab, second=second)
        with lab.look() as look:
            assert look.results("HOL-01")[-1].body.counts == counts


def test_without_a_marker_the_titration_says_where_to_enter_it(lab: Laboratory) -> None:
    with pytest.raises(BadEntry, match=r"with no marker. Enter the marker with its molar mass and charge"):
        titrated(lab)
    state_fields(lab, "plant", BARK, by="AB")
    with pytest.raises(BadEntry, match=r"with conessine. Enter the marker with its molar mass and charge"):
        titrated(lab)
    state_fields(lab, "marker", {"marker": "conessine", "charge": "base"}, by="AB")
    with pytest.raises(BadEntry, match="molar mass of conessine must be known"):
        titrated(lab)


def test_an_acid_is_titrated_with_alkali_and_never_with_acid(lab: Laboratory) -> None:
    state_fields(lab, "marker", {"marker": "an acid", "charge": "acid", "molar mass": "200"}, by="AB")
    state_fields(lab, "plant", {"plant": "holarrhena bark", "holds": "an acid"}, by="AB")

    with pytest.raises(BadEntry, match="Total acids are titrated direct with an alkali"):
        titrated(lab)
    # By hand: 0.0440 mmol of 200 g/mol in 1 g.
    assert "total acids as an acid, as is: 0.8800" in titrated(lab, titrant="NAOH-01")


@pytest.mark.parametrize("charge", ["permanent charge", "none"])
def test_what_carries_its_charge_always_or_never_is_not_titrated(lab: Laboratory, charge: str) -> None:
    state_fields(lab, "marker", CONESSINE | {"charge": charge}, by="AB")
    state_fields(lab, "plant", BARK, by="AB")

    with pytest.raises(BadEntry, match=f"conessine: {charge}. Enter the result of an outside laboratory"):
        titrated(lab)


def test_berberine_is_no_base_that_an_acid_could_titrate(lab: Laboratory) -> None:
    receive_lot(
        lab, Lot("BER-01", LotKind.PLANT, "barberry bark", "bark", supplier="a trader"), "1 kg", by="AB"
    )

    assert charge_of("berberine") == "permanent charge"
    with pytest.raises(BadEntry, match=r"berberine: permanent charge.*outside laboratory"):
        titrated(lab, "BER-01")


@pytest.mark.parametrize(
    ("name", "charge"),
    [("quinine", "base"), ("palmatine", "permanent charge"), ("rosmarinic acid", "acid"), ("thymol", "none"),
     ("limonene", "none"), ("caffeine", "none"), ("total alkaloids", "not known"), ("scopoletin", "not known")],
)  # fmt: skip
def test_what_a_marker_is_in_water_decides_how_it_is_titrated(name: str, charge: str) -> None:
    assert charge_of(name) == charge


@pytest.mark.parametrize(
    ("written", "of", "compound"),
    [
        ("0.100 % w/w rosmarinic acid", "rosmarinic acid", "rosmarinic acid"),
        ("0.1 % w/w berberine", "berberine", "berberine"),
        ("0.1 % w/w total phenols", "total phenols", "gallic acid"),
        ("0.1 % w/w faradiol esters", "faradiol esters", "faradiol esters"),
        ("0.1 % w/w something nobody lists", "something nobody lists", "something nobody lists"),
        ("0.1 % w/w total alkaloids as conessine", "total alkaloids", "conessine"),
    ],
)
def test_an_order_counts_one_compound_as_itself_and_a_group_as_usual(
    written: str, of: str, compound: str
) -> None:
    found = stated_strength(written)

    assert (found.of, found.reckoned_as) == (of, compound)


def test_only_alkaloids_together_ask_as_which_compound() -> None:
    with pytest.raises(BadEntry, match=r"'0.1 % w/w total alkaloids as quinine'"):
        stated_strength("0.1 % w/w total alkaloids")
    assert usual_compound("total alkaloids") == ""


def test_what_was_stated_is_found_by_every_name_and_nowhere_but_in_its_book(lab: Laboratory) -> None:
    state_fields(lab, "marker", CONESSINE | {"also called": "neriine\nwrightine"}, by="AB")
    state_fields(lab, "plant", BARK, by="AB")
    state(lab, OwnIngredient("ucuuba butter", "Virola Sebifera Seed Butter", ("virola butter",)), by="AB")

    with lab.look():
        assert marker_key("Wrightine") == "conessine"
        assert molar_mass("neriine").leaf.entry_no
        assert protolyte("conessine").pka == (9.2,)
        assert typical("Holarrhena pubescens", "conessine").content_percent == (0.3, 1.2)
        assert ingredient("Virola-butter").label_name == "Virola Sebifera Seed Butter"
        assert plant_rule("holarrhena bark").status == "no rule found"
    with knowing(Own):  # another book, with nothing in it
        assert marker_key("conessine") is None
        with pytest.raises(UnknownName, match="conessine"):
            molar_mass("conessine")


def test_the_last_one_stated_stands_and_the_page_shows_it(lab: Laboratory) -> None:
    first = state_fields(lab, "marker", CONESSINE, by="AB").entry_no
    second = state_fields(lab, "marker", CONESSINE | {"molar mass": "356.6"}, by="AB").entry_no
    page = page_text(show_own(lab))

    assert molar_mass("conessine").value == 356.6
    assert (f"entry {second}" in page, f"entry {first}" in page) == (True, False)


def test_nothing_stated_lifts_a_rule(lab: Laboratory) -> None:
    with pytest.raises(NotAllowed, match="aconite"):
        state_fields(lab, "plant", {"plant": "blue hood", "latin name": "Aconitum napellus"}, by="AB")
    with pytest.raises(BadEntry, match="phenoxyethanol is known here already, with its limits"):
        state_fields(
            lab, "ingredient", {"ingredient": "PE 9", "name on the label": "X", "cas": "122-99-6"}, by="AB"
        )
    # Berberine chloride, 371.8 g/mol, is no berberine (336.37, the cation).
    with pytest.raises(BadEntry, match=r"berberine has a molar mass of 336.37 g/mol"):
        state_fields(lab, "marker", {"marker": "berberine", "molar mass": "371.8"}, by="AB")


def test_a_formula_takes_an_ingredient_of_ones_own(lab: Laboratory) -> None:
    with pytest.raises(UnknownName, match="ucuuba butter"):
        ingredient("ucuuba butter")
    enter_text(
        lab, b"ingredient: ucuuba butter\nname on the label: Virola Sebifera Seed Butter\n", "m.yaml", by="AB"
    )

    assert ingredient("ucuuba butter").source.startswith("entry ")


def test_a_lot_under_another_name_of_an_ingredient_of_ones_own_is_that_ingredient(lab: Laboratory) -> None:
    state(lab, OwnIngredient("barley balm base", "Balm Base", also_called=("base B",)), by="AB")
    with lab.look():
        assert same_substance("Base B", "barley balm base")
        assert not same_substance("base C", "barley balm base")


def test_the_hydrosol_of_a_plant_of_ones_own_is_one_with_its_part_and_without(lab: Laboratory) -> None:
    for part in ("herb", "root"):
        state(lab, OwnPlant(f"wall germander {part}", part), by="AB")
    state(lab, OwnPlant("sea holly herb", "herb"), by="AB")
    with lab.look():
        assert same_substance("sea holly herb hydrosol", "sea holly hydrosol")
        assert not same_substance("sea holly herb hydrosol", "wall germander herb hydrosol")
        assert not same_substance("wall germander herb hydrosol", "wall germander hydrosol")
        assert not same_substance("sea holly herb oil", "sea holly oil")


def test_what_was_found_under_another_name_of_a_marker_counts_under_its_own(lab: Laboratory) -> None:
    state_fields(lab, "marker", {**CONESSINE, "also called": "wrightine"}, by="AB")
    enter_outside_result(
        lab, "HOL-01", marker="Wrightine", found="0.8 % w/w ± 0.1 (k = 2)", matter="as is",
        laboratory="an invented laboratory",
        certificate="C-1", method="HPLC", by="AB",
    )  # fmt: skip

    with lab.look() as look:
        assay = assay_for(look, "HOL-01", stated_strength("0.1 % w/w conessine", "aim"))
    assert assay is not None
    assert assay.body.what == "conessine, as is"


def test_an_extract_without_a_label_name_goes_by_the_name_of_its_lot_or_plant(told: Laboratory) -> None:
    line = Line("extract", "an extract nobody listed", role="dosed")
    with told.look() as look:
        assert _name_for_label(look, line, "E1") == look.lot("E1").name
    mine = OwnPlant("cinchona bark", label_name="An Invented Bark Extract")
    with told.look() as look, knowing(lambda: Own(plants=by_names({mine.name: (mine, Stated(1, ""))}))):
        assert _name_for_label(look, line, "E1") == "An Invented Bark Extract"


@pytest.mark.parametrize(
    ("kind", "key", "text", "says"),
    [
        ("marker", "molar mass", "5 g/mol", "from 10 to 100000 g/mol"),
        ("marker", "charge", "polar", "what a marker is in water"),
        ("marker", "cas", "92-61-6", "last digit checks the others"),
        ("marker", "equivalents", "0", "more than 0"),
        ("marker", "pka", "80", "from -3 to 16"),
        ("plant", "holds", "scopoletin 2 to 1 %", "scopoletin 0.002 to 0.01 %"),
        ("plant", "loss on drying", "108 %", "0 to below 100"),
        ("plant", "water takes out", "20 %", "lower and a higher end"),
        ("ingredient", "density", "900 g/mL", "0.3 to 20 g/mL"),
    ],
)
def test_what_cannot_be_is_told_at_its_field(kind: str, key: str, text: str, says: str) -> None:
    given = {kind: "x", "name on the label": "X"} if kind == "ingredient" else {kind: "x"}

    with pytest.raises((BadEntry, UnknownName), match=says) as told:
        own_from_fields(kind, given | {key: text})  # type: ignore[arg-type]

    assert told.value.where == key


NAME = st.text(st.characters(categories=("L",)), min_size=1, max_size=12)
OR_NOTHING = NAME | st.just("")
FIGURE = st.floats(0.001, 99.0).map(lambda one: float(f"{one:.6g}"))
ENDS = st.tuples(FIGURE, FIGURE).filter(lambda both: both[0] < both[1])
MARKERS = st.builds(
    OwnMarker,
    NAME,
    st.lists(NAME, max_size=2).map(tuple),
    st.none() | FIGURE.map(lambda one: one + 10.0).map(lambda one: float(f"{one:.6g}")),
    st.sampled_from(CHARGES),
    st.sampled_from([1.0, 2.0, 1.5]),
    st.lists(st.sampled_from([-1.0, 4.13, 8.52]), max_size=2).map(tuple),
    OR_NOTHING,
    st.sampled_from(["", "92-61-5", "130-95-0"]),
    OR_NOTHING,
    st.booleans(),
    st.booleans(),
    st.booleans(),
)
CONTENTS = st.builds(OwnContent, NAME) | st.tuples(NAME, ENDS).map(lambda one: OwnContent(one[0], *one[1]))
PLANTS = st.builds(
    OwnPlant,
    NAME,
    OR_NOTHING,
    OR_NOTHING,
    st.just(()),
    st.lists(CONTENTS, max_size=3).map(tuple),
    st.none() | FIGURE,
    st.none() | ENDS,
    st.none() | ENDS,
    OR_NOTHING,
    OR_NOTHING,
)
INGREDIENTS = st.builds(
    OwnIngredient, NAME, NAME, density_g_ml=st.none() | st.sampled_from([0.3, 0.915, 8.96])
)


@given(MARKERS | PLANTS | INGREDIENTS)
def test_what_stands_fills_its_form_and_comes_back_the_same(
    thing: OwnMarker | OwnPlant | OwnIngredient,
) -> None:
    fields = own_to_fields(thing)
    kind = next(iter(fields))

    assert set(fields) <= set(KEYS[kind])  # type: ignore[index]
    assert own_from_fields(kind, fields) == thing  # type: ignore[arg-type]
