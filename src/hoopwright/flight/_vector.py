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
