"""Answers, their trails and their seals: why a number is what it is."""
