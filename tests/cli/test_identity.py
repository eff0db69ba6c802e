"""The identity of a plant lot is decided by the command as on its page."""

from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.actions.testing.identity import identity_stands
from tests.cli.test_verbs import clock_at_noon, run  # noqa: F401
from tests.practice import copied


@pytest.mark.usefixtures("clock_at_noon")
def test_a_plant_received_by_the_command_is_released_by_the_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = str(copied(tmp_path))
    at = ("--in", folder, "--by", "TO")
    kind = ("--kind", "plant material", "--substance", "horsetail herb")
    assert run("receive", "EQ-01", "250,0 g", *kind, *at, capsys=capsys)[0] == 0
    evidence = "compared with a herbarium sheet"
    assert run("test", "identity", "EQ-01", "--not", "--evidence", evidence, *at, capsys=capsys)[0] == 0
    with open_laboratory(Path(folder)) as lab, lab.look() as look:
        assert not identity_stands(look, "EQ-01")
    assert run("test", "identity", "EQ-01", "--evidence", evidence, *at, capsys=capsys)[0] == 0
    code, _, trouble = run(
        "release", "EQ-01", "--meaning", "papers and label", "--in", folder, "--by", "MA", capsys=capsys
    )
    assert (code, trouble) == (0, "")
