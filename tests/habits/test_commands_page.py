"""The page of commands says of each verb what its own help says, and shows an example of each."""

import click
import pytest

from tests.habits.commands_page import EXAMPLES, PAGE, options
from tests.habits.test_docs_are_true import commands, group

COMMANDS = {" ".join(path): (path, command) for path, command in commands(group())}
VERBS = [name for name, (_, command) in COMMANDS.items() if not isinstance(command, click.Group)]


def section(name: str) -> str:
    after = PAGE.read_text().partition(f"# stillroom {name}\n")[2]
    return after.partition("\n## ")[0].partition("\n### ")[0]


@pytest.mark.parametrize("name", COMMANDS)
def test_a_verb_has_its_help_and_its_options_on_the_page(name: str) -> None:
    path, command = COMMANDS[name]

    assert [part for part in options(path, command) if part not in section(name)] == [], (
        "run python -m tests.habits.commands_page"
    )


@pytest.mark.parametrize("name", VERBS)
def test_a_verb_has_an_example_that_did_not_go_wrong(name: str) -> None:
    shown = section(name)

    assert EXAMPLES[name]
    assert f"$ {EXAMPLES[name][0].line}" in shown
    assert "stillroom: " not in shown
    assert "Traceback" not in shown
