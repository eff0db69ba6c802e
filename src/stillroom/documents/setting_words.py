"""Settings of steps in the trade's words, the same on every page that names one."""

from stillroom.texts.catalogue import names, t


def said_of_setting(setting: str) -> str:
    """A setting in the trade's words; "" where none are listed.

    Parameters
    ----------
    setting : str
        Its name in a procedure, "contact_min". [text]
    """
    return t(f"setting.{setting}") if setting in names("setting") else ""


def setting_words(setting: str) -> str:
    """A setting in the trade's words; its name without underscores where none are listed."""
    return said_of_setting(setting) or setting.replace("_", " ")
