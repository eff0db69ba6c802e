"""What errors say: whole sentences beside their checks, one catalogue of them, and French at the bench."""

import ast
import re

import pytest

from stillroom.errors import BadEntry, NotEnough, UnknownName, worded
from stillroom.texts.catalogue import speaking
from tests.habits.source_tree import modules
from tests.texts.error_sentences import error_calls, parts_of


@pytest.mark.parametrize("module", sorted(modules()))
def test_no_sentence_of_an_error_is_put_together_from_pieces(module: str) -> None:
    pieces = [
        (call.lineno, ast.unparse(part)[:60])
        for call in error_calls(modules()[module])
        for part in parts_of(call)
        if isinstance(part, ast.JoinedStr | ast.BinOp) and _has_words(part)
    ]

    assert pieces == []


def _has_words(part: ast.expr) -> bool:
    return any(
        isinstance(one, ast.Constant) and isinstance(one.value, str) and re.search(r"[A-Za-z]{3,}", one.value)
        for one in ast.walk(part)
        if not isinstance(one, ast.FormattedValue)
    )


def test_an_error_is_told_in_the_language_of_whoever_reads_it() -> None:
    error = BadEntry(worded("{apparatus_code} takes {largest:g} {unit} at most", apparatus_code="SCALE-2",
                            largest=0.5, unit="kg"), "1.5 kg", "Check the unit")  # fmt: skip
    with speaking("fr"):
        french = str(error)

    assert french == "SCALE-2 prend 0,5 kg au plus. Reçu\u00a0: 1.5 kg. Vérifiez l’unité."
    assert str(error) == "SCALE-2 takes 0.5 kg at most. Got 1.5 kg. Check the unit."


def test_a_name_that_is_not_known_is_told_in_french_with_the_nearest() -> None:
    error = UnknownName.among("SCALE-9", "an apparatus", ["SCALE-1", "SCALE-2"])
    with speaking("fr"):
        french = str(error)

    assert french.startswith(
        "'SCALE-9' n’est pas connu ici (un appareil). Voulez-vous dire 'SCALE-2' ou 'SCALE-1'"
    )


def test_what_nobody_translated_is_told_in_english() -> None:
    with speaking("fr"):
        told = str(NotEnough("The cart does not hold that much"))

    assert told == "The cart does not hold that much."


@pytest.mark.parametrize("typed", ["{", "{0}", "{0.__class__}", "{must}", "}{", "{{x}}"])
@pytest.mark.parametrize("code", ["en", "fr"])
def test_what_a_person_typed_is_never_read_as_a_blank(code: str, typed: str) -> None:
    with speaking(code):
        told = str(
            BadEntry(worded("{person!r} has no PIN", person=typed), typed, worded("Ask {who}", who=typed))
        )

    assert told.count(typed) == 3
