"""A name is the same name in capitals: of a choice, a material, a reagent, a market, whatever door it comes through."""

import json

import click
import pytest
from click.testing import CliRunner, Result

from stillroom.cli.main import VERBS, stillroom

DILUTE = ("dilute", "5 L", "--have", "96 % v/v", "--want", "45 % v/v", "--at", "20 °C")
RECOVER = ("recover", "5 L", "--have", "40 % v/v", "--at", "20 °C", "--stop", "91 %")
BUFFER = ("buffer", "1 L", "--ph", "7", "--total", "50 mmol/L")
DOSE = (
    "dose", "--want", "0.1 %", "--strength", "38.4 %", "--plus-minus", "1.2", "--bulk", "5 kg", "--step", "0.01 g",
)  # fmt: skip
FACTOR = (
    "factor", "0.4085 g, 20.06 mL", "0.4120 g, 20.22 mL", "0.4061 g, 19.93 mL", "--strength", "0.1 mol/L",
    "--blank", "0.04 mL",
)  # fmt: skip
NAMED = (
    (DILUTE, {"--known-by": "label", "--vessel": "polypropylene"}),
    (RECOVER, {"--stop-as": "share", "--known-by": "certificate"}),
    (BUFFER, {"--pair": "phosphate", "--read-by": "meter", "--meter-buffers": "4.01, 6.86, 9.18"}),
    (DOSE, {"--of": "quinine", "--matter": "dried", "--kind": "hair leave-on", "--market": "EU"}),
    (FACTOR, {"--standard": "potassium hydrogen phthalate", "--titrant": "sodium hydroxide"}),
    (("cooling", "2 × acetone 100 W"), {"--inlet": "18 °C", "--flow": "0.5 l/min"}),
    (("acid", "1 L", "--want", "0.5 mol/L"), {"--of": "hydrochloric acid 37 %"}),
)


def asked(words: tuple[str, ...], named: dict[str, str]) -> Result:
    said = [part for pair in named.items() for part in pair]
    return CliRunner().invoke(stillroom, [*words, *said, "--json"])


def figures(found: object) -> list[object]:
    """Every number of an answer, in its order."""
    if isinstance(found, dict):
        return [one for part in found.values() for one in figures(part)]
    if isinstance(found, list):
        return [one for part in found for one in figures(part)]
    return [found] if isinstance(found, float | int) else []


@pytest.mark.parametrize(("words", "named"), NAMED, ids=lambda one: one[0] if isinstance(one, tuple) else "")
def test_a_name_in_capitals_gives_the_same_figures(words: tuple[str, ...], named: dict[str, str]) -> None:
    plain = asked(words, named)
    assert plain.exit_code == 0, plain.output
    for option, name in named.items():
        again = asked(words, {**named, option: name.upper().replace("°C", "°C").replace("L/MIN", "L/min")})

        assert again.exit_code == 0, f"{option} {name.upper()}: {again.output}{again.exception}"
        assert figures(json.loads(again.output)) == figures(json.loads(plain.output)), option


def _commands(group: click.Group) -> list[click.Command]:
    context = click.Context(group)
    found = [group.get_command(context, name) for name in group.list_commands(context)]
    return [
        one
        for each in found
        if each
        for one in (_commands(each) if isinstance(each, click.Group) else [each])
    ]


def test_every_choice_of_a_command_takes_capitals() -> None:
    commands = _commands(stillroom)
    choices = [
        (command.name, option.name, option.type)
        for command in commands
        for option in command.params
        if isinstance(option.type, click.Choice)
    ]

    assert len(commands) >= len(VERBS)
    assert len(choices) > 12
    assert [one[:2] for one in choices if one[2].case_sensitive] == []


def test_a_reagent_is_found_by_its_name_in_capitals() -> None:
    plain, capitals = (CliRunner().invoke(stillroom, ["reagent", name]) for name in ("wagner", "WAGNER"))

    assert capitals.exit_code == plain.exit_code == 0
    assert capitals.output == plain.output
