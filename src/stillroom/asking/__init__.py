"""How a question is asked: what may be said, how it is read, what is taken where nobody says, and what is shown.

Knows no question. The questions themselves stand in ``questions``, one file each
(``docs/decisions/0010-a-question-is-declared-once.md``).
"""
