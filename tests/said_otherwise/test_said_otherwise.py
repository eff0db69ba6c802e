"""The same fact in two wordings, asked through two doors, gives the same grams, or one is refused with a reason.

Every field of every question has a fact in ``fields``; a field without one fails. Seeded: the same tries in every run.
STILLROOM_TRIES sets how many; thousands by hand: ``python -m tests.said_otherwise.test_said_otherwise 0 10000``.
"""

import json
import math
import os
import random
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, date, datetime
from types import SimpleNamespace
from unittest.mock import patch
from urllib.parse import urlencode

import pytest
from click.testing import CliRunner

from stillroom.actions.questions import QUESTIONS, answered
from stillroom.answers import by_draws
from stillroom.cli import asked
from stillroom.cli.main import stillroom
from stillroom.errors import StillroomError, UnknownName
from stillroom.evidence.answer import Answer
from stillroom.pages.reagents import show_recipe
from stillroom.substances import remembering
from stillroom.web import ask as ask_pages
from stillroom.web.app import make_app
from stillroom.web.ask import DOORS
from tests.pages_in_process import Pages
from tests.said_otherwise.commands import command
from tests.said_otherwise.fields import BESIDES, FACTS, NAMES, ONLY_THEN
from tests.said_otherwise.wordings import Wording

TRIES = int(os.environ.get("STILLROOM_TRIES", "60"))
SEED = 20261129
SAME = 1e-9
DRAWS = 64
SLOW = {"order": 6, "offer": 8, "dose": 2, "recover": 3}
"""Questions that take long: one try in so many of the others."""
RECIPE = "wagner"
ADDRESSES = {"reagent": f"/reagents/{RECIPE}"}
"""Questions with a page of their own."""
ASKED = (*QUESTIONS, *ADDRESSES)
NOT_WHOLE = "an error without "
TODAY = date(2026, 11, 29)
NOON = SimpleNamespace(now=lambda: datetime(2026, 11, 29, 12, tzinfo=UTC))
Found = dict[tuple[str, str], float]


@contextmanager
def worked_out() -> Iterator[Found]:
    """Every answer that is calculated, as it is calculated: what a page prints is rounded, this is not.

    Where an uncertainty is drawn, few draws say whether two wordings draw the same.
    """
    found: Found = {}
    begin = Answer.__post_init__

    def noted(answer: Answer) -> None:
        begin(answer)
        if answer.leaf is None:
            found[answer.name, answer.unit] = answer.value

    with (
        patch.object(Answer, "__post_init__", noted),
        patch.object(by_draws, "FULL_DRAWS", DRAWS),
        patch.object(
            remembering, "own", object
        ),  # nothing is met twice: what is remembered is not worked out
        patch.object(ask_pages, "today", lambda _: TODAY),
        patch.object(asked, "datetime", NOON),
    ):
        yield found


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_field_of_a_question_has_its_wordings(question: str) -> None:
    form = DOORS[question]({}, "", TODAY)
    asked = {one.name for row in (*form.rows, *form.more) for one in row.controls if one.kind != "choice"}

    assert asked == {*FACTS[question], *NAMES[question]}


def ask(
    door: str, question: str, field: str, fields: dict[str, str], pages: Pages, found: Found
) -> tuple[Found, str]:
    """What is worked out, or the sentence why not."""
    found.clear()
    if door == "function":
        try:
            if question == "reagent":
                show_recipe(None, RECIPE, fields)
            else:
                answered(question, fields, TODAY)
        except StillroomError as error:
            parts = ("must", "do") if isinstance(error, UnknownName) else ("must", "got", "do")
            missing = [part for part in parts if not getattr(error, part)]
            return {}, f"{NOT_WHOLE}{missing}: {error}" if missing else str(error)
        return dict(found), ""
    if door in ("json", "form"):
        ending = ".json" if door == "json" else ""
        answer = pages.get(f"{ADDRESSES.get(question, f'/ask/{question}')}{ending}?{urlencode(fields)}")
        assert answer.status_code < 500, answer.text
        return (dict(found), "") if answer.status_code == 200 else ({}, answer.text)
    run = CliRunner().invoke(stillroom, [*command(question, fields, field), "--json"])
    assert isinstance(run.exception, StillroomError | SystemExit | None), run.exception
    return (dict(found), "") if run.exit_code == 0 else ({}, f"{run.output}{run.exception}")


def facts_of(question: str, field: str, rng: random.Random) -> tuple[dict[str, str], list[Wording]]:
    """The other fields as they are usually said, and the wordings of this one."""
    out: set[str] = set()
    chosen: dict[str, str] = dict(BESIDES[question])
    for group, instead, choices in ONLY_THEN.get(question, ()):
        out |= set(instead) if field in group else set(group)
        chosen |= choices if field in group else {}
    fields = {
        name: fact(rng)[0].text for name, fact in FACTS[question].items() if name not in out and name != field
    }
    return {**chosen, **fields}, FACTS[question][field](rng)


def one_try(number: int, pages: Pages, found: Found) -> tuple[str, str, str, bool]:
    """Say one fact in two wordings through two doors, and compare."""
    rng = random.Random(SEED * 1_000_003 + number)
    questions = [one for one in ASKED for _ in range(max(1, 6 // SLOW.get(one, 1)))]
    question = rng.choice(questions)
    question = ASKED[number] if number < len(ASKED) else question  # each once, however few the tries
    field = rng.choice(list(FACTS[question]))
    beside, wordings = facts_of(question, field, rng)
    first, other = wordings[0], rng.choice(wordings)
    doors = ["function", "json"]
    if question not in ADDRESSES:  # the page of a reagent tells the recipe as it is written too
        doors.append("form")
    if command(question, {**beside, field: first.text}, field):
        doors.append("command")
    one_door, other_door = rng.choice(doors), rng.choice(doors)
    case = f"try {number}: {question}, {field}: {first.text!r} ({one_door}), {other.text!r} ({other_door})"
    base, refused = ask(one_door, question, field, {**beside, field: first.text}, pages, found)
    assert not refused, f"{case}\nwith {json.dumps(beside, ensure_ascii=False)}\n{refused[:600]}"
    if (other_door, other.text) == (one_door, first.text):  # the very same is not worked out again
        return question, field, other.text, False
    again, refused = ask(other_door, question, field, {**beside, field: other.text}, pages, found)
    assert not refused.startswith(NOT_WHOLE), f"{case}\n{refused}"
    if refused:
        assert other.may_refuse or (other_door == "command" and not other.alike), f"{case}\n{refused[:600]}"
        return question, field, other.text, True
    shared = [key for key in base if key in again and (other.alike or key[1] == "g")]
    assert shared, case
    for key in shared:
        same = math.isclose(base[key], again[key], rel_tol=SAME, abs_tol=1e-12)
        assert same, f"{case}\n{key}: {base[key]!r} and {again[key]!r}"
    return question, field, other.text, False


def test_a_fact_said_otherwise_gives_the_same_answer_or_a_reason() -> None:
    with worked_out() as found, closing(Pages(make_app(None))) as pages:
        told = [one_try(number, pages, found) for number in range(TRIES)]

    assert len({question for question, *_ in told}) == len(ASKED)
    assert sum(refused for *_, refused in told) < len(told) / 3


def tried(first: int, last: int) -> Iterator[str]:
    """What a range of tries finds, and how many there were."""
    refused = findings = 0
    with worked_out() as found, closing(Pages(make_app(None))) as pages:
        for number in range(first, last):
            try:
                refused += one_try(number, pages, found)[-1]
            except Exception as error:  # noqa: BLE001
                findings += 1
                yield f"{type(error).__name__}: {error}"
    yield f"tries {first} to {last - 1}: {refused} refused with a reason, {findings} findings"


if __name__ == "__main__":
    for one in tried(int(sys.argv[1]), int(sys.argv[2])):
        sys.stdout.write(f"{one}\n")
        sys.stdout.flush()
