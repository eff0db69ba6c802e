"""Initials and first letters in scripts whose capitals no typeface here holds."""

import re
from pathlib import Path

import pytest

import stillroom
from stillroom.records.people import signature_of


@pytest.mark.parametrize(
    ("name", "initials"),
    [("ნინო ჯაფარიძე", "ნჯ"), ("mara adler", "MA"), ("ёлка", "ЁЛ"), ("ԱՆԻ սարյան", "ԱՍ"), ("123", "P")],
)
def test_initials_are_letters_that_print(name: str, initials: str) -> None:
    assert signature_of(name) == initials


def test_no_first_letter_is_made_a_capital_that_georgian_does_not_write() -> None:
    """Upper case of a Georgian letter lies in a block few typefaces hold; title case leaves the letter as it is."""
    root = Path(stillroom.__file__).parent
    found = [
        str(one)
        for one in root.rglob("*.py")
        if re.search(r"\[:?[01]\]\.upper\(\)", one.read_text(encoding="utf-8"))
    ]
    assert not found
