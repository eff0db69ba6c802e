"""What the scripts of the bench say: English stands here, and every other language in its own file, as anywhere.

Promises each word in every language, in one script that the others read. Says nothing of where they say it.
"""

import hashlib
import json
from collections.abc import Mapping

from fastapi import Request
from fastapi.responses import Response

from stillroom.texts.catalogue import LANGUAGES, later, sentences
from stillroom.web.duties import Addresses

router = Addresses()
ADDRESS = "/static/bench/languages.js"
SCRIPT_WORDS: Mapping[str, str] = {
    "readyIn": later("ready in {left}"),
    "readySince": later("ready for {left}"),
    "useWithin": later("{left} left to use it"),
    "tooLate": later("{left} too late"),
    "days": later("{days} days {hours} h"),
    "hours": later("{hours} h {minutes} min"),
    "minutes": later("{minutes} min"),
    "next": later("Next: {name}"),
    "back": later("Back"),
    "twoReadings": later("This figure has two readings. Write {one} or {two}"),
    "noFigure": later("A figure is needed here, such as 71.6 or 71,6"),
    "tooMuch": later(
        "{scale} takes {most} g at most. Choose the scale it was weighed on; or say in the note how it was weighed."
    ),
    "farOff": later("Far from {target} g. Read the scale again; if it is so, say why in the note."),
    "part": later("{at} of {of}"),
    "heldFor": later("{title} is saved in {left} s."),
    "takeBack": later("Take it back"),
    "writeNow": later("Save it now"),
    "takenBack": later("{title} was taken back. Nothing was saved."),
    "oneWaiting": later("1 entry waiting"),
    "manyWaiting": later("{count} entries waiting"),
    "noConnection": later(
        "The laptop does not answer. The entries stay in this phone and are sent in order once it does."
    ),
    "sendNow": later("Send now"),
    "refused": later("{title} could not be saved. {says}"),
    "open": later("Open and correct it"),
    "throwAway": later("Throw this entry away"),
    "needsPin": later("PIN of {by}, for {count} waiting"),
    "usePin": later("Use it"),
    "notJoined": later(
        "The laptop does not know this phone any more. Scan the code on its screen again; the entries stay here."
    ),
    "doneAt": later("{title} of {batch}, done {time}"),
    "doneAtPlain": later("{title}, done {time}"),
    "entry": later("Entry {number}"),
    "toRead": later(", to be read or corrected"),
    "lastOffline": later("Every step here is done. Go on as soon as the laptop answers."),
    "goOn": later("Go on"),
    "stands": later("{step} was done {since}: ready {ready}."),
    "standsUntil": later("{step} was done {since}: use it no later than {until}."),
    "notKept": later(
        "This phone keeps nothing: its storage is full or closed. Without a connection nothing can be saved."
    ),
    "tapped": later("Tapped at {time}."),
    "keptTyped": later("The laptop does not answer. What is typed is kept; try again when it is back."),
}
"""By the name under which a script says it; a word in braces is a blank."""


@router.get(ADDRESS, needs="anybody")
def languages_script(request: Request) -> Response:
    """The words in every language, as a script; nothing where the browser has it."""
    told = {
        code: {name: sentences(code).get(words, words) for name, words in SCRIPT_WORDS.items()}
        for code in LANGUAGES
    }
    script = f"export const LANGUAGES = {json.dumps(told, ensure_ascii=False)};\n"
    headers = {"ETag": f'"{hashlib.sha256(script.encode()).hexdigest()[:32]}"'}
    if headers["ETag"] == request.headers.get("if-none-match"):
        return Response(status_code=304, headers=headers)
    return Response(script, media_type="text/javascript", headers=headers)
