"""Heat: what a distillation needs, how long it takes, how much cooling water runs."""
