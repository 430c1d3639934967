"""Schema changes in order; ``open_database`` applies them by itself."""
