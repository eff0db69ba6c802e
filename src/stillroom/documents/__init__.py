"""Blocks of a page, what several pages say in the same words, and the four renderers: web, text, JSON, sheet."""
