"""A published row bound to a model: spirits, acids, solvents, markers, ingredients, reagents."""
