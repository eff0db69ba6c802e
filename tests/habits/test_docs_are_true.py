"""What the documents name exists, and what exists is documented."""

import inspect
import re
import shlex
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import click
import pytest

from stillroom import errors
from tests.habits.source_tree import ROOT, SRC

DOCS = ROOT / "docs"
PAGES = sorted(path for path in [*ROOT.glob("*.md"), *DOCS.rglob("*.md"), *ROOT.glob("*/README.md")])
BLOCK = re.compile(r"^```[^\n]*\n(.*?)^```", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\]\((?!https?:|mailto:|#)([^)#\s]+)")
KINDS = [
    name for name, thing in vars(errors).items() if inspect.isclass(thing) and issubclass(thing, Exception)
]
TABLES = sorted(path.stem for path in (SRC / "reference" / "tables").glob("*.csv"))
LAUNCHER_WORDS = {"selftest", "check"}


@cache
def group() -> click.Group:
    from stillroom.cli import main

    return next(thing for thing in vars(main).values() if isinstance(thing, click.Group))


def commands(of: click.Group, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    context = click.Context(of)
    for name in of.list_commands(context):
        command = of.get_command(context, name)
        assert command is not None
        yield (*path, name), command
        if isinstance(command, click.Group):
            yield from commands(command, (*path, name))


def written_commands(page: Path) -> list[list[str]]:
    """Words of each stillroom command in a page's code blocks; the launcher's begin with "start.py"."""
    blocks = BLOCK.findall(page.read_text())
    found = []
    for line in [line.strip().removeprefix("$ ") for block in blocks for line in block.splitlines()]:
        hit = re.match(r"(?:\S*/)?(stillroom|python3 (?:\S*/)?start\.py)(?: |$)(.*)", line)
        if hit and (words := shlex.split(hit.group(2), comments=True)):
            found.append(words if hit.group(1) == "stillroom" else ["start.py", *words])
    return found


def trouble(words: list[str]) -> str:
    """Why a written command would not be understood; empty when it would."""
    if words[0] == "start.py":
        words = words[1:]
        if words[0] in LAUNCHER_WORDS:
            return ""
    if words[0].isupper() or words[0].startswith("-"):
        return ""
    here: click.Command = group()
    context = click.Context(here)
    for at, word in enumerate(words):
        if not isinstance(here, click.Group):
            break
        step = here.get_command(context, word)
        if step is None:
            return f"{' '.join(words[: at + 1])!r} is no command"
        here = step
    known = {option for one in here.get_params(context) for option in (*one.opts, *one.secondary_opts)}
    strange = [word for word in words if word.startswith("--") and word.split("=")[0] not in known]
    return f"{' '.join(words)!r} knows no {strange[0]}" if strange else ""


def test_the_first_page_is_there_and_names_the_two_commands() -> None:
    written = written_commands(ROOT / "README.md")

    assert ["start.py", "demo"] in written
    assert ["start.py", "selftest"] in written


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_command_written_on_a_page_exists(page: Path) -> None:
    assert [why for words in written_commands(page) if (why := trouble(words))] == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_on_a_page_leads_somewhere(page: Path) -> None:
    assert [link for link in LINK.findall(page.read_text()) if not (page.parent / link).exists()] == []


def test_every_command_is_on_the_page_of_commands_and_has_a_help_text() -> None:
    page = (DOCS / "commands.md").read_text()
    found = list(commands(group()))

    assert found
    assert [path for path, _ in found if f"stillroom {' '.join(path)}" not in page] == []
    assert [path for path, command in found if not command.get_short_help_str()] == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_error_is_on_the_page_of_errors(kind: str) -> None:
    assert kind in (DOCS / "errors.md").read_text()


@pytest.mark.parametrize("table", TABLES)
def test_every_published_table_is_on_the_page_of_sources(table: str) -> None:
    assert f"`{table}`" in (DOCS / "sources.md").read_text()


def test_the_first_page_names_the_download_that_was_measured() -> None:
    measured = tomllib.loads((ROOT / "requirements" / "size.toml").read_text(encoding="utf-8"))
    run, everything = (round(measured[one]["bytes"] / 1e6) for one in ("run", "everything"))
    first = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())

    assert f"about {run} MB, and {everything} MB for the tests" in first
