"""A question that needs no laboratory loads what it needs: no other question, no library for one function."""

import subprocess
import sys
from pathlib import Path

import pytest

ASKED = ["dilute", "5 L", "--have", "96 % v/v", "--want", "70 % v/v", "--at", "31 °C"]
TOLD = f"""
import os, sys
from stillroom.cli.main import main
try:
    main({ASKED!r})
except SystemExit as ended:
    assert not ended.code
print("loaded", *(one for one in sys.modules if one.startswith(("scipy", "numpy.ma.", "stillroom"))))
tasks = "/proc/self/task"
print("threads", len(os.listdir(tasks)) if os.path.isdir(tasks) else "")
"""


@pytest.fixture(scope="module")
def said() -> dict[str, list[str]]:
    """What a process had loaded, and its threads, when it had answered."""
    free = {"OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS"}
    import os

    answered = subprocess.run(
        [sys.executable, "-c", TOLD], check=True, capture_output=True, text=True,
        env={name: value for name, value in os.environ.items() if name not in free},
    ).stdout  # fmt: skip
    assert "2912.8 g" in answered
    return {line.split()[0]: line.split()[1:] for line in answered.splitlines()[-2:]}


def test_a_dilution_loads_no_library_for_one_function(said: dict[str, list[str]]) -> None:
    assert [one for one in said["loaded"] if not one.startswith("stillroom")] == []


def test_a_dilution_loads_no_other_question_and_opens_no_book(said: dict[str, list[str]]) -> None:
    loaded = set(said["loaded"])
    questions = {one.removeprefix("stillroom.questions.") for one in loaded if ".questions." in one}

    assert "dilute" in questions
    assert [one for one in questions if not one.startswith(("dilute", "spirit_"))] == []
    assert [
        one
        for one in loaded
        if one.startswith(("stillroom.actions", "stillroom.store", "stillroom.planning", "stillroom.web"))
    ] == []


@pytest.mark.skipif(
    not Path("/proc/self/task").is_dir(), reason="threads are counted where the system lists them"
)
def test_one_thread_is_enough(said: dict[str, list[str]]) -> None:
    assert said["threads"] == ["1"]
