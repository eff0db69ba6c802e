"""A content read off a line through standards, with its 95 % interval, against printed worked examples."""

import json
from pathlib import Path

import pytest

from stillroom.answers.budget import stated
from stillroom.answers.standard_line import Standard, StandardLine
from stillroom.evidence.answer import reading
from stillroom.science.measuring.absorbance import line_through_standards

PRINTED = json.loads(Path(__file__).with_name("calibration.json").read_text(encoding="utf-8"))
SAMPLES = [(one, sample) for one in PRINTED for sample in one["samples"]]


def half_a_digit(printed):
    return 0.5000001 * 10.0 ** -len(repr(printed).partition(".")[2])


@pytest.mark.parametrize("one", [one for one in PRINTED if "slope" in one], ids=lambda one: one["id"])
def test_the_line_is_the_printed_one(one):
    line = line_through_standards(one["contents"], one["shown"])

    assert line.slope_l_mg == pytest.approx(one["slope"], abs=half_a_digit(one["slope"]))
    assert line.level_absorbance == pytest.approx(one["level"], abs=half_a_digit(one["level"]))
    if "scatter" in one:
        assert line.scatter_absorbance == pytest.approx(
            one["scatter"], abs=1e-4
        )  # the book works with rounded sums


@pytest.mark.parametrize(("one", "sample"), SAMPLES, ids=lambda one: one.get("id", ""))
def test_a_content_and_its_interval_are_the_printed_ones(one, sample):
    read = [
        Standard(reading(f"content {at}", c, "mg/L", "print"), reading(f"shown {at}", y, "", "print"))
        for at, (c, y) in enumerate(zip(one["contents"], one["shown"], strict=True))
    ]
    found = stated(
        StandardLine(read, reading("blank", 0.0, "", "print")).content(
            1, reading("it", sample["shown"], "", "print")
        )
    )

    assert found.answer.value == pytest.approx(sample["content"], abs=half_a_digit(sample["content"]))
    # The books go by first order; here a slope known by four degrees of freedom is drawn: a fiftieth apart at most.
    assert found.expanded_uncertainty == pytest.approx(
        sample["half_width_95"], rel=0.02, abs=half_a_digit(sample["half_width_95"])
    )
