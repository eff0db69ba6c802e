"""The practice story told again and again, for tests and measurements of a large book."""

from pathlib import Path

from sqlalchemy import text

from benchmarks.ten_years_told import tell_ten_years
from tests.practice import told_folder


def test_a_book_told_for_years_holds_and_is_the_same_for_the_same_seed(tmp_path: Path) -> None:
    story = told_folder() / "laboratory.book"
    first, again, other = (
        tell_ten_years(tmp_path / str(number), 450, seed=seed, story=story)
        for number, seed in enumerate((1, 1, 2))
    )
    with first, again, other:
        assert first.verify().troubles == ()
        assert first.digest() == again.digest() != other.digest()
        with first.look() as look, first._reader.begin() as connection:
            entries = look.head.entry_no
            movements = connection.scalar(text("SELECT count(*) FROM movements"))
            batches = connection.scalar(text("SELECT count(*) FROM batches"))
            spirit = len(look.movements("SPI-01"))

    assert 300 < entries < 550
    assert movements > 4 * entries
    assert batches > 0.015 * entries
    assert spirit > movements / 20
