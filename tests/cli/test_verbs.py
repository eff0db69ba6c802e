"""Every verb explains itself, answers a person and a program alike, and starts without the heavy libraries."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import click
import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.cli.main import VERBS, main, stillroom
from tests.practice import copied, extracted_folder, noon, told_folder

HEAVY = (
    "sqlalchemy",
    "numpy",
    "scipy",
    "fastapi",
    "typst",
    "pydantic",
    "ruamel",
    "jinja2",
    "uvicorn",
    "rich",
)


def run(*arguments: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit, match=r"^\d$") as ended:
        main(list(arguments))
    said = capsys.readouterr()
    return int(str(ended.value.code)), said.out, said.err


@pytest.fixture
def clock_at_noon(monkeypatch: pytest.MonkeyPatch) -> None:
    """The commands read the clock of the story."""
    monkeypatch.setitem(open_laboratory.__kwdefaults__, "clock", noon)


def every_command() -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    for verb in VERBS:
        command = stillroom.get_command(click.Context(stillroom), verb)
        found.append((verb,))
        if isinstance(command, click.Group):
            found += [(verb, below) for below in command.commands]
    return found


@pytest.mark.parametrize("words", every_command(), ids=" ".join)
def test_every_verb_explains_itself_and_each_of_its_options(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(*words, "--help", capsys=capsys)
    command: Any = stillroom
    for word in words:
        command = command.get_command(click.Context(command), word)

    assert (code, err) == (0, "")
    assert out.startswith("Usage: stillroom " + " ".join(words))
    assert command.help
    assert command.help.strip()[-1] in ".:"
    for option in command.params:
        if isinstance(option, click.Option) and not option.hidden:
            assert option.opts[-1] in out
            assert option.help, option.name


def test_the_help_names_every_verb_in_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run("--help", capsys=capsys)

    assert code == 0
    assert [verb for verb in VERBS if f"\n  {verb} " not in out] == []
    assert all(says.endswith(".") for _, says in VERBS.values())


def test_the_help_starts_without_any_heavy_library() -> None:
    asked = (
        "import sys\n"
        "from stillroom.cli.main import stillroom\n"
        "stillroom.main(args=['--help'], prog_name='stillroom', standalone_mode=False)\n"
        "print(','.join(sorted({name.partition('.')[0] for name in sys.modules})))\n"
    )
    ended = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    loaded = set(ended.stdout.splitlines()[-1].split(","))

    assert {"click", "stillroom"} <= loaded
    assert loaded & set(HEAVY) == set()


@pytest.mark.parametrize(
    ("written", "nearest"),
    [
        ("plann", "plan"),
        ("recieve", "receive"),
        ("traces", "trace"),
        ("dilut", "dilute"),
        ("complaint", "recall complaint"),
        ("titration", "test titration"),
    ],
)
def test_an_unknown_verb_is_asked_back_with_the_nearest(
    written: str, nearest: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(written, capsys=capsys)

    assert (code, out) == (2, "")
    assert f"'{written}' is not a verb known here" in err
    assert f"'{nearest}'" in err


def keys_of(thing: Any) -> set[str]:
    if isinstance(thing, dict):
        return set(thing) | {key for below in thing.values() for key in keys_of(below)}
    if isinstance(thing, list):
        return {key for below in thing for key in keys_of(below)}
    return set()


PAGES = (
    ("plan", "ORD-1"), ("plan", "ORD-1", "--charge", "250 g"), ("make", "T1"), ("trace", "E1"),
    ("release", "T1", "--by", "JU"), ("why", "plan/ORD-1/plant_g"),
)  # fmt: skip


@pytest.mark.parametrize("words", PAGES, ids=" ".join)
def test_a_page_is_told_as_text_and_as_json_with_the_same_words(
    words: tuple[str, ...], clock_at_noon: None, capsys: pytest.CaptureFixture[str]
) -> None:
    where = ("--in", str(told_folder()))
    _, text, _ = run(*words, *where, capsys=capsys)
    code, out, _ = run(*words, *where, "--json", capsys=capsys)
    page = json.loads(out)

    assert code == 0
    assert page["title"] in text
    assert {"title", "kind", "code", "blocks", "practice", "date", "book"} <= set(page)
    assert page["practice"] is True
    assert text.startswith("PRACTICE LABORATORY: INVENTED DATA")
    assert all(block["block"] for block in page["blocks"])
    for one in numbers_of(page):
        assert one["value"] in text
        assert {"unit", "basis"} <= set(one)


def numbers_of(thing: Any) -> list[dict[str, Any]]:
    if isinstance(thing, dict):
        own = [thing] if {"value", "plus_minus", "unit"} <= set(thing) else []
        return own + [one for below in thing.values() for one in numbers_of(below)]
    if isinstance(thing, list):
        return [one for below in thing for one in numbers_of(below)]
    return []


def test_a_dose_answers_a_program_with_the_units_in_its_keys(
    clock_at_noon: None, capsys: pytest.CaptureFixture[str]
) -> None:
    where = ("--in", str(extracted_folder()))
    _, out, _ = run(
        "dose", "T1", "E1", "--scale", "SCALE-2", "--next-strength", "29.7 %", "--json", *where, capsys=capsys
    )
    found = json.loads(out)

    assert set(found) == {"says", "mass_g", "content_percent", "upper_percent", "next_lot_g"}
    assert found["mass_g"] == pytest.approx(13.02, abs=1e-9)
    assert found["next_lot_g"] == pytest.approx(16.84, abs=0.011)
    _, refused, complained = run(
        "dose", "T1", "E1", "--scale", "SCALE-2", "--share", "0.6 %", *where, capsys=capsys
    )
    assert refused == ""
    assert "0.2 % as quinine base" in complained


def test_bench_sums_need_no_laboratory(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    dilution = (
        "dilute",
        "5.000 L",
        "--have",
        "96.0 % v/v",
        "--want",
        "70.0 % v/v",
        "--at",
        "20 °C",
        "--json",
    )
    _, out, _ = run(*dilution, capsys=capsys)
    told = {one["label"]: (one["exact"], one["unit"]) for one in numbers_of(json.loads(out))}

    assert told["Spirit to weigh"] == (pytest.approx(2943.7, abs=0.05), "g")
    assert told["Adding volumes would give"] == (pytest.approx(71.79, abs=0.005), "%")
    assert list(tmp_path.iterdir()) == []


def test_a_temperature_is_asked_and_never_filled_in(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run("dilute", "5 L", "--have", "96 % v/v", "--want", "70 % v/v", capsys=capsys)

    assert (code, out) == (2, "")
    assert "--at" in err


def test_the_whole_day_can_be_written_at_the_command_line(
    clock_at_noon: None, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    where = ("--in", str(copied(tmp_path)))
    spirit = ("--kind", "spirit", "--substance", "spirit 96 %", "--stated", "96.0 % v/v at 20 °C")
    commands = (
        ("receive", "SPI-02", "5.000 kg", *spirit, "--scale", "SCALE-1", "--by", "TO"),
        ("release", "SPI-02", "--meaning", "papers agree", "--by", "MA"),
        ("make", "E2", "--procedure", "bark-extract", "--scale", "100 g", "--by", "TO"),
        ("make", "E2", "--step", "mix spirit", "--weighed", "stock spirit=1178 g@SPI-02@SCALE-1",
         "--weighed", "water=594 g@WAT-01@SCALE-1", "--all-ticks", "--temperature", "20.5 °C", "--by", "TO"),
        ("test", "precipitate", "CIN-01", "--test", "wagner", "--reagent", "WAG-01", "--sample", "precipitate",
         "--blank", "clear", "--positive", "precipitate", "--by", "TO"),
        ("test", "titration", "CIN-01", "--portion", "1.0150 g, 8.42 mL", "--blank", "20.06 mL", "--titrant", "NAOH-01",
         "--scale", "SCALE-3", "--burette", "BUR-1", "--by", "TO"),
    )  # fmt: skip
    for words in commands:
        code, out, err = run(*words, *where, "--json", capsys=capsys)
        said = json.loads(out)

        assert (code, err) == (0, ""), words
        assert said["says"].endswith("."), words
        assert said["entries"], words
    code, out, _ = run(
        "correct",
        str(said["entries"][0]),
        "1.0160 g",
        "--why",
        "misread",
        "--by",
        "TO",
        *where,
        capsys=capsys,
    )
    assert code == 0
    assert "it now says 1.0160 g" in out
    code, out, _ = run("book", "verify", *where, "--json", capsys=capsys)
    assert code == 0
    assert set(json.loads(out)) == {"says", "entries", "rows", "digest", "untold"}


def test_the_book_is_copied_verified_and_gone_on_with(
    clock_at_noon: None, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    folder = copied(tmp_path)
    _, digest, _ = run("book", "digest", "--tables", "--in", str(folder), capsys=capsys)
    code, _, _ = run("book", "backup", str(tmp_path / "copy.book"), "--in", str(folder), capsys=capsys)
    again, _, _ = run(
        "book", "restore", str(tmp_path / "copy.book"), str(tmp_path / "new"), "--by", "MA", capsys=capsys
    )
    over, out, err = run(
        "book", "restore", str(tmp_path / "copy.book"), str(folder), "--by", "MA", capsys=capsys
    )
    _, unchanged, _ = run("book", "digest", "--tables", "--in", str(folder), capsys=capsys)

    assert len(digest.strip()) == 64
    assert (code, again) == (0, 0)
    assert (over, out) == (2, "")
    assert "never overwritten" in err
    assert unchanged == digest


def test_documents_are_written_as_pdf_and_text(
    clock_at_noon: None, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    into = tmp_path / "paper"
    code, out, _ = run("print", "label-T1", "--in", str(told_folder()), "--into", str(into), capsys=capsys)

    assert code == 0
    assert {one.name for one in into.iterdir()} == {"label-T1.pdf", "label-T1.txt"}
    assert (into / "label-T1.pdf").read_bytes().startswith(b"%PDF")
    assert "label-T1.txt" in out


def test_an_empty_laboratory_is_begun_with_its_first_person(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    folder = str(tmp_path / "mine")
    code, out, _ = run("new", folder, "--name", "My bench", "--person", "AB: Ada Berg", capsys=capsys)
    again, _, err = run("new", folder, "--name", "My bench", "--person", "AB: Ada Berg", capsys=capsys)
    bad, _, complained = run(
        "new", str(tmp_path / "x"), "--name", "My bench", "--person", "Ada", capsys=capsys
    )

    assert code == 0
    assert "Next: stillroom serve --in" in out
    assert again == 2
    assert "place without a book" in err
    assert bad == 2
    assert "'Ada'" in complained
    assert not (tmp_path / "x").exists()
