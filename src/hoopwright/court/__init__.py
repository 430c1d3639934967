"""The fixed world: rings, boards, balls, lines, and the court's axes."""
