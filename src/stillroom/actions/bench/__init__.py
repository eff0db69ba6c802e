"""What comes next at the bench, what waits, and what a cut of water or power does."""
