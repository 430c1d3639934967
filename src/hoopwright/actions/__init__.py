"""The verbs: one thing a coach can do per function."""
