"""Inner loops of the figure: bend the mesh, and draw its triangles with a depth buffer."""

import math

from hoopwright.flight._compiled import compiled


@compiled
def bend(vertices, normals, bone, share, heads, turns, origins, scale, points, directions):
    """Move vertices and turn normals with their bones (linear blend skinning).

    ``vertices``, ``normals`` [vertex, 3] at rest; ``bone``, ``share`` [vertex, 4]; ``heads`` where
    bones begin at rest; ``turns``, ``origins`` of the pose. Fills ``points`` and ``directions``.
    """
    for n in range(len(vertices)):
        for k in range(3):
            points[n, k] = 0.0
            directions[n, k] = 0.0
        for m in range(4):
            w = share[n, m]
            if w == 0.0:
                continue
            b = bone[n, m]
            x = scale * (vertices[n, 0] - heads[b, 0])
            y = scale * (vertices[n, 1] - heads[b, 1])
            z = scale * (vertices[n, 2] - heads[b, 2])
            for k in range(3):
                r0, r1, r2 = turns[b, k, 0], turns[b, k, 1], turns[b, k, 2]
                points[n, k] += w * (origins[b, k] + r0 * x + r1 * y + r2 * z)
                directions[n, k] += w * (
                    r0 * normals[n, 0] + r1 * normals[n, 1] + r2 * normals[n, 2]
                )


@compiled
def see(points, directions, colours, part, camera, shift, lens, light, pixels, lit):
    """Project vertices and shade them.

    ``camera`` [3, 3] turns world into camera axes; ``lens`` is (focal, radial term, middle x,
    middle y); ``colours`` [part, BGR]. Fills ``pixels`` [vertex, (x, y, depth)] and ``lit``
    [vertex, BGR], and returns the least x, y, depth and the largest x, y.
    """
    left, top, near, right, low = math.inf, math.inf, math.inf, -math.inf, -math.inf
    for n in range(len(points)):
        c0, c1, c2 = shift[0], shift[1], shift[2]
        for k in range(3):
            p = points[n, k]
            c0 += camera[0, k] * p
            c1 += camera[1, k] * p
            c2 += camera[2, k] * p
        deep = max(c2, 1e-3)
        u, v = c0 / deep, c1 / deep
        bent = 1.0 + lens[1] * (u * u + v * v)
        pixels[n, 0] = lens[0] * u * bent + lens[2]
        pixels[n, 1] = lens[0] * v * bent + lens[3]
        pixels[n, 2] = c2
        d0, d1, d2 = directions[n, 0], directions[n, 1], directions[n, 2]
        size = math.sqrt(d0 * d0 + d1 * d1 + d2 * d2) + 1e-9
        lamp = (light[0] * d0 + light[1] * d1 + light[2] * d2) / size
        # lamps above, a floor that throws light back, and the hall's own grey
        shade = 0.50 + 0.42 * max(lamp, 0.0) + 0.10 * (1.0 - abs(d2) / size) + 0.06 * min(lamp, 0.0)
        for k in range(3):
            lit[n, k] = shade * colours[part[n], k]
        left, right = min(left, pixels[n, 0]), max(right, pixels[n, 0])
        top, low = min(top, pixels[n, 1]), max(low, pixels[n, 1])
        near = min(near, c2)
    return left, top, near, right, low


@compiled
def fill(pixels, lit, faces, left, top, fine, colour, depth):
    """Draw triangles into a fine grid: ``fine`` samples a pixel each way from (left, top)."""
    rows, columns = depth.shape
    for f in range(len(faces)):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        if pixels[a, 2] < 0.2 or pixels[b, 2] < 0.2 or pixels[c, 2] < 0.2:
            continue
        ax, ay = (pixels[a, 0] - left + 0.5) * fine - 0.5, (pixels[a, 1] - top + 0.5) * fine - 0.5
        bx, by = (pixels[b, 0] - left + 0.5) * fine - 0.5, (pixels[b, 1] - top + 0.5) * fine - 0.5
        cx, cy = (pixels[c, 0] - left + 0.5) * fine - 0.5, (pixels[c, 1] - top + 0.5) * fine - 0.5
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        # y runs down, so a face seen from outside turns the other way
        if area >= 0.0:
            continue
        i0, i1 = max(math.ceil(min(ay, by, cy)), 0), min(math.floor(max(ay, by, cy)), rows - 1)
        j0, j1 = max(math.ceil(min(ax, bx, cx)), 0), min(math.floor(max(ax, bx, cx)), columns - 1)
        over = 1.0 / area
        # barycentric weights and their steps along a row
        step_a, step_b = -(cy - by) * over, -(ay - cy) * over
        for i in range(i0, i1 + 1):
            wa = ((bx - j0) * (cy - i) - (by - i) * (cx - j0)) * over
            wb = ((cx - j0) * (ay - i) - (cy - i) * (ax - j0)) * over
            for j in range(j0, j1 + 1):
                wc = 1.0 - wa - wb
                if wa >= 0.0 and wb >= 0.0 and wc >= 0.0:
                    z = wa * pixels[a, 2] + wb * pixels[b, 2] + wc * pixels[c, 2]
                    if z < depth[i, j]:
                        depth[i, j] = z
                        for k in range(3):
                            colour[i, j, k] = wa * lit[a, k] + wb * lit[b, k] + wc * lit[c, k]
                wa += step_a
                wb += step_b


@compiled
def settle(colour, depth, fine, left, top, image, far):
    """Lay a fine grid over the picture where it is nearer, each pixel by how much is covered."""
    rows, columns = depth.shape[0] // fine, depth.shape[1] // fine
    whole = fine * fine
    for i in range(rows):
        for j in range(columns):
            covered, nearest = 0, math.inf
            b, g, r = 0.0, 0.0, 0.0
            for n in range(whole):
                y, x = i * fine + n // fine, j * fine + n % fine
                if depth[y, x] < far[top + i, left + j]:
                    covered += 1
                    nearest = min(nearest, depth[y, x])
                    b += colour[y, x, 0]
                    g += colour[y, x, 1]
                    r += colour[y, x, 2]
            if covered:
                keep = 1.0 - covered / whole
                pixel = image[top + i, left + j]
                pixel[0] = int(min(keep * pixel[0] + b / whole + 0.5, 255.0))
                pixel[1] = int(min(keep * pixel[1] + g / whole + 0.5, 255.0))
                pixel[2] = int(min(keep * pixel[2] + r / whole + 0.5, 255.0))
                if 2 * covered >= whole:
                    far[top + i, left + j] = nearest
