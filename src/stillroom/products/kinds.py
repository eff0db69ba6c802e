"""Kinds of product a maker can choose; what each is for stands in the catalogue of texts, for the label.

The name decides which ceilings hold (``limits``); a kind that is not listed may still be written.
"""

KINDS_OF_PRODUCT = (
    "hair leave-on",
    "hair rinse-off",
    "skin leave-on",
    "skin rinse-off",
    "face cream leave-on",
    "body lotion leave-on",
)
