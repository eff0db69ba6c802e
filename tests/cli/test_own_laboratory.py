"""A laboratory of one's own from the command line: begun with two questions, told how the house is."""

from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.actions.house.house_facts import last_condition
from stillroom.cli import book
from tests.cli.test_verbs import run
from tests.practice import copied


def test_a_name_and_a_person_are_asked_at_a_terminal_and_the_signature_offered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = iter(["The house on the hill", "Ada Maria Berg", "AMB"])
    offered: list[object] = []

    def prompt(what: str, default: object = None, **_: object) -> str:
        offered.append(default)
        return next(answers)

    monkeypatch.setattr(book.click, "prompt", prompt)
    monkeypatch.setattr(book.sys, "stdin", type("Terminal", (), {"isatty": staticmethod(lambda: True)}))
    unsaid = dict.fromkeys(
        ("name", "person", "address", "responsible_person", "currency", "telephone", "email"), ""
    )
    book.new_command.callback(folder=tmp_path / "own", altitude="", **unsaid)
    with open_laboratory(tmp_path / "own") as lab, lab.look() as look:
        begun, people = look.book(), look.people()

    assert offered == [None, None, "AMB"]
    assert (begun.laboratory, begun.practice, begun.altitude_m) == ("The house on the hill", False, None)
    assert [(one.code, one.name, one.may_release) for one in people] == [("AMB", "Ada Maria Berg", True)]


def test_nothing_is_begun_where_nobody_can_be_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(book.sys, "stdin", type("Pipe", (), {"isatty": staticmethod(lambda: False)}))
    code, _, err = run("new", str(tmp_path / "own"), capsys=capsys)

    assert code == 2
    assert "--name" in err
    assert not (tmp_path / "own").exists()


def test_the_house_is_noted_in_a_word_and_a_slip_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = str(tmp_path / "own")
    run("new", folder, "--name", "My bench", "--person", "AB: Ada Berg", capsys=capsys)
    _, said, _ = run("note", "room temperature", "31 °C", "--in", folder, "--by", "AB", capsys=capsys)
    _, priced, _ = run(
        "note", "price of glycerin", "6.20 EUR/kg", "--in", folder, "--by", "AB", capsys=capsys
    )
    code, _, err = run("note", "room temprature", "31 °C", "--in", folder, "--by", "AB", capsys=capsys)
    with open_laboratory(tmp_path / "own") as lab:
        found = last_condition(lab, "room temperature")

    assert "31 °C" in said
    assert "6.20 EUR/kg" in priced
    assert code == 2
    assert "Did you mean 'room temperature'" in err
    assert found is not None
    assert found.value == 31.0


def test_a_slip_on_the_command_line_is_one_sentence_and_never_a_traceback(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Tracebacks once, or taken in silence."""
    lab = str(copied(tmp_path))
    of_no_book = (
        "plan", "--product", "tonic", "--bottles", "40 × 50 mL", "--plant", "cinchona bark", "--way", "maceration",
        "--strength", "0.1 % w/w total alkaloids as quinine", "--due", "2027-03-01",
    )  # fmt: skip
    run("book", "backup", f"{tmp_path}/whole.book", "--in", lab, capsys=capsys)
    cut = tmp_path / "cut.book"
    cut.write_bytes((tmp_path / "whole.book").read_bytes()[:300_000])
    slips = (
        ("dose", "T33", "E1", "--scale", "SCALE-3", "--in", lab),
        ("correct", "99999999999999999999", "1 g", "--why", "x", "--by", "TO", "--in", lab),
        ("why", "99999999999999999999", "--in", lab),
        ("why", "²", "--in", lab),
        ("book", "backup", ".", "--in", lab),
        ("book", "backup", "/proc/x.book", "--in", lab),
        ("book", "restore", str(cut), str(tmp_path / "elsewhere"), "--by", "TO"),
        ("new", "/proc/x/y", "--name", "N", "--person", "AA: A"),
        ("new", "", "--name", "N", "--person", "AA: A"),
        ("new", f"{tmp_path}/high", "--name", "N", "--person", "AA: A", "--altitude-m", "1e308"),
        ("new", f"{tmp_path}/high", "--name", "N", "--person", "AA: A", "--altitude-m", "5 kg"),
        (
            "fill",
            "T1",
            "2.5 bottles",
            "--left-over",
            "1 g",
            "--use-by",
            "2027-09-30",
            "--scale",
            "SCALE-2",
            "--by",
            "TO",
            "--in",
            lab,
        ),
        ("day", "--surprise", "late", "--of", "TO", "--minutes", "5 kg", "--by", "TO", "--in", lab),
        (*of_no_book, "--say", "loss-on-drying=nan"),
        (*of_no_book, "--say", "loss-on-drying="),
        (*of_no_book, "--say", "x"),
        (*of_no_book, "--charge", "1 g g"),
        (*of_no_book, "--plant-lot", "CIN-01"),
        ("plan", "ORD-1", "--charge", "1 g g", "--in", lab),
        ("receive", "NEW-1", "1 kg", "--kind", "water", "--substance", "", "--by", "TO", "--in", lab),
        ("spirit", "--month", "0000-01", "--in", lab),
    )
    digest = run("book", "digest", "--tables", "--in", lab, capsys=capsys)
    for words in slips:
        code, _, err = run(*words, capsys=capsys)

        assert (code, err.count("\n")) == (2, 1), (words, err)
        assert err.startswith("stillroom: "), (words, err)
    assert run("book", "digest", "--tables", "--in", lab, capsys=capsys) == digest
    assert not (tmp_path / "high").exists()


def test_a_laboratory_goes_out_as_open_files_and_comes_in_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own, out, again = (str(tmp_path / name) for name in ("own", "out", "again"))
    run("new", own, "--name", "My bench", "--person", "AB: Ada Berg", capsys=capsys)
    code, said, _ = run("export", "everything", out, "--in", own, capsys=capsys)
    assert (code, "2 entries" in said) == (0, True)
    assert run("import", out, again, capsys=capsys)[0] == 0
    _, first, _ = run("book", "digest", "--tables", "--in", own, capsys=capsys)
    _, second, _ = run("book", "digest", "--tables", "--in", again, capsys=capsys)
    refused, _, err = run("import", out, again, capsys=capsys)

    assert first == second
    assert (refused, "never overwritten" in err) == (2, True)


def test_a_table_of_lots_is_looked_at_and_taken_when_it_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own, table = str(tmp_path / "own"), str(tmp_path / "lots.xlsx")
    run("new", own, "--name", "My bench", "--person", "AB: Ada Berg", capsys=capsys)
    assert run("stock", "template", table, capsys=capsys)[0] == 0
    _, shown, _ = run("stock", "table", table, "--in", own, capsys=capsys)
    with open_laboratory(tmp_path / "own") as lab, lab.look() as look:
        assert look.lot_codes() == ()
    code, taken, _ = run("stock", "table", table, "--take", "--by", "AB", "--in", own, capsys=capsys)

    assert "3 lots. Nothing is taken yet." in shown
    assert (code, "3 lots are on the shelf" in taken) == (0, True)
