"""stillroom: from an order of bottles back to the plant, and from every bottle back to its reason."""

__version__ = "0.1.0"
