"""The colours a picture was asked for in."""

from hoopwright.reports.colours import LIGHT, SCHEMES, Scheme
from hoopwright.web.visit import Visit


def scheme_of(visit: Visit) -> Scheme:
    """Return the colours the address asks for, by ``?colours=``; light ones where it doesn't."""
    return SCHEMES.get(visit.request.query_params.get("colours", ""), LIGHT)
