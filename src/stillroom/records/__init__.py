"""Every noun of the laboratory, frozen: definitions, lots, movements, orders, batches, readings, people."""
