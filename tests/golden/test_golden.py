"""Documents somebody has read stay as they were read; ``python -m tests.golden.renew`` writes them again."""

import pytest

from tests.golden.renew import FOLDER, NAMES, path_of, text_of


@pytest.mark.parametrize("name", NAMES)
def test_a_document_is_as_it_was_read(name: str) -> None:
    assert text_of(name) == path_of(name).read_text(encoding="utf-8")


def test_every_golden_document_is_compared() -> None:
    assert {path.stem for path in FOLDER.glob("*.txt")} == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_golden_document_is_pleasant_to_read_in_a_difference(name: str) -> None:
    lines = path_of(name).read_text(encoding="utf-8").splitlines()

    assert lines[0] == "PRACTICE LABORATORY: INVENTED DATA"
    assert [line for line in lines if len(line) > 100] == []
    assert [line for line in lines if line != line.rstrip()] == []
