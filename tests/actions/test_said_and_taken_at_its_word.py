"""What a person writes and could mean two things is asked back; what has one reading is taken as it stands."""

import pytest
from click.testing import CliRunner

from stillroom.cli.main import stillroom
from stillroom.errors import StillroomError

DILUTE = ("dilute", "5 L", "--have", "96 % v/v", "--at", "20 °C", "--want")
DOSE = (
    "dose", "--want", "0.100 %", "--strength", "38.4 %", "--of", "quinine", "--matter", "as is", "--bulk", "5.000 kg",
    "--kind", "hair leave-on", "--step", "0.01 g", "--plus-minus",
)  # fmt: skip


def said(*words: str) -> str:
    run = CliRunner().invoke(stillroom, list(words))
    assert isinstance(run.exception, StillroomError | SystemExit | None), run.exception
    return " ".join(f"{run.output} {run.exception or ''}".split())


@pytest.mark.parametrize("want", ["45", "45%", "45 %", "45 per cent"])
def test_a_strength_that_is_wanted_says_its_basis(want: str) -> None:
    assert "Write 45 % v/v or 45 % w/w" in said(*DILUTE, want)


@pytest.mark.parametrize(("doubt", "asked_back"), [("3 %", True), ("3 % of it", False), ("3", False)])
def test_a_doubt_in_per_cent_beside_a_per_cent_is_asked_back(doubt: str, asked_back: bool) -> None:
    assert ("could be of the value or of the whole" in said(*DOSE, doubt)) == asked_back


def test_a_drop_is_told_with_the_figures_it_has() -> None:
    # Masses of 5 L of 45 % v/v from 96 %: 1892.4 and 2805.3 g (OIML R 22, as worked elsewhere), a hundred-thousandth.
    told = said("dilute", "50 µL", "--have", "96 % v/v", "--at", "20 °C", "--want", "45 % v/v")

    assert "0.0189 g" in told
    assert "0.0281 g" in told


@pytest.mark.parametrize("written", ["50 °C", "5 L kg", "5 L, 6 L", "5 kg g"])
def test_a_second_unit_or_figure_is_never_swallowed(written: str) -> None:
    assert f"Got {written!r}" in said("dilute", written, *DILUTE[2:], "45 % v/v")
