"""A page read as a browser reads it: what its forms ask, where it leads, and whether anything typed came alive."""

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any, Literal

MARKUP = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>{{191*191}}${191*191} #panic(191)"
WORKED_OUT = "36481"
Kind = Literal["text", "figure", "fixed"]
_LEFT_ALONE = {"hidden", "radio", "checkbox", "date", "datetime-local", "file"}


@dataclass
class FoundForm:
    """A form of a page: address, manner, and each field with its kind and what stands in it."""

    action: str
    method: str
    fields: dict[str, tuple[Kind, str]] = field(default_factory=dict)

    @property
    def pattern(self) -> str:
        return pattern_of(self.action)

    def filled(self, text: str, figure: str, *, kept: dict[str, str] | None = None) -> dict[str, str]:
        """Every field as it would be sent, text and figures replaced."""
        put = {"text": text, "figure": figure}
        sent = {name: put.get(kind, value) for name, (kind, value) in self.fields.items()}
        return sent | {name: value for name, value in (kept or {}).items() if name in sent}


class PageRead(HTMLParser):
    """One page: its forms, its links, and what of it would run (none of ours has any)."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.forms: list[FoundForm] = []
        self.links: list[str] = []
        self.alive: list[str] = []
        self._inside: FoundForm | None = None
        self._select = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        self._look_for_life(tag, told)
        if tag == "a" and told.get("href", "").startswith("/"):
            self.links.append(told["href"].partition("#")[0])
        if tag == "form":
            self._inside = FoundForm(told.get("action", ""), told.get("method", "get").lower())
            self.forms.append(self._inside)
        elif self._inside is not None:
            self._look_for_a_field(tag, told, self._inside.fields)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._inside = None
        elif tag == "select":
            self._select = ""

    def _look_for_a_field(self, tag: str, told: dict[str, str], fields: dict[str, tuple[Kind, str]]) -> None:
        name, value = told.get("name", ""), told.get("value", "")
        if tag == "textarea" and name:
            fields[name] = ("text", "")
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            if "selected" in told or not fields.get(self._select, ("", ""))[1]:
                fields[self._select] = ("fixed", value)
        elif tag == "input" and name and told.get("type") in _LEFT_ALONE:
            fields.setdefault(name, ("fixed", value))
        elif tag == "input" and name:
            fields[name] = ("figure" if "inputmode" in told else "text", value)

    def _look_for_life(self, tag: str, told: dict[str, str]) -> None:
        if (tag == "script" and "src" not in told) or tag in ("iframe", "object", "embed", "base"):
            self.alive.append(tag)
        self.alive += [f"{tag} {name}" for name in told if name.startswith("on")]
        self.alive += [
            f"{tag} {name}={told[name][:20]}"
            for name in ("href", "src", "action", "formaction", "xlink:href")
            if re.match(r"\s*(javascript|data:text|vbscript)", told.get(name, ""), re.IGNORECASE)
        ]


def pattern_of(address: str) -> str:
    """An address with its codes and numbers left out."""
    path, _, asked = address.partition("?")
    if path.startswith("/why/"):
        return "/why/*"
    parts = ("*" if re.search(r"[A-Z0-9%]", part) else part for part in path.split("/"))
    return "/".join(parts) + ("?" + re.sub(r"=[^&]*", "=", asked) if asked else "")


def opened_pages(client: Any, begin: tuple[str, ...], *, of_each: int = 1) -> dict[str, str]:
    """Pages that links lead to from where one begins, so many of each kind, with what they say."""
    waiting, seen, counted, pages = list(begin), set(begin), dict[str, int](), dict[str, str]()
    while waiting:
        address = waiting.pop()
        answer = client.get(address)
        assert answer.status_code < 500, address
        if "text/html" not in answer.headers.get("content-type", ""):
            continue
        pages[address] = answer.text
        for link in PageRead(answer.text).links:
            pattern = pattern_of(link)
            paper = link.endswith((".pdf", ".png", ".json", ".txt", ".css", ".ics"))
            if link in seen or paper or counted.get(pattern, 0) >= of_each:
                continue
            seen.add(link)
            counted[pattern] = counted.get(pattern, 0) + 1
            waiting.append(link)
    return pages
