"""Inner loops of drawing: the ball by line of sight, light and noise, colour planes.

Pictures are uint8 [row, column, BGR], depths float32 [row, column] in metres along the camera's
axis; (0, 0) is the middle of the top left pixel.
"""

import math

from hoopwright.flight._compiled import compiled


@compiled
def _ball_colour(n, turn, light, skin, out):
    """Shade one place of the ball's surface; ``n`` is its outward normal in the world."""
    a = turn[0, 0] * n[0] + turn[0, 1] * n[1] + turn[0, 2] * n[2]
    b = turn[1, 0] * n[0] + turn[1, 1] * n[1] + turn[1, 2] * n[2]
    c = turn[2, 0] * n[0] + turn[2, 1] * n[1] + turn[2, 2] * n[2]
    lit = light[0] * n[0] + light[1] * n[1] + light[2] * n[2]
    shade = 0.52 + 0.48 * max(lit, 0.0) ** 1.0
    seam = abs(a) < 0.035 or abs(b) < 0.035 or abs(abs(c) - 0.55 - 0.25 * a * a) < 0.03
    row = 1 if seam else 0
    gloss = 40.0 * max(lit, 0.0) ** 24
    for k in range(3):
        out[k] = shade * skin[row, k] + gloss


@compiled
def _on_ball(u, v, far, c, radius, pixel, world, turn, light, skin, n, colour):
    """How much of a pixel a ball at ``c`` covers, and its colour there; none if ``far`` is nearer.

    The pixel's line of sight is (u, v, 1) in camera axes; ``n`` is room to work in.
    """
    length = math.sqrt(u * u + v * v + 1.0)
    along = (c[0] * u + c[1] * v + c[2]) / length
    away = c[0] * c[0] + c[1] * c[1] + c[2] * c[2] - along * along
    away = math.sqrt(max(away, 0.0))
    part = (radius - away) * pixel * length * length / along + 0.5
    if part <= 0.0:
        return 0.0
    # where the line of sight meets the ball, or grazes it
    deep = (along - math.sqrt(max(radius * radius - away * away, 0.0))) / length
    if far < deep:
        return 0.0
    a, b, e = deep * u - c[0], deep * v - c[1], deep - c[2]
    size = 1.0 / math.sqrt(a * a + b * b + e * e)
    for k in range(3):
        n[k] = (world[0, k] * a + world[1, k] * b + world[2, k] * e) * size
    _ball_colour(n, turn, light, skin, colour)
    return min(part, 1.0)


@compiled
def draw_ball(
    centres, speed, row0, row_time, radius, pixel, rays, world, turn, light, skin, image, depth,
    under, still, over, cover, near, box, scratch,
):  # fmt: skip
    """Draw a ball into a picture, blurred over its exposure, behind what is nearer.

    ``centres`` [sample, 3] are the ball's places in camera axes over the exposure of picture row
    ``row0``; other rows see it ``row_time`` seconds a row later, moved on at ``speed``.
    ``pixel`` is the focal length; ``under`` and ``still`` are the gym without its thin lines and
    its depth; ``over``, ``cover`` and ``near`` the thin lines. ``box`` is (top, low, left, right).
    """
    samples = len(centres)
    n, colour, total, c = scratch[0], scratch[1], scratch[2], scratch[3]
    for i in range(box[0], box[1]):
        later = (i - row0) * row_time
        for j in range(box[2], box[3]):
            total[:] = 0.0
            seen, behind = 0.0, False
            for s in range(samples):
                for k in range(3):
                    c[k] = centres[s, k] + speed[k] * later
                part = _on_ball(
                    rays[i, j, 0], rays[i, j, 1], depth[i, j], c, radius, pixel, world, turn, light,
                    skin, n, colour,
                )  # fmt: skip
                seen += part
                behind = behind or near[i, j] < c[2]
                for k in range(3):
                    total[k] += part * colour[k]
            if seen > 0.0:
                seen /= samples
                # the ball goes between the gym and the thin lines that are nearer than it is
                lines = behind and depth[i, j] == still[i, j]
                for k in range(3):
                    below = under[i, j, k] if lines else image[i, j, k]
                    mixed = (1.0 - seen) * below + total[k] / samples
                    if lines:
                        mixed += cover[i, j] * (over[i, j, k] - mixed)
                    image[i, j, k] = int(min(max(mixed + 0.5, 0.0), 255.0))


@compiled
def shade_floor(image, depth, still, rays, origin, turned, place, radius, strength, box):
    """Darken the floor softly round a place, where nothing stands before it.

    ``place`` (right, ahead) on the floor; ``strength`` the share of light taken in the middle.
    ``box`` is (top, low, left, right).
    """
    for i in range(box[0], box[1]):
        for j in range(box[2], box[3]):
            u, v = rays[i, j, 0], rays[i, j, 1]
            down = turned[0, 2] * u + turned[1, 2] * v + turned[2, 2]
            if down >= -1e-6 or depth[i, j] != still[i, j]:
                continue
            far = -origin[2] / down
            if abs(far - still[i, j]) > 0.02 * far:
                continue
            x = origin[0] + far * (turned[0, 0] * u + turned[1, 0] * v + turned[2, 0]) - place[0]
            y = origin[1] + far * (turned[0, 1] * u + turned[1, 1] * v + turned[2, 1]) - place[1]
            light = 1.0 - strength * math.exp(-(x * x + y * y) / (radius * radius))
            for k in range(3):
                image[i, j, k] = int(image[i, j, k] * light + 0.5)


@compiled
def to_planes(image, top, low, left, right, y, u, v):
    """Turn a part of a picture into BT.709 video-range luma and 2 × 2 chroma; edges are even."""
    for i in range(top, low, 2):
        for j in range(left, right, 2):
            blue, red, grey = 0.0, 0.0, 0.0
            for a in range(2):
                for b in range(2):
                    p = image[i + a, j + b]
                    luma = 0.0722 * p[0] + 0.7152 * p[1] + 0.2126 * p[2]
                    y[i + a, j + b] = int(16.5 + luma * (219.0 / 255.0))
                    grey += luma
                    blue += p[0]
                    red += p[2]
            u[i // 2, j // 2] = int(128.5 + 0.25 * (blue - grey) / 1.8556 * (224.0 / 255.0))
            v[i // 2, j // 2] = int(128.5 + 0.25 * (red - grey) / 1.5748 * (224.0 / 255.0))


@compiled
def expose(y, gain, strength, grain, shift_i, shift_j, out):
    """Brighten luma by a gain and add grain that grows with light.

    ``strength`` [256] is the noise of each grey level; ``grain`` int8 [row, column] is unit noise
    of standard deviation 32, larger than the picture by the shifts.
    """
    rows, columns = y.shape
    for i in range(rows):
        for j in range(columns):
            level = 16.0 + gain * (y[i, j] - 16.0)
            level += strength[y[i, j]] * grain[i + shift_i, j + shift_j]
            out[i, j] = int(min(max(level + 0.5, 0.0), 255.0))
