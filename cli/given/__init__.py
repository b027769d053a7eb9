"""What a person typed, turned into numbers with uncertainty, points and requests."""
