"""The book on disk: journal, typed index, verify, backup.

The journal's text is the truth; the tables are its index, written in the same transaction and made again at
will.
"""

from stillroom.store.book import Book
from stillroom.store.book_writer import BookWriter
from stillroom.store.genealogy import Flow, Trace
from stillroom.store.looking import Head
from stillroom.store.reader import Reader
from stillroom.store.restoring import restore
from stillroom.store.stocks import Moving
from stillroom.store.verify import VerifyReport

__all__ = ["Book", "BookWriter", "Flow", "Head", "Moving", "Reader", "Trace", "VerifyReport", "restore"]
