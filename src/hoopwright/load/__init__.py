"""How much a young body does, and when to stop: cautions, never a diagnosis."""
