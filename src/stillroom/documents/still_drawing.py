"""A run of a still drawn: strength of the distillate so far and of the drip, against what is over.

Promises a drawing that stands alone, prints in black and white (one line whole, one dashed), carries its words, and
marks the cut. Reckons nothing.
"""

from collections.abc import Iterable

from stillroom.answers.spirit_recovered import Cut, Recovered
from stillroom.documents.blocks import River
from stillroom.documents.drawing_marks import COPPER, INK, RULE, WATER, framed, line, text
from stillroom.texts.catalogue import t

STEPS_L = (0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
LEFT, RIGHT, TOP, BOTTOM = 58.0, 24.0, 34.0, 52.0


def still_drawing(found: Recovered) -> River:
    """The run as a drawing, wide and tall."""
    return River(_svg(found, 760, 360), _svg(found, 360, 330), still_in_words(found))


def still_in_words(found: Recovered) -> str:
    """The same for those who cannot see it."""
    first, last = found.curve[0], found.curve[-1]
    stop = found.stop
    return t(
        "The first drop is {first:.1f} % v/v. At the cut, {litres:.2f} L are over: "
        "{strength:.1f} % v/v together, {drip:.1f} % v/v dripping. With 99 % of the ethanol "
        "over, {last_litres:.2f} L are {last:.1f} % v/v.",
        first=first.drip.value,
        litres=stop.volume.value / 1000.0,
        strength=stop.strength.value,
        drip=stop.drip.value,
        last_litres=last.volume.value / 1000.0,
        last=last.strength.value,
    )


def _svg(found: Recovered, width: int, height: int) -> str:
    most_l = found.curve[-1].volume.value / 1000.0
    step = next((one for one in STEPS_L if most_l / one <= (6 if width > 500 else 4)), STEPS_L[-1])
    end_l = most_l * 1.02
    wide, deep = width - LEFT - RIGHT, height - TOP - BOTTOM

    def x(litres: float) -> float:
        return LEFT + wide * litres / end_l

    def y(percent: float) -> float:
        return TOP + deep * (1.0 - percent / 100.0)

    def through(values: Iterable[tuple[float, float]], stroke: str, dashes: str = "") -> str:
        return line([(x(volume), y(percent)) for volume, percent in values], stroke, dashes, 2)

    parts = []
    for percent in range(0, 101, 20):
        parts.append(line(((LEFT, y(percent)), (width - RIGHT, y(percent))), RULE))
        parts.append(text(LEFT - 8, y(percent) + 4, f"{percent}", anchor="end"))
    for at in range(int(end_l / step) + 1):
        parts.append(text(x(at * step), height - BOTTOM + 18, f"{at * step:g}"))
        parts.append(line(((x(at * step), y(0)), (x(at * step), y(0) + 5)), RULE))
    parts.append(text(LEFT - 34, TOP - 14, "% v/v", anchor="start"))
    parts.append(text(LEFT + wide / 2, height - 12, t("L of distillate")))
    parts.append(through(((_litres(one), one.strength.value) for one in found.curve), WATER))
    parts.append(through(((_litres(one), one.drip.value) for one in found.curve), INK, "6 4"))
    at_l = _litres(found.stop)
    parts.append(line(((x(at_l), TOP), (x(at_l), y(0))), COPPER))
    near_end = at_l > 0.6 * end_l
    parts.append(
        text(
            x(at_l) + (-6 if near_end else 6),
            TOP - 6,
            t("cut"),
            anchor="end" if near_end else "start",
            fill=COPPER,
        )
    )
    middle = found.curve[len(found.curve) // 3]
    parts.append(
        text(
            x(_litres(middle)),
            y(middle.strength.value) - 8,
            t("distillate so far"),
            fill=WATER,
        )
    )
    parts.append(text(x(_litres(middle)), y(middle.drip.value) + 20, t("dripping now"), fill=INK))
    return framed((width, height), t("Strength against what is over"), still_in_words(found), parts)


def _litres(cut: Cut) -> float:
    return cut.volume.value / 1000.0
