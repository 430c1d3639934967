"""Film drawn from known shots: what a phone would see, and the truth of it."""
