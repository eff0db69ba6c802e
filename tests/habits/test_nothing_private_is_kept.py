"""Nothing of the machine it was written on, of a package host or of how it was written is kept.

Every pattern is put together here from pieces, so that this file passes its own test.
"""

import re

from tests.habits.source_tree import ROOT, tracked

FOLDERS = ("work", "home", "root", "tmp", "Users", "opt")
HOSTS = (
    "py" + "pi.org",
    "python" + "hosted.org",
    "np" + "mjs.org",
    "np" + "mjs.com",
    "debian" + ".org",
    "uni" + "pkg.com",
)
HOSTS += ("jsd" + "elivr.net", "ubuntu" + ".com", "ana" + "conda.org")
WORDS = (
    "chat" + "gpt",
    "open" + "ai",
    "anth" + "ropic",
    "cla" + "ude",
    "co" + "pilot",
    "sub" + "agent",
    "l" + "lm",
)
WORDS += (
    "co-authored" + "-by",
    "generated" + " with",
    "trans" + "cript",
    "issue" + " #",
    "language" + " model",
)
PRIVATE = re.compile(
    "|".join(
        [
            rf"(?<![\w.:)/-])/(?:{'|'.join(FOLDERS)})/",
            *(re.escape(host) for host in HOSTS),
            *(rf"(?i:\b{re.escape(word)}(?![a-z]))" for word in WORDS),
        ]
    )
)


def private_words(text: str) -> list[str]:
    return [
        f"line {text.count(chr(10), 0, hit.start()) + 1}: {hit.group()}" for hit in PRIVATE.finditer(text)
    ]


def test_no_machine_path_package_host_or_private_word_is_kept() -> None:
    found = {}
    for path in tracked():
        try:
            text = path.read_text()
        except UnicodeDecodeError:
            continue  # a picture or a font
        if words := private_words(text):
            found[str(path.relative_to(ROOT))] = words

    assert found == {}


def test_the_patterns_find_what_they_are_for() -> None:
    assert private_words("see " + "/ho" + "me/ann/book")
    assert private_words("from files.python" + "hosted.org")
    assert private_words("Co-Authored" + "-By: somebody")
    assert not private_words("a reducing agent in the workshop, https://example.org/home/")
