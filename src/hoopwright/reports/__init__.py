"""Facts, then figures, then page; no database."""
