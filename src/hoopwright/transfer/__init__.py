"""Whether practice holds up: games against practice, and progress through cold tests."""
