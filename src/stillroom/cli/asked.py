"""A question as a verb: its entries are the options, its papers the flags."""

from datetime import datetime
from typing import Any

import click

from stillroom.asking.entries import Entry
from stillroom.asking.question import Question, answer
from stillroom.cli.asking import tell_page


def command_of(question: Question) -> click.Command:
    """The command that asks a question with no laboratory, and writes nothing.

    Parameters
    ----------
    question : Question
    """

    def run(*, as_json: bool, lesson: bool = False, **typed: Any) -> None:
        fields = {one.name: _said(one, typed) for one in question.entries}
        found = answer(question, fields, datetime.now().astimezone().date())
        tell_page((lesson and found.lesson) or found.page, as_json=as_json)
        if found.refused and not (lesson and found.lesson):
            raise found.refused

    parameters = [each for one in question.entries for each in _parameters(one, bool(question.instead))]
    if "lesson" in question.papers:
        parameters.append(
            click.Option(
                ["--lesson"],
                is_flag=True,
                help="The same as a lesson: asked again on paper, answer on the back.",
            )
        )
    parameters.append(click.Option(["--json", "as_json"], is_flag=True, help="Answer as JSON."))
    return click.Command(question.name, params=parameters, callback=run, help=question.help)


def _parameters(one: Entry, may_be_asked_otherwise: bool) -> list[click.Parameter]:
    face, key = one.face, one.name.replace("-", "_")
    required = one.needed and not may_be_asked_otherwise and "usual" not in face
    otherwise: dict[str, Any] = {} if required else {"default": face.get("usual", "")}
    if face.get("argument"):
        many = -1 if "joined" in face else 1
        return [click.Argument([key], nargs=many, required=required, **otherwise)]
    if "flags" in face:
        return [
            click.Option([f"--{flag}", f"{key}_{flag}"], is_flag=True, help=face.get("help"))
            for flag in face["flags"]
        ]
    return [
        click.Option(
            [f"--{face.get('option', one.name)}", key],
            required=required,
            help=face.get("help"),
            show_default="usual" in face,
            **otherwise,
        )
    ]


def _said(one: Entry, typed: dict[str, Any]) -> str:
    key, face = one.name.replace("-", "_"), one.face
    if "flags" in face:
        said = (name for flag, name in face["flags"].items() if typed[f"{key}_{flag}"])
        return next(said, face.get("chosen", ""))
    if "joined" in face:
        return face["joined"].join(typed[key])
    return str(typed[key])
