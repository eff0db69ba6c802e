"""The catalogues say the same things in each language, and no template says anything besides."""

import re

import pytest

from stillroom.errors import BadEntry, UnknownName
from stillroom.texts.catalogue import (
    LANGUAGES,
    blanks,
    catalogue,
    figure,
    language,
    names,
    part_of_catalogue,
    parts,
    speaking,
    t,
    word,
)
from tests.habits.source_tree import modules
from tests.texts.loose_sentences import LOOKED_UP, looked_up, loose_sentences
from tests.texts.loose_words import TEMPLATES, loose_words

OTHERS = sorted(set(LANGUAGES) - {"en"})
SAME_IN_FRENCH = {
    "bench.lot", "caution_moment.restricted-active", "frame.pages", "frame.sources", "frame.stock", "kind.lot",
    "kind.plan", "kind.trace", "label.v_v", "making_sheet.corrections", "making_sheet.lot",
    "making_sheet.title_code_version",
    "marker.quinine", "sheet.code_in_words", "status.absent", "stock.correction", "stock.lot",
    "stock_form.code", "stock_form.substance", "testing_form.titrant",
}  # fmt: skip
ENGLISH_TELLS = re.compile(r"\b(the|and|of|is|was|with|not|this|from|it|when|step|batch)\b", re.IGNORECASE)


@pytest.mark.parametrize(("code", "part"), [(code, part) for code in OTHERS for part in parts(code)])
def test_what_a_language_has_is_whole_and_has_the_same_blanks(code: str, part: str) -> None:
    english, other = part_of_catalogue("en", part), part_of_catalogue(code, part)

    assert sorted(other) == sorted(english)
    assert [name for name in english if blanks(english[name]) != blanks(other[name])] == []


def test_french_has_what_the_bench_and_the_label_say() -> None:
    assert {"batch", "bench", "bench_forms", "cautions", "shelf_and_tests"} <= set(parts("fr"))


def test_a_sentence_stands_in_one_file_only() -> None:
    names_of_all = [name for part in parts("en") for name in part_of_catalogue("en", part)]

    assert len(names_of_all) == len(set(names_of_all))


def test_what_a_language_has_not_is_said_in_english() -> None:
    office = sorted(set(catalogue("en")) - set(catalogue("fr")))

    with speaking("fr"):
        said = [t(name) for name in office if not blanks(catalogue("en")[name])]

    assert said == [catalogue("en")[name] for name in office if not blanks(catalogue("en")[name])]


@pytest.mark.parametrize("code", sorted(LANGUAGES))
def test_no_sentence_is_empty(code: str) -> None:
    assert [name for name, sentence in catalogue(code).items() if not sentence.strip()] == []


def test_nothing_is_left_in_english() -> None:
    french, english = catalogue("fr"), catalogue("en")
    wordless = {name for name in french if not re.search(r"[A-Za-z]{3}", re.sub(r"{\w+}", "", english[name]))}
    same = {name for name in french if english[name] == french[name]} - wordless
    told = {
        name: sentence
        for name, sentence in french.items()
        if ENGLISH_TELLS.search(re.sub(r"{\w+}", "", sentence))
    }

    assert same <= SAME_IN_FRENCH
    assert told == {}


def test_french_keeps_a_space_that_does_not_break_before_its_double_signs() -> None:
    # Lexique des règles typographiques en usage à l'Imprimerie nationale, "Ponctuation": a space that does not break
    # before : ; ? ! and %; from-memory.
    tight = re.compile(r"(?<![\u00a0\u202f ])[:;?!%](?!\w)")
    loose = re.compile(r" [:;?!%»]|« ")
    straight = re.compile(r"[a-zA-Zéèà]'[a-zA-Zéèà]")

    said = {name: re.sub(r"{[^}]*}", "", sentence) for name, sentence in catalogue("fr").items()}
    wrong = [
        name
        for name, sentence in said.items()
        if tight.search(sentence) or loose.search(sentence) or straight.search(sentence)
    ]

    assert wrong == []


def test_no_sentence_shouts() -> None:
    said = {name: re.sub(r"{[^}]*}", "", one) for code in LANGUAGES for name, one in catalogue(code).items()}

    assert [name for name, one in said.items() if "!" in one] == []


@pytest.mark.parametrize("path", sorted(TEMPLATES.rglob("*.html")), ids=lambda path: path.name)
def test_no_template_holds_a_sentence_of_its_own(path) -> None:
    assert loose_words(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "template",
    [
        "<p>Two words</p>",
        '<nav aria-label="Pages">{{ t("frame.pages") }}</nav>',
        '{{ m.field("note", "What was different") }}',
        "{% if x %}<b>Next:</b>{% endif %}",
    ],
)
def test_a_loose_word_is_found_wherever_it_stands(template: str) -> None:
    assert loose_words(template)


@pytest.mark.parametrize(
    "template",
    [
        '<p class="two words">{{ t("bench.read_it") }}</p>',
        "{# a remark #}<br>",
        '{% include "blocks.html" %}',
        "· {{ x }}, ",
    ],
)
def test_what_nobody_reads_is_no_loose_word(template: str) -> None:
    assert loose_words(template) == []


@pytest.mark.parametrize("module", [one for one in modules() if one.startswith(LOOKED_UP)])
def test_no_page_form_or_document_holds_a_sentence_of_its_own(module: str) -> None:
    assert loose_sentences(module) == []


def test_every_text_the_code_looks_up_is_there() -> None:
    asked = {name for module in modules() for name in looked_up(module)}

    assert len(asked) > 1500
    assert asked - set(catalogue("en")) == set()


def test_every_text_a_template_looks_up_is_there() -> None:
    asked = {
        found
        for path in TEMPLATES.rglob("*.html")
        for found in re.findall(r"""\bt\(["']([a-z_]+\.[a-z_]+)["'][,)]""", path.read_text(encoding="utf-8"))
    }

    assert len(asked) > 60
    assert asked - set(catalogue("en")) == set()


def test_a_language_is_spoken_for_a_while_and_then_no_longer() -> None:
    with speaking("fr"):
        inside = t("bench.step_of", number=2, of=9)

    assert inside == "étape 2 sur 9"
    assert (language(), t("bench.step_of", number=2, of=9)) == ("en", "step 2 of 9")


def test_a_figure_has_the_comma_of_its_language_and_a_code_keeps_its_point() -> None:
    with speaking("fr"):
        written = figure("0.095 % w/w, batch T1. Next")

    assert written == "0,095 % w/w, batch T1. Next"


def test_a_word_nobody_translated_stays_as_it_stands() -> None:
    with speaking("fr"):
        assert (word("status", "waiting"), word("status", "folded")) == ("en attente", "folded")


def test_what_is_missing_is_told() -> None:
    with pytest.raises(UnknownName, match="step_off"):
        t("bench.step_off")
    with pytest.raises(BadEntry, match="blanks filled"):
        t("bench.step_of", number=2)
    with pytest.raises(UnknownName, match="language"), speaking("tlh"):
        pass


def test_every_chapter_is_asked_for_somewhere() -> None:
    assert {"label", "sheet"} <= {name.partition(".")[0] for name in catalogue("en")}
    assert "page_of" in names("sheet")


def test_the_scripts_say_the_same_in_each_language() -> None:
    script = (TEMPLATES.parent / "static" / "bench" / "words.js").read_text(encoding="utf-8")
    spoken = {
        found[0]: dict(re.findall(r'^  (\w+): "(.*)",$', found[1], flags=re.MULTILINE))
        for found in re.findall(r"const ([A-Z]{2}) = {\n(.*?)^};", script, flags=re.DOTALL | re.MULTILINE)
    }

    assert sorted(spoken) == sorted(code.upper() for code in LANGUAGES)
    for code, said in spoken.items():
        assert sorted(said) == sorted(spoken["EN"]), code
        assert [name for name in said if blanks(said[name]) != blanks(spoken["EN"][name])] == []
