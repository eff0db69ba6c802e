"""A template is compiled once and kept beside the others; changed, or where it cannot be kept, it is compiled again."""

import sys
from pathlib import Path

import pytest
from jinja2 import DictLoader, Environment

from stillroom.web.jinja_environment import CompiledBeside


def says(text: str, folder: Path) -> str:
    """What a template gives in a process of its own."""
    made = Environment(loader=DictLoader({"one.html": text}), bytecode_cache=CompiledBeside(str(folder)))
    return made.get_template("one.html").render()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    return tmp_path / "__pycache__"


def test_a_template_is_compiled_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert says("a tincture", folder) == "a tincture"
    with monkeypatch.context() as nobody:
        nobody.delattr(Environment, "_compile")
        assert says("a tincture", folder) == "a tincture"
        with pytest.raises(AttributeError):
            says("a decoction", folder)

    assert says("a decoction", folder) == "a decoction"


def test_where_nothing_may_be_kept_it_is_compiled_each_time(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder.write_text("a file where the folder would be", encoding="utf-8")
    assert says("a tincture", folder) == "a tincture"

    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert says("a tincture", folder.with_name("untouched")) == "a tincture"
    assert not folder.with_name("untouched").exists()
