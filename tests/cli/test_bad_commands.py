"""Whatever is typed after a verb is answered or refused in a sentence: no traceback, no writing of what is no number.

Commands are generated over every verb and option, from values that stand in a laboratory and values that stand nowhere.
"""

import io
import random
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest

from stillroom.cli.main import main, stillroom
from stillroom.store import Book
from tests.long_form import SEED, studied
from tests.practice import copied, extracted_folder

COMMANDS = studied(2000, 240, 60)
NOT_RUN = ("demo", "serve", "pin")
"""They go on until somebody ends them, or ask at the keyboard."""
GOOD = (
    "500 g", "1.5 L", "70 % v/v", "20 °C", "0.5", "12", "100 mL", "96 % v/v", "3", "2026-11-24", "2026-12-01 09:30",
    "ORD-1", "ORD-2", "CIN-01", "E1", "SPI-01", "WAT-01", "T1", "MA", "JU", "TO", "cinchona bark", "glycerin", "yes",
    "bark-extract", "negative", "CHF", "0.10 % w/w as quinine", "plan/ORD-1/plant_g", "1", "quinine", "hair leave-on",
)  # fmt: skip
BAD = (
    "", " ", "nan", "NaN g", "inf", "-inf %", "1e308", "1e309 g", "-1", "0", "-0 g", "1 g g", "1,500 g", "9" * 400,
    "1" + "0" * 30, "\udcff", "a\udc80b", "\x00", "\x1b[2J", "../../../nowhere", "/nowhere/at/all", ".", "/",
    "a" * 5000, "%s", "{}", "{0.__class__}", "2026-13-45", "0001-01-01", "9999-12-31T23:59", "24:61", "\u0663", "½",
    "\uff11\uff12", "-", "@x", "=", "1 ± nan g", "5 % w/w as", "as", "1e-400 L", "12 °K", "3 furlongs", "ORD-1/..",
    "E1\nT1", "'; DROP TABLE journal; --", "100 % v/v", "101 % v/v", "-300 °C", "1e9 °C", "2090-01-01", "1 kg 5",
    "\u0661\u0662 g", "0x10", "1_000", "--", "--in", "\U0001f701",
)  # fmt: skip


def every_command() -> Iterator[tuple[tuple[str, ...], click.Command]]:
    for verb in stillroom.list_commands(click.Context(stillroom)):
        command = stillroom.get_command(click.Context(stillroom), verb)
        if verb in NOT_RUN or command is None:
            continue
        if isinstance(command, click.Group):
            yield from (((verb, below), one) for below, one in command.commands.items())
        yield (verb,), command


def value_of(param: click.Parameter, chance: random.Random) -> str:
    if isinstance(param.type, click.Choice) and chance.random() < 0.8:
        return str(chance.choice(list(param.type.choices)))
    return chance.choice(GOOD if chance.random() < 0.6 else BAD)


def words_of(
    words: tuple[str, ...], command: click.Command, folder: Path, chance: random.Random
) -> list[str]:
    found = list(words)
    for param in command.params:
        if isinstance(param, click.Argument):
            many = max(param.nargs, 1) if chance.random() < 0.95 else 0
            found += [value_of(param, chance) for _ in range(many)]
        elif "--in" in param.opts:
            found += ["--in", str(folder)]
        elif param.required or chance.random() < 0.5:
            option: Any = param
            found.append(chance.choice(param.opts))
            if not (option.is_flag or option.count):
                found += [value_of(param, chance) for _ in range(max(param.nargs, 1))]
    return found


@pytest.mark.slow
def test_no_command_that_was_typed_wrongly_ends_in_a_traceback(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.StringIO())
    folder = copied(tmp_path, of=extracted_folder)
    chance = random.Random(SEED)
    commands = list(every_command())
    wrong: list[tuple[list[str], str]] = []
    for number in range(COMMANDS):
        typed = words_of(*commands[number % len(commands)], folder, chance)
        broken = False
        try:
            main(typed)
        except SystemExit as ended:
            broken = ended.code not in (0, 1, 2)
        except Exception as trouble:  # noqa: BLE001  whatever it is, nobody typed it
            wrong.append((typed, repr(trouble)))
        said = capsys.readouterr()
        if broken or "Traceback" in said.err:
            wrong.append((typed, said.err[-300:]))
        told = re.search(r"(?<![\w-])(nan|inf)(?![\w-])", said.out)
        if told and not any(told[1] in one.casefold() for one in typed):
            wrong.append((typed, f"tells {told[1]}"))
    with Book.open(folder / "laboratory.book") as book:
        troubles = book.verify().troubles

    assert wrong == []
    assert troubles == ()


@pytest.mark.parametrize("name", ["9" * 400, "copy.book", "a" * 300 + "/x"])
def test_a_file_out_of_reach_is_told_in_a_sentence(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    folder = copied(tmp_path, of=extracted_folder)
    Path("copy.book").symlink_to("nowhere/at/all")
    with pytest.raises(SystemExit, match="2"):
        main(["book", "backup", name, "--in", str(folder)])

    assert len(capsys.readouterr().err.splitlines()) == 1


def test_a_file_whose_name_is_no_text_is_written_and_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    folder = copied(tmp_path, of=extracted_folder)
    with pytest.raises(SystemExit, match="0"):
        main(["book", "backup", "\udcff.book", "--in", str(folder)])

    assert "\\udcff.book" in capsys.readouterr().out


def test_what_is_no_text_is_refused_in_a_sentence_that_quotes_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Found with another seed: where nothing but text may be written, the sentence itself could not be."""
    folder = copied(tmp_path, of=extracted_folder)
    with pytest.raises(SystemExit, match="2"):
        main(["correct", "a\udc80b", "1 g", "--why", "x", "--by", "TO", "--in", str(folder)])

    assert r"'stillroom correct a\udc80b' shows the numbers" in capsys.readouterr().err


def test_what_nobody_foresaw_is_told_by_its_place_and_without_what_was_typed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def breaks(*_: object, **__: object) -> None:
        raise ValueError("72 % v/v of a secret")

    monkeypatch.setattr("stillroom.pages.reagents.show_reagents", breaks)
    with pytest.raises(SystemExit, match="70"):
        main(["reagent"])

    said = capsys.readouterr().err
    assert "ValueError cli/reagent.py:" in said
    assert "secret" not in said
    assert "Traceback" not in said
