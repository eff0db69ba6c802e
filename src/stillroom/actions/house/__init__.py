"""The laboratory itself: its facts, people, instruments, prices, phones, and what it states as its own."""
