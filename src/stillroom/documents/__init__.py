"""Records and answers in, pages out: page models, printed sheets, figures."""
