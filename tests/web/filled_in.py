"""What a browser would send of a form it was given: every field with what stands in it."""

from html.parser import HTMLParser


class _Fields(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, str] = {}
        self._select = self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        name = told.get("name") or ""
        if tag == "input" and name and told.get("type") not in ("checkbox", "radio"):
            self.found[name] = told.get("value") or ""
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            if "selected" in told or self._select not in self.found:
                self.found[self._select] = told.get("value") or ""
        elif tag == "textarea":
            self._area = name
            self.found[name] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        elif tag == "textarea":
            self._area = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            self.found[self._area] += data


def fields_in(html: str) -> dict[str, str]:
    """Every field of a page's forms, as it would be sent."""
    parser = _Fields()
    parser.feed(html)
    return parser.found
