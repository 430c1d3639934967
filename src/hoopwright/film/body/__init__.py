"""The body in one shot: ``measure_body`` gives every measure with its error, or why it is left."""

from hoopwright.film.body.measure import leg_drive, measure_body

__all__ = ["leg_drive", "measure_body"]
