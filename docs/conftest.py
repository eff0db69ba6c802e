"""The practice laboratory for the examples of a page that read a book."""

from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(autouse=True)
def _practice(request: pytest.FixtureRequest, doctest_namespace: dict[str, Any], tmp_path: Path) -> None:
    if request.node.name == "python.md":
        from tests.practice import copied

        doctest_namespace["practice"] = copied(tmp_path / "book")
