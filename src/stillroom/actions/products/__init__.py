"""Products are dosed and filled."""
