"""The page of sources says what the tables say."""

from stillroom.reference.files import table_names
from tests.habits import sources_page


def test_the_page_of_sources_is_the_one_the_tables_give():
    assert sources_page.PAGE.read_text() == sources_page.page(), "run python -m tests.habits.sources_page"


def test_every_row_is_counted_under_the_way_it_was_seen():
    for name in table_names():
        shipped = sources_page.table(name)
        counted = [int(part.split()[0]) for part in sources_page.ways_seen(shipped).split(", ")]

        assert sum(counted) == len(shipped.rows)
