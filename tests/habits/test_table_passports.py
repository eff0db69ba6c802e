"""Every shipped table has a passport: a unit for each numeric column, a known source for each row."""

import csv
from io import StringIO

import pytest

from stillroom.reference.files import table_names, text_of
from stillroom.reference.sources import SEEN, sources
from stillroom.reference.tables import table


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize("name", table_names())
def test_every_column_is_either_text_or_has_a_unit(name):
    shipped = table(name)
    lines = list(csv.DictReader(StringIO(text_of("tables", f"{name}.csv"))))
    numeric = {
        c
        for c in shipped.columns
        if any(li[c] for li in lines) and all(is_number(li[c] or "0") for li in lines)
    }
    undeclared = numeric - set(shipped.passport.units) - {"entry", "i"}

    assert set(shipped.columns) == set(shipped.passport.units) | set(shipped.passport.text)
    assert not undeclared
    assert all(shipped.passport.units.values())


@pytest.mark.parametrize("name", table_names())
def test_every_row_names_a_listed_publication(name):
    shipped = table(name)
    cited = {one.words("source") for one in shipped.rows} | set(shipped.passport.sources)
    also = {one.words(c) for one in shipped.rows for c in shipped.columns if c.endswith("_source")} - {""}

    assert cited | also <= set(sources())


@pytest.mark.parametrize("name", table_names())
def test_every_row_says_honestly_how_it_was_seen(name):
    shipped = table(name)
    seen = {
        one.words(c) for one in shipped.rows for c in shipped.columns if c == "seen" or c.endswith("_seen")
    }

    assert seen <= {*SEEN, "computed"}


@pytest.mark.parametrize("name", table_names())
def test_a_passport_says_what_the_table_is_and_that_nobody_read_it_twice_yet(name):
    passport = table(name).passport

    assert passport.title
    assert passport.what
    assert passport.key in table(name).columns
    assert passport.read_twice is False


def test_every_publication_says_how_it_was_seen():
    assert {one.seen for one in sources().values()} <= set(SEEN)


def test_every_listed_publication_has_a_title():
    assert all(one.title for one in sources().values())
