"""Write the golden documents again: ``python -m tests.golden.renew``. Read each one before it is committed.

They are documents of the invented practice laboratory, as the person who receives them reads them. What changed on a
page is told in the change's own file under ``changes/``.
"""

import re
from pathlib import Path

from stillroom.documents.as_text import page_text
from tests.practice import document

FOLDER = Path(__file__).parent
NAMES = ("plan-ORD-1", "batch-sheet-T1", "certificate-T1", "certificate-T1-whole", "label-T1", "trace-E1")


def text_of(name: str) -> str:
    """A document as text; the digest of the book, which any entry changes, left open."""
    return re.sub(r"book [0-9a-f]{10} at", "book ………… at", page_text(document(name)))


def path_of(name: str) -> Path:
    """Where the golden document stands."""
    return FOLDER / f"{name}.txt"


def main() -> None:
    """Write all of them and say which changed."""
    for name in NAMES:
        text, path = text_of(name), path_of(name)
        before = path.read_text(encoding="utf-8") if path.exists() else ""
        path.write_text(text, encoding="utf-8")
        print(f"{name}: {'as it was' if text == before else 'renewed'}")  # noqa: T201


if __name__ == "__main__":
    main()
