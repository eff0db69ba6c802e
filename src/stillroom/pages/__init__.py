"""The one place that makes pages: each opens the book once and puts what the acts know into blocks."""
