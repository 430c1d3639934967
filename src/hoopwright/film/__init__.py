"""Film: a phone clip becomes measured shots, with their errors."""
