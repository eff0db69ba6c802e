"""Numbers as a laboratory writes them: parse, basis, restate, uncertainty, named draws, rounding."""
