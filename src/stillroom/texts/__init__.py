"""What is said to a person: English in the code, and one file for every other language.

The pages that a bench needs and the label of a product speak English and French
(``docs/decisions/0007-english-in-the-code.md``).
"""
