"""Acid, buffer and cooling at the command line: the worked stories, exit codes, and one sentence for bad input."""

import json
from pathlib import Path
from typing import Any

import pytest

from stillroom.cli.main import main

CHECKS = Path(__file__).parents[1] / "reference_checks"
STORIES: dict[str, Any] = {
    one["id"]: one["expect"] for one in json.loads((CHECKS / "stories.json").read_text())
}
HCL = ("acid", "1.000 L", "--of", "hydrochloric acid 37 %")
PHOSPHATE = ("buffer", "1 L", "--pair", "phosphate", "--total", "0.05 mol/L")
ETHANOL = ("cooling", "4 × ethanol 12 mL/min", "--inlet", "24 °C", "--flow", "0.5 L/min")
READINGS = {"w/w": "ww", "w/v": "wv", "v/v": "vv_of_conc", "label": "c1v1"}


def run(*arguments: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit, match=r"^\d$") as ended:
        main(list(arguments))
    said = capsys.readouterr()
    return int(str(ended.value.code)), said.out, said.err


def exact(out: str) -> dict[str, float]:
    """Every number of an answer by its label, unrounded."""
    blocks = json.loads(out)["blocks"]
    return {
        one["label"]: one["exact"]
        for block in blocks
        if block["block"] == "Numbers"
        for one in block["items"]
    }


def rows(out: str) -> dict[str, list[Any]]:
    """The table of readings by what a percentage means."""
    found = next(block for block in json.loads(out)["blocks"] if block["block"] == "Table")
    return {row[0]["text"]: row for row in found["rows"]}


def test_a_bare_percentage_lists_all_its_readings_and_ends_with_2(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(*HCL, "--want", "5 %", "--density", "1.184 g/mL", "--json", capsys=capsys)
    found = rows(out)

    assert code == 2
    assert set(found) == set(READINGS)
    for basis, key in READINGS.items():
        assert float(found[basis][3]) == pytest.approx(STORIES["S3"][key]["mL"], abs=0.1)
        assert float(found[basis][5]) == pytest.approx(STORIES["S3"][key]["mol_L"], abs=0.001)
    assert err.count("\n") == 1
    assert "must say its basis" in err


@pytest.mark.parametrize("basis", READINGS)
def test_a_said_basis_is_answered_and_ends_with_0(basis: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(*HCL, "--want", "5 %", "--basis", basis, "--json", capsys=capsys)

    assert (code, err) == (0, "")
    assert json.loads(out)["lead"].startswith("Meant as ")


def test_the_caution_stands_on_every_answer_about_an_acid(capsys: pytest.CaptureFixture[str]) -> None:
    for basis in ((), ("--basis", "w/w")):
        _, out, _ = run(*HCL, "--want", "5 %", *basis, capsys=capsys)

        assert "Acid into water" in " ".join(out.split())


def test_the_set_ups_of_the_story_may_run(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(*ETHANOL, "--caught-at", "boiling", "--json", capsys=capsys)
    found = exact(out)

    assert (code, err) == (0, "")
    assert found["Water in 6 h"] == pytest.approx(STORIES["S10"]["water_series_6h_L"])
    assert found["Heat of all condensers"] / 4 == pytest.approx(STORIES["S10"]["W_each"], abs=0.05)


def test_hoses_side_by_side_take_the_water_of_the_story(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(*ETHANOL, "--parallel", "--json", capsys=capsys)

    assert exact(out)["Water in 6 h"] == pytest.approx(STORIES["S10"]["water_parallel_6h_L"])


def test_what_must_not_run_is_shown_and_ends_with_2(capsys: pytest.CaptureFixture[str]) -> None:
    where = ("--inlet", "31 °C", "--flow", "0.5 L/min")
    code, out, err = run("cooling", "acetone 123.5 W", "acetone 123.5 W", *where, capsys=capsys)

    assert code == 2
    assert "acetone set-up 2" in out
    assert "the first to fail is acetone set-up 2" in err


@pytest.mark.parametrize(("heaters", "ends"), [("2 × 300 W; 1000 W", 0), ("4 × 300 W; 1000 W", 2)])
def test_the_breaker_of_the_story(heaters: str, ends: int, capsys: pytest.CaptureFixture[str]) -> None:
    said = ("--heaters", heaters, "--breaker", "10 A", "--mains", "230 V")
    code, _, err = run(*ETHANOL, *said, capsys=capsys)

    assert code == ends
    assert bool(err) is (ends == 2)


def test_two_salts_are_weighed_and_end_with_0(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(*PHOSPHATE, "--ph", "7.0", "--json", capsys=capsys)
    acid_g, base_g, *_ = exact(out).values()

    # molar masses of KH2PO4 and Na2HPO4, from memory: together they are the moles asked for
    assert (code, err) == (0, "")
    assert acid_g / 136.086 + base_g / 141.96 == pytest.approx(0.05, rel=1e-4)


BAD: dict[str, tuple[tuple[str, ...], str]] = {
    "stronger than the bottle": ((*HCL, "--want", "50 %", "--basis", "w/w"), "up to the 37 % w/w of the bottle"),
    "outside the table": (("acid", "1 L", "--of", "hydrochloric acid 60 %", "--want", "5 % w/w"), "none printed"),
    "no volume": (("acid", "0 L", "--of", "hydrochloric acid 37 %", "--want", "5 % w/w"), "above zero"),
    "an unknown acid": (("acid", "1 L", "--of", "vinegaric 60 %", "--want", "5 % w/w"), "Known: acetic acid"),
    "a basis nobody knows": ((*HCL, "--want", "5 %", "--basis", "by eye"), "w/w"),
    "a pH outside the pair": ((*PHOSPHATE, "--ph", "3"), "between pH 4.54 and 9.27"),
    "a total too strong": (("buffer", "1 L", "--pair", "phosphate", "--ph", "7", "--total", "2 mol/L"), "0.5 mol/L"),
    "a hose that is shut": (("cooling", "ethanol 300 W", "--inlet", "24 °C", "--flow", "0"), "0.02 and 30 L/min"),
    "an inlet that boils": (
        ("cooling", "ethanol 300 W", "--inlet", "80 °C", "--flow", "0.5 L/min"), "between 0 and 60 °C",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_bad_input_gets_one_sentence_and_no_answer(what: str, capsys: pytest.CaptureFixture[str]) -> None:
    words, says = BAD[what]
    code, out, err = run(*words, capsys=capsys)

    assert (code, out) == (2, "")
    assert err.startswith("stillroom: ")
    assert err.count("\n") == 1
    assert says in err


@pytest.mark.parametrize("missing", ["--inlet", "--flow"])
def test_the_water_of_the_day_is_asked_and_never_filled_in(
    missing: str, capsys: pytest.CaptureFixture[str]
) -> None:
    left = {"--inlet": ("--flow", "0.5 L/min"), "--flow": ("--inlet", "24 °C")}[missing]
    code, out, err = run("cooling", "ethanol 300 W", *left, capsys=capsys)

    assert (code, out) == (2, "")
    assert missing in err


def test_none_of_them_writes_anything(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for words in ((*HCL, "--want", "5 %"), (*PHOSPHATE, "--ph", "7"), ETHANOL):
        run(*words, capsys=capsys)

    assert list(tmp_path.iterdir()) == []
