"""Hoopwright: from a basketball miss chart to findings a coach can act on."""

__version__ = "0.1.0"
