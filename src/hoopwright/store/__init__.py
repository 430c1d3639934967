"""The only SQL in the project."""
