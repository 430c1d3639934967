"""Three-vectors as tuples, for the kernels."""

from hoopwright.flight._compiled import Floats, compiled

Vector = tuple[float, float, float]


@compiled
def pick(values: Floats, i: int) -> float:
    value: float = values[i] if values.size > 1 else values[0]
    return value


@compiled
def dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@compiled
def plus(a: Vector, s: float, b: Vector) -> Vector:
    return (a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2])


@compiled
def times(s: float, a: Vector) -> Vector:
    return (s * a[0], s * a[1], s * a[2])


@compiled
def cross(a: Vector, b: Vector) -> Vector:
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


@compiled
def turned(along: float, across: float, turn: tuple[float, float]) -> tuple[float, float]:
    """(x, y) of a point or direction given along and across the shot line."""
    return turn[1] * across - turn[0] * along, turn[1] * along + turn[0] * across


@compiled
def turned_back(p: Vector, turn: tuple[float, float]) -> tuple[float, float]:
    """(along, across) the shot line of a point."""
    return turn[1] * p[1] - turn[0] * p[0], turn[1] * p[0] + turn[0] * p[1]
