"""Every page a person opens, built from the book by what the acts know and the blocks of ``documents``."""
