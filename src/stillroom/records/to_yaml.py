"""Orders and procedures written out as files a person would write, which read back as the same record.

White space at the ends of a text and its line breaks in names are not kept; nothing else is lost.
"""

import re
from collections.abc import Iterator, Mapping
from io import StringIO
from typing import Any

from stillroom.errors import StillroomError
from stillroom.records.order_from_yaml import stated_strength
from stillroom.records.orders import Order, StatedStrength
from stillroom.records.procedures import Line, Procedure, Setting, Step

WIDEST = 4096
_PLAIN = re.compile(r"\w[\w .()%°/-]*")


def order_to_yaml(order: Order) -> str:
    """An order as the text of a file.

    Parameters
    ----------
    order : Order
        The order.

    Returns
    -------
    str
        YAML that ``order_from_yaml`` reads back as the same order.
    """
    return _text(
        {
            "order": order.code,
            "customer": order.customer,
            "product": order.product,
            "formula": order.formula,
            "extraction": order.extraction or None,
            "kind": order.product_type or None,
            "market": order.market or None,
            "bottles": f"{order.units} × {_number(order.content.amount)} {order.content.unit}",
            "aim": None if order.is_plain else _strength(order.aim),
            "declared at least": None if order.is_plain else _strength(order.at_least),
            "due": order.due,
            "how sure": f"{_number(order.how_sure_percent)} %",
            "notes": order.notes or None,
        }
    )


def procedure_to_yaml(procedure: Procedure) -> str:
    """A procedure as the text of a file.

    Parameters
    ----------
    procedure : Procedure
        The procedure.

    Returns
    -------
    str
        YAML that ``procedure_from_yaml`` reads back as the same procedure.
    """
    return _text(procedure_content(procedure))


def procedure_content(procedure: Procedure) -> dict[str, Any]:
    """A procedure as texts under the keys of its file; None where nothing is written.

    Parameters
    ----------
    procedure : Procedure
        The procedure.

    Returns
    -------
    dict
        Texts, tuples of texts, and lists of such mappings.
    """
    return {
        "procedure": procedure.code,
        "version": str(procedure.version),
        "title": procedure.title,
        "purpose": procedure.purpose,
        "makes": procedure.makes,
        "scaled by": procedure.scaled_by,
        "markers": procedure.markers,
        "product type": procedure.product_type or None,
        "keeps": f"{procedure.keeps_days} d",
        "notes": procedure.notes or None,
        "claims": procedure.claims or None,
        "label text": procedure.label_text or None,
        "lines": [_line(one) for one in procedure.lines],
        "steps": [_step(one) for one in procedure.steps],
    }


def _line(line: Line) -> dict[str, Any]:
    return {
        "name": line.name,
        "substance": line.substance,
        "percent": None if line.percent is None else _number(line.percent),
        "role": line.role or None,
        "phase": line.phase or None,
        "label name": line.label_name or None,
        "amount": line.amount or None,
        "serves": line.serves or None,
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "name": step.name,
        "kind": step.kind,
        "says": step.says,
        "takes": step.takes,
        "gives": step.gives,
        "weighs": step.weighs,
        "ticks": step.ticks,
        "cautions": step.cautions,
        "hands": _minutes(step.hands_min or None),
        "watch": _minutes(step.watch_min or None),
        "free": _minutes(step.free_min or None),
        "longest wait": _minutes(step.longest_wait_min),
        "settings": [_setting(one) for one in step.settings],
    }


def _setting(setting: Setting) -> dict[str, Any]:
    return {
        "name": setting.name,
        "value": _number(setting.value),
        "unit": setting.unit or None,
        "spread": None if setting.spread == "fixed" else setting.spread,
        "standard uncertainty": _number(setting.standard_uncertainty)
        if setting.standard_uncertainty
        else None,
        "origin": setting.origin,
        "because": setting.because or None,
    }


def _strength(strength: StatedStrength) -> str:
    plain = f"{_number(strength.percent)} % w/w {strength.of} as {strength.reckoned_as}"
    try:
        return strength.as_written if stated_strength(strength.as_written) == strength else plain
    except StillroomError:
        return plain


def _minutes(minutes: float | None) -> str | None:
    return None if minutes is None else f"{_number(minutes)} min"


def _number(value: float) -> str:
    return repr(float(value)).removesuffix(".0")


def _text(content: Mapping[str, Any]) -> str:
    from ruamel.yaml import YAML
    from ruamel.yaml import events as say

    yaml = YAML(typ="safe", pure=True)
    yaml.allow_unicode, yaml.width = True, WIDEST
    out = StringIO()
    yaml.emit(
        [
            say.StreamStartEvent(),
            say.DocumentStartEvent(explicit=False),
            *_events(_filled(content)),
            say.DocumentEndEvent(explicit=False),
            say.StreamEndEvent(),
        ],
        out,
    )
    return out.getvalue()


def _events(content: Any, *, in_brackets: bool = False) -> Iterator[Any]:
    """The content as YAML events: values as text, a list of texts on one line, the rest under each other."""
    from ruamel.yaml import events as say

    if isinstance(content, str):
        quoted = content in ("", "~", "null") or (in_brackets and not _PLAIN.fullmatch(content))
        style = "'" if quoted else "|" if "\n" in content else None
        yield say.ScalarEvent(None, None, (True, True), content, style=style)
    elif isinstance(content, Mapping):
        yield say.MappingStartEvent(None, None, True, flow_style=False)
        for key, value in content.items():
            yield from _events(key)
            yield from _events(value)
        yield say.MappingEndEvent()
    else:
        flat = all(isinstance(one, str) for one in content)
        yield say.SequenceStartEvent(None, None, True, flow_style=flat)
        for one in content:
            yield from _events(one, in_brackets=flat)
        yield say.SequenceEndEvent()


def _filled(content: Any) -> Any:
    """The same without what is empty, all the way down."""
    if isinstance(content, Mapping):
        return {key: _filled(value) for key, value in content.items() if value not in (None, (), [])}
    return [_filled(one) for one in content] if isinstance(content, list) else content
