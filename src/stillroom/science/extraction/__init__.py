"""What a liquid carries out of plant material, and what the spent plant keeps back."""
