"""What every act needs of the book: the laboratory that is open, results that count, entries that are corrected."""
