"""docs/sources.md, written from the reference itself: every table with its passport, every publication.

``.venv/bin/python -m tests.habits.sources_page``, from the folder of the project, writes it anew.
"""

from collections import Counter
from collections.abc import Iterator

from stillroom.reference.files import table_names
from stillroom.reference.sources import SEEN, sources
from stillroom.reference.tables import Table, table
from tests.habits.source_tree import ROOT

PAGE = ROOT / "docs" / "sources.md"
HEAD = """\
# Where the figures come from

Every published figure is a row of a table in `src/stillroom/reference/tables`, with its publication and an
honest word on how it was seen:

- **page-opened**: the publication, or a full copy of the page, was read.
- **second-hand**: another work or file quotes it.
- **from-memory**: recalled; to be checked before anything important rests on it.

Nobody has yet compared the tables with the print a second time; until somebody has, each table says
`read_twice = false`. A cell may be empty; a guessed cell may not exist. The legal tables are old copies with
later changes noted where known: look at the official text before any sale.

This page is written from the tables by `.venv/bin/python -m tests.habits.sources_page`, and a
test compares the two.
"""


def ways_seen(shipped: Table) -> str:
    """How the rows of a table were seen: the row's own word, else that of its publication."""
    listed = sources()
    seen = Counter(
        one.words("seen") if "seen" in shipped.columns else listed[one.words("source")].seen
        for one in shipped.rows
    )
    return ", ".join(f"{seen[way]} {way}" for way in (*SEEN, "computed") if seen[way])


def about_table(name: str) -> Iterator[str]:
    """The section of one table."""
    shipped = table(name)
    passport = shipped.passport
    yield f"### `{name}`"
    yield f"{passport.title}. {passport.what}\n"
    yield f"- Rows: {len(shipped.rows)} ({ways_seen(shipped)})"
    cited = {one.words("source"): None for one in shipped.rows} | dict.fromkeys(passport.sources)
    yield f"- Publications: {', '.join(f'`{key}`' for key in cited if key)}"
    if passport.units:
        yield f"- Units: {', '.join(f'`{column}` [{unit}]' for column, unit in passport.units.items())}"
    if passport.validity:
        yield f"- Holds: {passport.validity}"
    if passport.notes:
        yield f"- Mind: {passport.notes}"
    yield ""


def page() -> str:
    """The whole page."""
    lines = [HEAD, "## Tables", ""]
    for name in table_names():
        lines += about_table(name)
    lines += ["## Publications", "", "| Key | Publication | Seen |", "| --- | --- | --- |"]
    for key, one in sources().items():
        citation = one.citation.removesuffix(f" [{one.seen}]")
        said = " ".join(f"{citation}. {one.note}".split()).replace("|", "/")
        lines.append(f"| `{key}` | {said} | {one.seen} |")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page())
