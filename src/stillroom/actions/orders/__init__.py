"""Orders are taken and planned."""
