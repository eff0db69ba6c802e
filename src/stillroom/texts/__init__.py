"""What is said to a person, in one catalogue per language.

A sentence has a short name that stays (``bench.nothing_made``) and may hold blanks in braces. The pages that a
bench needs and the label of a product speak English and French; sentences inside errors and in other documents
stand in the code, in English (``docs/decisions/0007-one-catalogue-of-texts.md``).
"""
