"""Inner loops of bending: frames, two-segment limbs, chains of bones."""

import math

import numpy as np

from hoopwright.flight._compiled import compiled


@compiled
def cross(a, b):
    """Cross product of two vectors."""
    return np.array(
        [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
    )


@compiled
def basis(along, side):
    """Orthonormal columns: along, the part of side across it, and their cross product."""
    out = np.empty((3, 3))
    size = math.sqrt(along[0] ** 2 + along[1] ** 2 + along[2] ** 2) + 1e-15
    a = along / size
    b = side - a * (a[0] * side[0] + a[1] * side[1] + a[2] * side[2])
    b = b / (math.sqrt(b[0] ** 2 + b[1] ** 2 + b[2] ** 2) + 1e-15)
    c = cross(a, b)
    for k in range(3):
        out[k, 0], out[k, 1], out[k, 2] = a[k], b[k], c[k]
    return out


@compiled
def product(one, two):
    """Matrix product of two 3 × 3 matrices."""
    out = np.zeros((3, 3))
    for i in range(3):
        for j in range(3):
            for k in range(3):
                out[i, j] += one[i, k] * two[k, j]
    return out


@compiled
def turn_to(here, rest):
    """Rotation that brings a frame at rest to a frame here."""
    return product(here, rest.T)


@compiled
def between(one, two, share):
    """Frame part of the way from one to another: mixed, then made square again."""
    mixed = (1.0 - share) * one + share * two
    made = basis(mixed[:, 1].copy(), mixed[:, 2].copy())
    out = np.empty((3, 3))
    out[:, 1], out[:, 2], out[:, 0] = made[:, 0], made[:, 1], made[:, 2]
    return out


@compiled
def middle_joint(start, end, one, two, pole):
    """Middle joint of two segments bent toward a pole, and the end brought within reach."""
    line = end - start
    far = math.sqrt(line[0] ** 2 + line[1] ** 2 + line[2] ** 2)
    unit = line / max(far, 1e-12)
    reach = min(max(far, abs(one - two) + 1e-4), one + two - 1e-4)
    out = basis(unit, pole)[:, 1]
    along = (one * one - two * two + reach * reach) / (2.0 * reach)
    high = math.sqrt(max(one * one - along * along, 0.0))
    return start + along * unit + high * out, start + reach * unit


@compiled
def limb(start, goal, lengths, pole, rest_upper, rest_lower):
    """Return how a limb's two bones turn to bring its end to a goal, from their rest frames."""
    joint, end = middle_joint(start, goal, lengths[0], lengths[1], pole)
    hinge = cross(pole, goal - start)
    upper = turn_to(basis(joint - start, hinge), rest_upper)
    lower = turn_to(basis(end - joint, hinge), rest_lower)
    return upper, lower


@compiled
def chain(turns, parent, heads, hips, middle, origins):
    """Place every bone at the end of its parent; the first hangs on the hips."""
    for k in range(len(parent)):
        p = parent[k]
        base = heads[k] - (middle if p < 0 else heads[p])
        turn = turns[k] if p < 0 else turns[p]
        for i in range(3):
            origins[k, i] = (hips[i] if p < 0 else origins[p, i]) + (
                turn[i, 0] * base[0] + turn[i, 1] * base[1] + turn[i, 2] * base[2]
            )


@compiled
def fingers(hand, rest, bones, bends, turns):
    """Bend finger bones toward the palm: ``bones`` rows of ``turns``, ``bends`` angles [rad]."""
    for n in range(len(bones)):
        c, s = math.cos(bends[n]), math.sin(bends[n])
        turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        turns[bones[n]] = product(product(hand, product(rest, turn)), rest.T)
