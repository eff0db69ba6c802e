"""What a page can end, correct or state, the command can too; what it is told is used or asked about."""

import json
from pathlib import Path

import pytest

from tests.cli.test_verbs import clock_at_noon, run  # noqa: F401
from tests.practice import copied, extracted_folder

pytestmark = pytest.mark.usefixtures("clock_at_noon")


def test_a_slip_is_found_corrected_and_a_batch_given_up_by_the_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here = ("--in", str(copied(tmp_path, extracted_folder)), "--by", "TO")

    def told(*words: str) -> str:
        code, out, trouble = run(*words, *here, capsys=capsys)
        assert (code, trouble) == (0, ""), words
        return out

    def refused(*words: str) -> str:
        code, out, trouble = run(*words, *here, capsys=capsys)
        assert (code, out) == (2, ""), words
        return trouble

    told("make", "E2", "--procedure", "bark-extract", "--scale", "100 g")
    assert "belongs to a step" in refused("make", "E2", "--note", "begun by mistake")
    slip = ("--weighed", "stock spirit=1177 g@SPI-01@SCALE-1", "--weighed", "water=59.4 g@WAT-01@SCALE-1")
    said = told("make", "E2", "--step", "mix spirit", *slip, "--all-ticks", "--note", "warm", "--json")
    number = str(json.loads(said)["entries"][0])
    assert f"\n{number} " in told("correct", "E2")
    assert "water" in told("correct", number)
    assert "stock spirit, water" in refused("correct", number, "594 g", "--why", "misread")
    assert "59.4 g, now 594 g" in told("correct", number, "594 g", "--line", "water", "--why", "misread")
    late = ("make", "E2", "--step", "percolate", "--all-ticks", "--note", "not moistened", "--weighed")
    assert "is a scale" in refused(*late, "marc=210 g@SCALE-1@SCALE-1")
    told(*late, "marc=210 g@SCALE-1")
    told("make", "E2", "--step", "moisten", "--not-done", "forgotten")
    assert "is given up" in told("make", "E2", "--give-up", "the percolator cracked")


def test_a_ceiling_somebody_looked_up_is_stated_and_a_signed_dose_is_kept_or_asked_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here = ("--in", str(copied(tmp_path, extracted_folder)), "--by", "MA")
    looked_up = ("--kind", "hair leave-on", "--at-most", "0,5 %", "--source", "an assessor's letter")
    code, out, trouble = run("own", "ceiling", "lotusine", *looked_up, *here, capsys=capsys)
    assert (code, trouble) == (0, "")
    assert "at most 0,5 %" in out

    code, out, trouble = run("dose", "T1", "E1", "--scale", "SCALE-2", *here, capsys=capsys)
    assert (code, out) == (2, "")
    assert "--keep" in trouble


def test_a_copy_printed_as_yaml_knows_the_markers_of_the_book(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here = ("--in", str(copied(tmp_path, extracted_folder)))
    base = ("--molar-mass", "295,38 g/mol", "--charge", "base", "--pka", "7,4")
    run("own", "marker", "lotusine", *base, *here, "--by", "MA", capsys=capsys)
    way = ("procedure", "copy", "alkaloid clean-up", "--plant", "lotus leaf", "--marker", "lotusine")
    _, out, _ = run(*way, "--code", "lotus", "--as-yaml", *here, capsys=capsys)

    assert "- name: pka\n    value: 7.4" in out
