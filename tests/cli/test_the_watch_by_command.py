"""The verbs of the watch tell the verdict that stands on its page."""

from pathlib import Path

import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import open_laboratory
from stillroom.actions.making.batches import begin_batch
from tests.cli.test_verbs import clock_at_noon, run  # noqa: F401
from tests.practice import copied, extracted_folder, later

pytestmark = pytest.mark.usefixtures("clock_at_noon")


def test_a_tap_and_a_look_tell_what_the_page_of_the_watch_says(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(tmp_path, extracted_folder)
    with open_laboratory(folder) as lab:
        for way, batch, began in (
            ("soxhlet", "S7", -5),
            ("maceration", "M7", -1500),
            ("percolation", "P7", -5),
        ):
            copy_procedure(lab, way, "willow bark", "salicin", f"my-{way}", by="TO", at=later(began))
            begin_batch(lab, batch, f"my-{way}", "50 g", by="TO", at=later(began))

    def told(*words: str) -> str:
        code, out, trouble = run(*words, "--in", str(folder), capsys=capsys)
        assert (code, trouble) == (0, "")
        return " ".join(out.split())

    by = ("--by", "TO")
    for verb, batch, typed, verdict in (
        ("siphoned", "S7", (), "Not yet: the slow share does not show."),
        ("not-siphoned", "S7", (), "Nothing siphoned yet. Tap when it does."),
        ("looked", "P7", ("--what", "liquid poured on"), "The clock runs."),
        (
            "looked",
            "M7",
            ("--residue", "134 mg", "--volume", "10 mL"),
            "Not yet: the slow share does not show.",
        ),
    ):
        said = told("test", verb, batch, *typed, *by)

        assert verdict in said
        assert verdict in told("make", batch, "--watch")
