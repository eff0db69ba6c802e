"""Every language says the same things, and no page, form, document or template says anything besides."""

import ast
import re

import pytest

from stillroom.errors import POINT, BadEntry, UnknownName
from stillroom.texts.catalogue import (
    LANGUAGES,
    blanks,
    figure,
    language,
    month_name,
    sentences,
    speaking,
    t,
    word,
)
from tests.habits.source_tree import modules, nodes
from tests.texts.loose_sentences import LOOKED_UP, loose_sentences
from tests.texts.loose_words import TEMPLATES, loose_words
from tests.texts.sentences import said, said_in_template, spoken_at

OTHERS = sorted(set(LANGUAGES) - {"en"})
FOLDERS_SPOKEN_WHOLE = ("actions/correcting/", "actions/testing/", "actions/watching/", "stream/")
"""Whatever comes into these is said in every language: a kind of test, of watch, of step."""
SPOKEN_WHOLE = (
    *(one for one in modules() if one.startswith(FOLDERS_SPOKEN_WHOLE) and spoken_at(one)),
    "actions/orders/amounts_planned.py",
    "actions/book/ceilings.py",
    "actions/house/writing_a_procedure.py",
    "actions/making/deviations.py",
    "actions/products/dosing.py",
    "actions/orders/entering.py",
    "actions/products/filling.py",
    "actions/making/giving_up.py",
    "actions/house/house_facts.py",
    "actions/bench/form_choices.py",
    "actions/keeping_answers.py",
    "actions/shelf/lot_strength.py",
    "actions/making/batches.py",
    "actions/lots/stock_movements.py",
    "actions/bench/outages.py",
    "actions/day/planning.py",
    "actions/day/to_plan.py",
    "actions/lots/receiving.py",
    "actions/lots/plant_card.py",
    "actions/making/paper_sheet_entry.py",
    "actions/lots/shelf_gaps.py",
    "pages/to_find_out.py",
    "actions/lots/spirit_lots.py",
    "actions/lots/spirit_read.py",
    "documents/as_sheet.py",
    "documents/batch_gave.py",
    "documents/how_it_runs.py",
    "documents/own_runs.py",
    "documents/plant_dots.py",
    "documents/plant_words.py",
    "documents/ways_compared.py",
    "documents/as_text.py",
    "pages/batch_sheet.py",
    "documents/put_right.py",
    "documents/stream_diagram.py",
    "documents/numbers_shown.py",
    "documents/still_drawing.py",
    "pages/stock.py",
    "pages/plants.py",
    "pages/set_up.py",
    "pages/watch.py",
    "pages/watch_bed.py",
    "pages/ways.py",
    "documents/stream_drawing.py",
    "documents/timers.py",
    "documents/typesetting.py",
    "products/label.py",
    "reference/cautions.py",
    "web/access.py",
    "web/acts.py",
    "web/app.py",
    "web/bench.py",
    "web/day.py",
    "pages/day.py",
    "pages/day_blocks.py",
    "pages/now.py",
    "documents/day_words.py",
    "documents/day_drawing.py",
    "web/batch_filling.py",
    "web/request_body.py",
    "web/lots.py",
    "web/making.py",
    "web/otherwise.py",
    "web/pages.py",
    "web/jinja_environment.py",
    "web/batch_sheet.py",
    "web/script_words.py",
    "web/spirit.py",
    "web/batch_step.py",
    "web/stock.py",
    "web/testing.py",
    "web/watching.py",
    "web/weighings.py",
    "web/templates/ask_question.html",
    "web/templates/base.html",
    "web/templates/bench.html",
    "web/templates/block.html",
    "web/templates/correct.html",
    "web/templates/cut.html",
    "web/templates/form.html",
    "web/templates/forms.html",
    "web/templates/keep.html",
    "web/templates/look.html",
    "web/templates/macros.html",
    "web/templates/others.html",
    "web/templates/reagent.html",
    "web/templates/release.html",
    "web/templates/sheet.html",
    "web/templates/step.html",
    "web/templates/tracing.html",
    "web/templates/trouble.html",
    "web/templates/unsigned.html",
    "web/templates/watch.html",
    "web/templates/weighing.html",
)
"""Modules and templates whose every sentence is said in each language: the bench, the label, the cautions."""
SAME_IN_FRENCH = {
    "Date", "Signature", "Code", "{minutes} min",
    "Correction",
    "Corrections",
    "Lot",
    "Lots",
    "Pages",
    "Sources",
    "direct",
    "lot {code}, {called}",
    "Stock",
    "Substance",
    "Titrant",
    "[code] {code}",
    "{hours} h {minutes} min",
    "absent",
    "formulation",
    "lot",
    "plan",
    "quinine",
    "trace",
    "{title} ({procedure_code}, version {version})",
}  # fmt: skip
ENGLISH_TELLS = re.compile(r"\b(the|and|of|is|was|with|not|this|from|it|when|step|batch)\b", re.IGNORECASE)


def _told(code: str) -> dict[str, str]:
    return {english: one for english, one in sentences(code).items() if english != POINT}


@pytest.mark.parametrize("code", OTHERS)
def test_what_a_language_says_is_still_said_and_has_the_same_blanks(code: str) -> None:
    told = _told(code)

    assert len(told) > 1000
    assert set(told) - set(said()) == set(), "run python -m tests.texts.sentences"
    assert [english for english, one in told.items() if blanks(english) != blanks(one)] == []


def test_no_sentence_is_put_together_where_it_is_said() -> None:
    put_together = [
        f"{name}:{call.lineno}"
        for name, tree in modules().items()
        for call in nodes(tree)
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Name)
        and call.func.id in {"t", "later", "worded"}
        and call.args
        and isinstance(call.args[0], ast.JoinedStr | ast.BinOp)
    ]

    assert put_together == []


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("place", SPOKEN_WHOLE)
def test_the_bench_the_label_and_the_cautions_are_said_whole(code: str, place: str) -> None:
    here = spoken_at(place)

    assert here
    assert [english for english in here if english not in sentences(code)] == []


def test_what_a_language_has_not_is_said_in_english() -> None:
    with speaking("fr"):
        assert t("Nobody says this {what}", what="here") == "Nobody says this here"


def test_no_sentence_is_empty() -> None:
    assert [english for english in said() if not english.strip()] == []


def test_nothing_is_left_in_english() -> None:
    french = _told("fr")
    wordless = {name for name in french if not re.search(r"[A-Za-z]{3}", re.sub(r"{[^}]*}", "", name))}
    same = {name for name in french if name == french[name]} - wordless
    told = {
        name: sentence
        for name, sentence in french.items()
        if ENGLISH_TELLS.search(re.sub(r"""{[^}]*}|"[^"]*"|'[^']*'""", "", sentence))
    }

    assert same <= SAME_IN_FRENCH
    assert told == {}


def test_french_keeps_a_space_that_does_not_break_before_its_double_signs() -> None:
    # Lexique des règles typographiques en usage à l'Imprimerie nationale, "Ponctuation": a space that does not break
    # before : ; ? ! and %; from-memory.
    tight = re.compile(r"(?<![\u00a0\u202f ])[:;?!%](?!\w)")
    loose = re.compile(r" [:;?!%»]|« ")
    straight = re.compile(r"[a-zA-Zéèà]'[a-zA-Zéèà]")

    bare = {name: re.sub(r"{[^}]*}", "", sentence) for name, sentence in _told("fr").items()}
    wrong = [
        name
        for name, sentence in bare.items()
        if tight.search(sentence) or loose.search(sentence) or straight.search(sentence)
    ]

    assert wrong == []


def test_no_sentence_shouts() -> None:
    both = [*said(), *(one for code in OTHERS for one in _told(code).values())]

    assert [one for one in both if "!" in re.sub(r"{[^}]*}", "", one)] == []


@pytest.mark.parametrize("path", sorted(TEMPLATES.rglob("*.html")), ids=lambda path: path.name)
def test_no_template_holds_a_sentence_of_its_own(path) -> None:
    assert loose_words(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "template",
    [
        "<p>Two words</p>",
        '<nav aria-label="Pages">{{ t("Pages") }}</nav>',
        '{{ m.field("note", "What was different") }}',
        "{% if x %}<b>Next:</b>{% endif %}",
    ],
)
def test_a_loose_word_is_found_wherever_it_stands(template: str) -> None:
    assert loose_words(template)


@pytest.mark.parametrize(
    "template",
    [
        '<p class="two words">{{ t("Read it") }}</p>',
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


def test_a_sentence_is_said_whole_and_is_no_name_of_one() -> None:
    put_together = [
        (module, node.lineno)
        for module, tree in modules().items()
        for node in nodes(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("t", "later")
        if node.args and isinstance(node.args[0], ast.JoinedStr)
    ]

    assert put_together == []
    assert [one for one in said() if re.fullmatch(r"[a-z_]+[.][a-z_0-9]+", one)] == []


def test_every_sentence_of_code_and_templates_is_found() -> None:
    assert len(said()) > 4000
    chosen = """{{ t("Fill {noted}" if each.name == "amount" else "Take {noted}", noted=1) }}"""
    assert list(said_in_template(chosen)) == ["Fill {noted}", "Take {noted}"]
    assert list(said_in_template("""{{ t('Say "no"') }} {{ later("Read") }}""")) == ['Say "no"', "Read"]


def test_a_language_is_spoken_for_a_while_and_then_no_longer() -> None:
    with speaking("fr"):
        inside = t("step {number} of {of}", number=2, of=9)

    assert inside == "étape 2 sur 9"
    assert (language(), t("step {number} of {of}", number=2, of=9)) == ("en", "step 2 of 9")


def test_a_figure_has_the_comma_of_its_language_and_a_code_keeps_its_point() -> None:
    with speaking("fr"):
        written = figure("0.095 % w/w, batch T1. Next")

    assert written == "0,095 % w/w, batch T1. Next"


def test_a_month_has_its_name_in_each_language() -> None:
    with speaking("fr"):
        french = month_name(8)

    assert (month_name(8), french) == ("August", "août")


def test_a_word_nobody_translated_stays_as_it_stands() -> None:
    with speaking("fr"):
        assert (word("waiting"), word("folded")) == ("en attente", "folded")


def test_what_is_missing_is_told() -> None:
    with pytest.raises(BadEntry, match="blanks filled"):
        t("step {number} of {of}", number=2)
    with pytest.raises(UnknownName, match="language"), speaking("tlh"):
        pass
