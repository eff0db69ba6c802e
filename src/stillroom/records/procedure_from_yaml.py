"""A procedure from a file: its lines, its steps, and whether each step can find what it takes.

Refuses what could never be worked by: a name used twice, a step that takes what nobody gave, two lines that
fill up. Whether the lines of a formula sum to 100, and whether a kind of step exists, is asked elsewhere.
"""

from typing import Literal, get_args

from stillroom.errors import BadEntry, UnknownName
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.records.procedures import Line, Procedure, Purpose, Serves, Step
from stillroom.records.reading_yaml import Written, read_yaml
from stillroom.records.sections import Section, Troubles, members_of, once_each
from stillroom.records.setting_from_text import setting_from
from stillroom.records.written_values import OneOf, code, note, one_line, percentage, whole_number

Role = Literal["q.s.", "dosed", ""]
KEYS = (
    "procedure",
    "code",
    "version",
    "title",
    "purpose",
    "makes",
    "scaled by",
    "markers",
    "keeps",
    "keeps days",
    "product type",
    "notes",
    "claims",
    "label text",
    "lines",
    "steps",
)
LINE_KEYS = ("name", "substance", "percent", "role", "phase", "label name", "amount", "serves")
TIMES = ("hands", "watch", "free", "longest wait")
STEP_KEYS = (
    "name",
    "kind",
    "says",
    "takes",
    "gives",
    "settings",
    "weighs",
    "ticks",
    "cautions",
    *TIMES,
    *(f"{one} min" for one in TIMES),
)
MOST_TICKS = 3
SERVES: OneOf[Serves] = OneOf(("preservative", "other"), "what a line serves as")
PURPOSE: OneOf[Purpose] = OneOf(get_args(Purpose), "a purpose")


def procedure_from_yaml(source: str | bytes, name: str = "procedure.yaml") -> Procedure:
    """The procedure a file holds.

    Parameters
    ----------
    source : str or bytes
        The whole file.
    name : str
        What errors call the file.

    Returns
    -------
    Procedure
        The procedure.

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; the line is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    return procedure_from_written(read_yaml(source, name), Troubles())


def procedure_from_written(written: Written, troubles: Troubles) -> Procedure:
    """The procedure of a mapping, whether a file or the fields of a form were written.

    Parameters
    ----------
    written : Written
        The mapping. [record]
    troubles : Troubles
        Where anything wrong is told.

    Returns
    -------
    Procedure
        The procedure. [record]

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; its place is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    section = Section(written, "a procedure", KEYS, troubles)
    lines = [
        (_line(one, troubles), one.where) for one in members_of(section.value("lines"), "name", troubles)
    ]
    steps = [
        (_step(one, troubles), one.where) for one in members_of(section.value("steps"), "name", troubles)
    ]
    procedure = Procedure(
        code=section.read("code" if section.has("code") else "procedure", code, ""),
        version=section.read("version", _version, 1),
        title=section.read("title", one_line, ""),
        purpose=section.read("purpose", PURPOSE, "formula"),
        makes=section.read("makes", one_line, ""),
        scaled_by=section.read("scaled by", one_line, ""),
        lines=tuple(line for line, _ in lines),
        steps=tuple(step for step, _ in steps),
        markers=section.read_list("markers", one_line),
        keeps_days=_keeps_days(section),
        product_type=section.read("product type", one_line, "", needed=False),
        notes=section.read("notes", note, "", needed=False),
        claims=section.read("claims", note, "", needed=False),
        label_text=section.read("label text", note, "", needed=False),
    )
    if not section.has("lines"):
        section.miss("lines")
    if section.has("code") and section.has("procedure"):
        troubles.refuse(
            "A procedure has one code",
            "both 'procedure' and 'code'",
            "Keep one",
            where=section.where_of("code"),
        )
    if not len(troubles):
        _check_lines(procedure, lines, troubles)
        _check_steps(procedure, steps, troubles)
        _check_scale(procedure, section, troubles)
    troubles.tell()
    return procedure


def _line(written: Written, troubles: Troubles) -> Line:
    section = Section(written, "a line", LINE_KEYS, troubles)
    return Line(
        name=section.read("name", one_line, ""),
        substance=section.read("substance", one_line, ""),
        percent=section.read("percent", _percent, None, needed=False),
        role=section.read("role", _role, "", needed=False),
        phase=section.read("phase", one_line, "", needed=False),
        label_name=section.read("label name", one_line, "", needed=False),
        amount=section.read("amount", one_line, "", needed=False),
        serves=section.read("serves", SERVES, "", needed=False),
    )


def _step(written: Written, troubles: Troubles) -> Step:
    section = Section(written, "a step", STEP_KEYS, troubles)
    found = [
        (setting_from(one, troubles), one.where)
        for one in members_of(section.value("settings"), "name", troubles)
    ]
    once_each([(one.name, where) for one, where in found], "setting", troubles)
    hands_min, watch_min, free_min = (_minutes(section, key) or 0.0 for key in TIMES[:3])
    return Step(
        name=section.read("name", one_line, ""),
        kind=section.read("kind", one_line, ""),
        says=section.read("says", note, ""),
        takes=section.read_list("takes", one_line),
        gives=section.read_list("gives", one_line),
        settings=tuple(one for one, _ in found),
        weighs=section.read_list("weighs", one_line),
        ticks=section.read_list("ticks", one_line),
        cautions=section.read_list("cautions", one_line),
        hands_min=hands_min,
        watch_min=watch_min,
        free_min=free_min,
        longest_wait_min=_minutes(section, "longest wait"),
    )


def _minutes(section: Section, key: str) -> float | None:
    bare = f"{key} min"
    if section.has(key) and section.has(bare):
        section.troubles.refuse(f"'{key}' is written once", f"'{bare}' too", where=section.where_of(bare))
    if section.has(bare):
        return section.read(bare, _bare_minutes, None)
    return section.read(key, _duration, None, needed=False)


def _duration(text: str, where: str) -> float | None:
    return parse(text, want="time", where=where).in_unit("min")


def _bare_minutes(text: str, where: str) -> float | None:
    value = number_in(text, where=where).value
    if value < 0:
        raise BadEntry("A time cannot be negative", repr(text[:40]), "Check the sign", where=where)
    return value


def _keeps_days(section: Section) -> int:
    if section.has("keeps") and section.has("keeps days"):
        section.troubles.refuse(
            "'keeps' is written once", "'keeps days' too", where=section.where_of("keeps days")
        )
    if section.has("keeps days"):
        return section.read("keeps days", whole_number, 0)
    return section.read("keeps", _days, 0, needed=False)


def _days(text: str, where: str) -> int:
    found = parse(text, want=("time", "calendar time"), where=where)
    if found.dimension == "calendar time":
        raise BadEntry(
            "How long it keeps is written in days", repr(text[:40]), "Write it like 365 d", where=where
        )
    return whole_number(f"{found.in_unit('d'):.12g}", where)


def _version(text: str, where: str) -> int:
    version = whole_number(text, where)
    if version < 1:
        raise BadEntry("Versions begin at 1", text[:40], "Write 1 for the first", where=where)
    return version


def _role(text: str, where: str) -> Role:
    if text.casefold() in ("q.s.", "qs", "q.s", "q. s."):
        return "q.s."
    if text.casefold() == "dosed":
        return "dosed"
    raise UnknownName.among(text[:40], "a role of a line", ("q.s.", "dosed")).at(where)


def _percent(text: str, where: str) -> float | None:
    return percentage(text.removesuffix("w/w"), where)


def _check_lines(procedure: Procedure, lines: list[tuple[Line, str]], troubles: Troubles) -> None:
    once_each([(line.name, where) for line, where in lines], "line", troubles)
    for role in ("q.s.", "dosed"):
        several = [(line.name, where) for line, where in lines if line.role == role]
        if len(several) > 1:
            troubles.refuse(
                f"At most one line is {role}",
                " and ".join(repr(name) for name, _ in several[:4]),
                "Give the others a percent"
                if role == "q.s."
                else "Give the others the percent that 'Dose from an extract' tells for their strength; once their "
                "lots are assayed, the certificate says what each of them brings",
                where=several[1][1],
            )
    for line, where in lines:
        if line.role and line.percent is not None:
            troubles.refuse(
                f"A line that is {line.role} has no percent of its own",
                f"{line.percent:g} % for {line.name!r}",
                "Leave one of the two out",
                where=where,
            )
        if procedure.purpose == "formula" and not line.role and line.percent is None:
            troubles.refuse(
                "A line of a formula has a percent, or is q.s. or dosed",
                f"{line.name!r} with neither",
                "Add 'percent'",
                where=where,
            )


def _check_steps(procedure: Procedure, steps: list[tuple[Step, str]], troubles: Troubles) -> None:
    once_each([(step.name, where) for step, where in steps], "step", troubles)
    lines = {line.name for line in procedure.lines}
    given: dict[str, str] = {}
    taken: dict[str, str] = {}
    for step, where in steps:
        _check_step(step, where, troubles)
        for name in step.takes:
            if name not in lines and name not in given:
                what = f"a line, nor anything an earlier step gave before {step.name!r},"
                troubles.add(UnknownName.among(name, what, {*lines, *given}), where)
            elif name in taken and name not in lines:
                troubles.refuse(
                    "What a step gave can be taken once",
                    f"{name!r} taken by {taken[name]!r} and {step.name!r}",
                    "Divide it in a step of its own",
                    where=where,
                )
            taken.setdefault(name, step.name)
        for name in step.gives:
            if name in lines or name in given:
                troubles.refuse(
                    "What a step gives has a name of its own",
                    f"{name!r}, which is {'a line' if name in lines else 'given by ' + repr(given[name])}",
                    "Name it otherwise",
                    where=where,
                )
            given.setdefault(name, step.name)
    if steps and (idle := [name for name in lines if name not in taken]):
        troubles.refuse(
            "Every line is taken by a step",
            ", ".join(repr(name) for name in sorted(idle)[:6]) + " taken by none",
            "Add it to 'takes' of the step that uses it",
            where=steps[0][1],
        )


def _check_step(step: Step, where: str, troubles: Troubles) -> None:
    if len(step.ticks) > MOST_TICKS:
        troubles.refuse(
            f"A step has at most {MOST_TICKS} ticks",
            f"{len(step.ticks)} at {step.name!r}",
            "Keep those that stop harm before it can start",
            where=where,
        )
    for names, what in ((step.takes, "taken"), (step.gives, "given"), (step.weighs, "weighed")):
        if len(set(names)) < len(names):
            twice = next(name for name in names if names.count(name) > 1)
            troubles.refuse(
                f"Nothing is {what} twice in one step", f"{twice!r} at {step.name!r}", where=where
            )
    for name in step.weighs:
        if name not in (*step.takes, *step.gives):
            what = f"something that step {step.name!r} takes or gives"
            troubles.add(UnknownName.among(name, what, (*step.takes, *step.gives)), where)


def _check_scale(procedure: Procedure, section: Section, troubles: Troubles) -> None:
    names = {line.name for line in procedure.lines}
    if procedure.purpose != "extraction":
        names.add("bulk")
    if procedure.scaled_by not in names:
        troubles.add(
            UnknownName.among(procedure.scaled_by, "a line to scale by", names), section.where_of("scaled by")
        )
