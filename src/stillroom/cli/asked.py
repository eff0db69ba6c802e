"""A question or an act as a verb: its entries are the options, its papers what may be printed instead of the answer."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

import click

from stillroom.asking.entries import Entry
from stillroom.asking.question import Question, answer
from stillroom.asking.said import Lines
from stillroom.cli.asking import Sign, in_the_book, pair_in, tell_page
from stillroom.errors import BadEntry

if TYPE_CHECKING:
    from stillroom.actions.book.acts import Act
    from stillroom.actions.book.laboratory import Done, Laboratory

WATCH = "/make/{code}/watch"
"""Where an act of the watch leads on a page: its verb tells the verdict that stands there."""
MOST_NAMED = 4
"""Names of a choice that its option lists."""


def command_of(question: Question) -> click.Command:
    """The command that asks a question with no laboratory, and writes nothing."""

    def run(*, as_json: bool, paper: str = "", **typed: Any) -> None:
        tell_answer(question, fields_typed(question, typed), paper, as_json=as_json)

    as_data = click.Option(["--json", "as_json"], is_flag=True, help="Answer as JSON.")
    parameters = [*options_of(question, may_be_left_out=bool(question.instead)), as_data]
    return click.Command(question.name, params=parameters, callback=run, help=question.help)


def tell_answer(question: Question, fields: Mapping[str, str], paper: str, *, as_json: bool) -> None:
    """Print the answer of a question, or one of its papers.

    Parameters
    ----------
    paper : str
        "lesson" or "label"; the answer otherwise.

    Raises
    ------
    StillroomError
        It cannot be answered, or must not be done as it was asked.
    """
    found = answer(question, fields, datetime.now().astimezone().date())
    question.refuse_unread(found)
    page = {"lesson": found.lesson, "label": found.label}.get(paper) or found.page
    tell_page(page, as_json=as_json)
    if found.refused and page is found.page:
        raise found.refused


def options_of(question: Question, *, may_be_left_out: bool) -> list[click.Parameter]:
    """What a command takes for the entries of a question, and for its papers.

    Parameters
    ----------
    may_be_left_out : bool
        Whether the command does something else too, so that none is required.
    """
    parameters = [each for one in _plain(question) for each in _parameters(one, may_be_left_out)]
    parameters += [
        click.Option([f"--{one.option}"], multiple=True, help=one.help)
        if one.many
        else click.Option([f"--{one.option}"], default="", help=one.help)
        for one in question.sentences
    ]
    return parameters + _papers(question.papers)


def fields_typed(question: Question, typed: Mapping[str, Any]) -> dict[str, str]:
    """The entries of a question as a command was given them.

    Parameters
    ----------
    typed : mapping of str to object
        What click brought, by parameter.
    """
    return {one.name: _said(one, typed) for one in _plain(question)} | _in_words(question, typed)


def _plain(question: Question) -> list[Entry]:
    """Entries with an option of their own."""
    in_words = {name for sentence in question.sentences for name in sentence.says}
    return [one for one in question.entries if one.name not in in_words]


def _papers(papers: tuple[str, ...]) -> list[click.Parameter]:
    if not papers:
        return []
    choice = click.Choice(["answer", *papers], case_sensitive=False)
    chosen = click.Option(["--paper"], type=choice, default="answer", help="What to print.")
    if "lesson" not in papers:
        return [chosen]
    told = "The same as a lesson: asked again on paper, answer on the back."
    return [chosen, click.Option(["--lesson", "paper"], flag_value="lesson", help=told)]


def command_of_act(act: "Act[Any]") -> click.Command:
    """The command that does an act of the book."""
    declared = act.said.declared()

    def run(lab: "Laboratory", sign: Sign, /, code: str, **typed: Any) -> "Done":
        fields: dict[str, str] = {}
        for one in declared:
            if isinstance(one, Lines):
                fields |= _in_fields(one, typed[one.name.replace("-", "_")])
            else:
                fields[one.name] = _said(one, typed)
        done = act.do(lab, code, fields, **sign)
        if act.then != WATCH:
            return done
        from stillroom.pages.watch import watch_told

        return replace(done, says=f"{done.says} {watch_told(lab, code)}")

    command = in_the_book(run)
    signed: list[click.Parameter] = command.__click_params__  # type: ignore[attr-defined]
    asked = [
        each
        for one in declared
        for each in (_of_lines(one) if isinstance(one, Lines) else _parameters(one, False, by_name=True))
    ]
    code = click.Argument(["code"], metavar=act.of)
    return click.Command(act.name, params=[code, *asked, *reversed(signed)], callback=command, help=act.help)


def _of_lines(one: Lines) -> list[click.Parameter]:
    key = one.name.replace("-", "_")
    written = f'"{one.written}"'
    flag = f"--{one.option or one.name}"
    return [click.Option([flag, key], multiple=True, required=bool(one.must), metavar=written, help=one.help)]


def _in_fields(one: Lines, said: Sequence[str]) -> dict[str, str]:
    pairs = len(one.entries(1)) > 1
    return one.in_fields([pair_in(each) if pairs else (each,) for each in said])


def _parameters(one: Entry, may_be_asked_otherwise: bool, *, by_name: bool = False) -> list[click.Parameter]:
    face, key = one.face, one.name.replace("-", "_")
    required = one.needed and not may_be_asked_otherwise and "usual" not in face
    otherwise: dict[str, Any] = {} if required else {"default": face.get("usual", "")}
    if face.get("argument"):
        many = -1 if "joined" in face else 1
        return [click.Argument([key], nargs=many, required=required, **otherwise)]
    if "flags" in face:
        return [
            click.Option([f"--{flag}", _flag(key, flag)], is_flag=True, help=each.help)
            for flag, each in face["flags"].items()
        ]
    names = [*one.reads.options()] if one.reads.kind == "choice" else []
    called = [
        f"--{face.get('option', one.name)}",
        *([f"--{one.name}"] if by_name and "option" in face else []),
    ]
    return [
        click.Option(
            [*called, key],
            required=required,
            metavar=f"[{'|'.join(names)}]" if 0 < len(names) <= MOST_NAMED else None,
            help=face.get("help"),
            show_default="usual" in face,
            **otherwise,
        )
    ]


def _flag(key: str, flag: str) -> str:
    return f"{key}_{flag.replace('-', '_')}"


def _said(one: Entry, typed: Mapping[str, Any]) -> str:
    key, face = one.name.replace("-", "_"), one.face
    if "flags" in face:
        said = {flag: each.says for flag, each in face["flags"].items() if typed[_flag(key, flag)]}
        if len(said) > 1:
            both = " and ".join(f"--{flag}" for flag in said)
            raise BadEntry("One of these is said, not both", both, "Leave one out", where=one.name)
        return next(iter(said.values()), face.get("usual", face.get("chosen", "")))
    if "joined" in face:
        return face["joined"].join(typed[key])
    one.refuse_silent_ratio({one.name: typed[key]}, where=f"--{face.get('option', one.name)}")
    return str(typed[key])


def _in_words(question: Question, typed: Mapping[str, Any]) -> dict[str, str]:
    """The entries that options say in words; those that may be said again are counted through."""
    found: dict[str, str] = {}
    again = 0
    for sentence in question.sentences:
        said = typed[sentence.option.replace("-", "_")]
        for text in said if sentence.many else [said] if said else []:
            found |= sentence.reads(text, again)
            again += sentence.many
    return found
