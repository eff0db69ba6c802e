"""What is meant decides, not how it is written: another language, another script, a split line, a name of one's own."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.products.check_lines import gravest
from stillroom.products.claims import claim_lines, claims
from stillroom.products.formula_facts import Carried, FormulaFacts, Share
from stillroom.products.formula_lines import formula_lines
from stillroom.products.kinds import has_rules_here, kind_of_product
from stillroom.substances.own import Own, OwnIngredient, Stated, by_names, knowing
from stillroom.substances.regulated import names_of_regulated, regulated
from stillroom.substances.written_names import parts_of

LONG = tuple(one for one in names_of_regulated() if len(one) > 6)


def standing(*shares, kind="face cream", market="EU"):
    water = Share("sunflower oil", 100.0 - sum(one.percent for one in shares))
    return gravest(formula_lines(FormulaFacts((water, *shares), kind, market)))


def having(thing):
    return knowing(lambda: Own(ingredients=by_names({thing.name: (thing, Stated(1))})))


@given(st.sampled_from(LONG), st.data(), st.sampled_from("\u200b\u00ad\u2060\ufeff"))
def test_a_sign_nobody_sees_hides_no_substance(name, data, unseen):
    at = data.draw(st.integers(1, len(name) - 1))

    assert regulated(name[:at] + unseen + name[at:]) == regulated(name)


@given(st.sampled_from(LONG))
def test_letters_that_look_alike_hide_no_substance(name):
    assume_latin = name.isascii()
    looks = name.translate(str.maketrans("aeopc", "\u0430\u0435\u043e\u0440\u0441"))

    if assume_latin and any("a" <= sign <= "z" for sign in looks):
        assert regulated(looks) == regulated(name)


@pytest.mark.parametrize(
    ("written", "english"),
    [
        ("Natriumbenzoat", "sodium benzoate"),
        ("benzoate de sodium", "sodium benzoate"),
        ("benzoato di sodio", "sodium benzoate"),
        ("Sorbinsäure", "sorbic acid"),
        ("ácido salicílico", "salicylic acid"),
        ("Methylsalicylat", "methyl salicylate"),
        ("Retinylpalmitat", "retinyl palmitate"),
        ("Zinkpyrithion", "zinc pyrithione"),
        ("alcool benzylique", "benzyl alcohol"),
        ("Triethanolamin", "trialkanolamines"),
        ("Chlorhexidindigluconat", "chlorhexidine digluconate"),
        ("peroxyde d'hydrogène", "hydrogen peroxide"),
        ("Borsäure", "borates"),
    ],
)
def test_a_name_in_another_language_is_its_substance(written, english):
    (part,) = parts_of(written)

    assert {one.name for one in part.regulated} == {english}


@pytest.mark.parametrize(
    ("written", "english"),
    [
        ("Jojobaöl", "jojoba oil"),
        ("huile de jojoba", "jojoba oil"),
        ("beurre de karité", "shea butter"),
        ("Lavendelöl", "lavender oil"),
        ("huile essentielle de lavande", "lavender oil"),
        ("gomme xanthane", "xanthan gum"),
        ("Bergamottöl", "bergamot oil"),
        ("Sonnenblumenöl", "sunflower oil"),
        ("Bienenwachs", "beeswax"),
    ],
)
def test_an_ingredient_in_another_language_is_known(written, english):
    (part,) = parts_of(written)

    assert part.ingredient is not None
    assert part.ingredient.name == english


@given(st.lists(st.floats(0.05, 1.0), min_size=3, max_size=3))
def test_a_ceiling_is_not_dodged_over_three_lines(percents):
    names = ("phenoxyethanol", "2-Phenoxyethanol", "122-99-6")
    found = standing(*(Share(name, percent) for name, percent in zip(names, percents, strict=True)))

    assert (found == "over") == (sum(percents) > 1.0 * (1 + 1e-9)) or abs(sum(percents) - 1.0) < 1e-6


@pytest.mark.parametrize(
    "thing",
    [
        OwnIngredient("brightener 7", "Hydroquinone"),
        OwnIngredient("brightener 7", "Bright Seven", cas="123-31-9"),
        OwnIngredient("brightener 7", "Bright Seven", also_called=("Hydrochinon",)),
        OwnIngredient("Hydrochinon Lösung", "Solutio"),
        OwnIngredient("brightener 7", "hydroquinone powder"),
    ],
)
def test_an_ingredient_of_ones_own_keeps_the_rule_of_what_it_is(thing):
    with having(thing):
        assert standing(Share(thing.name, 2.0)) == "over"


def test_a_harmless_ingredient_of_ones_own_has_no_rule():
    with having(OwnIngredient("meadow water", "Filipendula Ulmaria Flower Water", cas="84775-57-5")):
        assert standing(Share("meadow water", 2.0)) in ("within", "cannot be seen here", "undecided")


@pytest.mark.parametrize("name", ["brightener 7", "glycerin"])
def test_a_line_is_also_what_its_label_says(name):
    assert standing(Share(name, 2.0, "Hydroquinone")) == "over"


@pytest.mark.parametrize(
    "market",
    [
        "Deutschland",
        "Allemagne",
        "Österreich",
        "Europe",
        "Germany and France",
        "DE",
        "Italia",
        "España",
        "EU27",
        "Europäische Union",
        "EU + UK",
        "Switzerland, Germany",
        "Schweden",
        "Pays-Bas",
        "D\u200beutschland",
    ],
)
def test_a_market_in_another_language_has_its_rules(market):
    assert has_rules_here(market)
    assert standing(Share("hydroquinone", 2.0), market=market) == "over"


@pytest.mark.parametrize("market", ["Switzerland", "UK", "US", "Japan", ""])
def test_a_market_whose_rules_are_not_held_is_told(market):
    assert not has_rules_here(market)


@pytest.mark.parametrize(
    ("written", "use"),
    [
        ("Gesichtscreme", "face cream"),
        ("Körperlotion", "body lotion"),
        ("lait corporel", "body lotion"),
        ("Shampooing", "shampoo"),
        ("Haarwasser", "hair tonic"),
        ("bain de bouche", "mouthwash"),
        ("Mundspülung", "mouthwash"),
        ("baume à lèvres", "lip balm"),
        ("Windelcreme", "nappy cream"),
        ("Duschgel", "shower gel"),
    ],
)
def test_a_kind_of_product_in_another_language_is_its_use(written, use):
    assert [one.name for one in kind_of_product(written).uses] == [use]


@pytest.mark.parametrize("written", ["Babycreme", "Kinder face cream", "crème visage bébé", "Kindershampoo"])
def test_a_child_in_another_language_is_a_child(written):
    assert "child" in kind_of_product(written).said


@pytest.mark.parametrize(
    "words",
    [
        "heals ecz\u200bema",
        "he\u00adals wounds",
        "ＨＥＡＬＳ it",
        "he\u0430ls wounds",
        "gegen Akne",
        "traite l'acné",
        "tötet Keime",
        "wundheilend",
        "antibakteriell",
        "entzündungshemmend",
        "favorise la repousse des cheveux",
        "schmerzlindernd",
        "combat les bactéries",
        "lutte contre la chute des cheveux",
        "lässt Haare wieder wachsen",
        "cura la psoriasi",
        "elimina los hongos",
        "peau atopique",
        "Fettverbrennende Lotion",
        "crème brûle-graisses",
    ],
)
def test_a_medicines_promise_is_read_in_any_writing(words):
    assert any(one.claim_is_of_a_medicine for one in claims(words))


@pytest.mark.parametrize(
    "words",
    [
        "Wheat germ oil cream",
        "Nourishes dry skin",
        "Pflegt trockene Haut",
        "Soin visage hydratant",
        "soigne les mains",
        "Traitement capillaire nourrissant",
        "cura del viso",
        "Weizenkeimöl",
        "Wundervoll weich",
        "Champignon extract",
        "Rich in plant fat",
    ],
)
def test_a_lawful_word_is_no_promise_of_a_medicine(words):
    assert not any(one.claim_is_of_a_medicine for one in claims(words))


FRENCH_BARS = (
    "Pain de savon au karité", "pain surgras à l'olive", "Savon en pain", "un pain de 100 g", "PAIN DERMATOLOGIQUE",
    "Chaque pain est coupé à la main", "Pain d'Alep", "shampooing en pain solide", "Deux fois par jour, le pain mousse",
    "pains moussants", "Pain pour le visage",
)  # fmt: skip
OF_PAIN = (
    "pain relief", "for pain", "muscle pain balm", "un pain relief", "no more pain", "pain-free", "le pain killer",
    "pain and stiffness", "eases pains", "back pain", "pain gel", "painkiller",
)  # fmt: skip


def test_a_french_bar_of_soap_promises_nothing_and_english_pain_beside_it_is_still_stopped():
    for bar in FRENCH_BARS:
        assert claim_lines({"name": bar}) == (), bar
        for pain in OF_PAIN:
            for text in (f"{bar}. {pain}", f"{pain}: {bar}"):
                found = [one.standing for one in claim_lines({"label": text}) if "pain" in one.key]
                assert found == ["undecided" if pain == "no more pain" else "over"], text
    for pain in OF_PAIN:
        assert claims(pain), pain


@pytest.mark.parametrize(
    ("counted", "kind", "expected"),
    [
        ("Chinin", "hair leave-on", "over"),
        ("Gesamtalkaloide als Chinin", "hair leave-on", "over"),
        ("alcaloïdes totaux exprimés en quinine", "hair leave-on", "over"),
        ("Chininsulfat", "hair leave-on", "over"),
        ("Gesamtalkaloide als Berberin", "hair leave-on", "cannot be seen here"),
        ("Salicylsäure", "body lotion", "over"),
        ("ácido salicílico", "body lotion", "over"),
        ("Nikotin", "face cream", "undecided"),
        ("Rosmarinsäure", "face cream", "cannot be seen here"),
        ("moonwort bitter", "face cream", "undecided"),
    ],
)
def test_what_an_extract_was_assayed_for_meets_its_rule_in_any_language(counted, kind, expected):
    extract = Share("nettle extract", 10.0, carries=(Carried(counted, 8.0, 8.0),))

    assert standing(extract, kind=kind) == expected
