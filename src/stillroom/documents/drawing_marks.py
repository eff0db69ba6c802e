"""The marks every drawing is made of: its frame with title and words, lines, text, and the inks."""

from collections.abc import Sequence
from html import escape

INK, FADED, RULE, PAPER, DEEP = "#1F2A2E", "#5B6468", "#D9D0BE", "#FBF8F1", "#F3ECDD"
LEAF, WATER, COPPER, BROWN = "#2F6044", "#2A5878", "#A0362A", "#8F5410"


def framed(size: tuple[float, float], title: str, words: str, marks: Sequence[str]) -> str:
    """One ``<svg>`` element around some marks, that names itself and, where it has words, tells itself.

    Parameters
    ----------
    size : (float, float)
        Width and height. [px]
    title, words : str
        For those who cannot see it.
    """
    width, height = (f"{one:.0f}" for one in size)
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="stream-drawing" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" role="img" font-family="Stillroom Sans">'
    )
    told = [f"<desc>{escape(words)}</desc>"] if words else []
    return "\n".join((opening, f"<title>{escape(title)}</title>", *told, *marks, "</svg>"))


def line(places: Sequence[tuple[float, float]], stroke: str, dashes: str = "", thick: int = 1) -> str:
    """A line through places. [px]."""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    path = " ".join(f"{along:.1f},{down:.1f}" for along, down in places)
    return f'<polyline points="{path}" fill="none" stroke="{stroke}" stroke-width="{thick}"{dashed}/>'


def text(along: float, down: float, words: str, anchor: str = "middle", fill: str = FADED) -> str:
    """Words at a place. [px]."""
    return (
        f'<text x="{along:.1f}" y="{down:.1f}" font-size="13" text-anchor="{anchor}" fill="{fill}">'
        f"{escape(words)}</text>"
    )
