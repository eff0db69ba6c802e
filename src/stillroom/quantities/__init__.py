"""Numbers as a laboratory writes them: units, bases, uncertainty, named draws and rounding.

Start with ``parse`` (text in), ``restate`` (one basis to another), ``together`` (what may be done with two
quantities) and ``rounding`` (text out). ``draws`` carries what is uncertain through a calculation.
"""
