"""What others have published: tables with a passport, the list of publications, and the cautions.

Each table is ``tables/<name>.csv`` beside ``tables/<name>.toml``; each publication stands once in
``sources.toml``. Nothing here computes: a figure is bound to an equation only in ``substances``.
"""
