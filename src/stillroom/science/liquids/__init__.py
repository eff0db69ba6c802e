"""Spirit and its mixing: density, strength, contraction, boiling, distillation."""
