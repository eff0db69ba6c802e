"""Heat, cooling water and watts that a step on the bench takes."""
