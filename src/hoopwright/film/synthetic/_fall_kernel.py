"""The ball after ring and board: through the net, down to the floor, bouncing."""

from hoopwright.flight._compiled import compiled


@compiled
def fall(state, spin, radius, ring, net, force, restitution, step, out):
    """Fill ``out`` [row, 3] with the ball's places every ``step`` s; return the row it lands at.

    ``state`` (place 3, velocity 3); ``ring`` the ring's height; ``net`` (length, how fast the net
    takes level speed off [1/s], how fast vertical speed tends to the net's own [1/s], that speed
    [m/s]), its length 0 for a miss; ``force`` (gravity, drag). A ball that lands rolls with the
    floor after a bounce (thin shell, no slip).
    """
    x, y, z, vx, vy, vz = state
    wx, wy = spin[0], spin[1]
    landed = -1
    for n in range(len(out)):
        out[n, 0], out[n, 1], out[n, 2] = x, y, z
        fast = (vx * vx + vy * vy + vz * vz) ** 0.5
        ax, ay, az = -force[1] * fast * vx, -force[1] * fast * vy, -force[0] - force[1] * fast * vz
        if net[0] > 0.0 and ring - net[0] < z < ring:
            ax -= net[1] * vx + 30.0 * x
            ay -= net[1] * vy + 30.0 * y
            az -= net[2] * (vz - net[3])
        x, y, z = (
            x + step * (vx + 0.5 * step * ax),
            y + step * (vy + 0.5 * step * ay),
            (z + step * (vz + 0.5 * step * az)),
        )
        vx, vy, vz = vx + step * ax, vy + step * ay, vz + step * az
        if z < radius and vz < 0.0:
            landed = n if landed < 0 else landed
            z, vz = 2.0 * radius - z, -restitution * vz
            if vz < 0.15:
                z, vz = radius, 0.0
            # a thin shell that grips keeps 0.6 of its level speed and 0.4 of its rolling speed
            vx, vy = 0.6 * vx + 0.4 * radius * wy, 0.6 * vy - 0.4 * radius * wx
            wx, wy = -vy / radius, vx / radius
    return landed
