"""Kinds of product a maker can choose, with what each is for in the words of a label.

The name decides which ceilings hold (``limits``); a kind that is not listed may still be written.
"""

KINDS_OF_PRODUCT: dict[str, str] = {
    "hair leave-on": "For the hair and scalp, to be left on",
    "hair rinse-off": "For the hair and scalp, to be rinsed off",
    "skin leave-on": "For the skin, to be left on",
    "skin rinse-off": "For the skin, to be rinsed off",
    "face cream leave-on": "For the face, to be left on",
    "body lotion leave-on": "For the body, to be left on",
}
"""Kind and its function on the label."""
