"""Letters as they are read: what cannot be seen is gone, and a letter of another script that looks Latin is Latin.

Promises the same text for two that nobody can tell apart by eye. Greek alpha and beta stay: chemists mean them.
"""

import unicodedata

_LOOKS = str.maketrans(
    "аеорсухіјѕԁһкмтвнАЕОРСУХІЈЅКМТВНοΟνιΙΑΒΕΖΗΚΜΝΡΤΥΧ", "aeopcyxijsdhkmtbhAEOPCYXIJSKMTBHoOviIABEZHKMNPTYX"
)


def plain_letters(text: str) -> str:
    """A text without signs nobody sees, in Latin letters wherever a letter of another script looks like one.

    Parameters
    ----------
    text : str
        As written. [text]
    """
    whole = unicodedata.normalize("NFKC", text)
    seen = "".join(sign for sign in whole if unicodedata.category(sign) != "Cf")
    latin = any("a" <= sign <= "z" for sign in seen.casefold())
    return seen.translate(_LOOKS) if latin else seen
