"""From pixels to the plane of a flat rectangle and to the camera above it (the pinhole camera, no lens distortion).

Every function takes many pictures at once: leading axes of its arrays go through to what it gives.
"""

from __future__ import annotations

import numpy as np

from mountwright.measure.propagation import Floats


def homography(corners: Floats, size: tuple[float, float]) -> Floats:
    """Give the matrix that maps a rectangle's plane to pixels, of shape (..., 3, 3), 1 in its last place.

    Four corners settle it exactly and leave nothing over to check them by. The plane's origin is the first corner,
    its first axis runs to the second, its second one to the fourth.

    Parameters
    ----------
    corners : array of float
        Pixels, in order around a convex outline, of shape (..., 4, 2).
    size : (float, float)
        Of the rectangle along both axes, in the unit that lengths shall have.
    """
    width, height = size
    outline = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
    found = _frame(corners) @ np.linalg.inv(_frame(outline))
    return found / found[..., 2:, 2:]


def _frame(four: Floats) -> Floats:
    """Give the matrix whose columns are the first three points, weighted so that they add up to the fourth."""
    columns = np.swapaxes(_with_one(four), -1, -2)
    weights = np.linalg.solve(columns[..., :3], columns[..., 3:])
    return columns[..., :3] * np.swapaxes(weights, -1, -2)


def _with_one(points: Floats) -> Floats:
    return np.concatenate([points, np.ones((*points.shape[:-1], 1))], axis=-1)


def on_plane(matrix: Floats, pixels: Floats) -> tuple[Floats, Floats]:
    """Give where the rays of pixels meet the plane, (..., n, 2), and how near that is to the camera, (..., n).

    Parameters
    ----------
    matrix : array of float
        Of :func:`homography`.
    pixels : array of float
        Of shape (..., n, 2).

    Returns
    -------
    tuple of array
        Points of the plane; and the depth of the first corner over theirs: not above 0 for a ray that never meets the
        plane in front of the camera.
    """
    found = np.swapaxes(np.linalg.solve(matrix, np.swapaxes(_with_one(pixels), -1, -2)), -1, -2)
    return found[..., :2] / found[..., 2:], found[..., 2]


def pose(matrix: Floats, focal_px: Floats, centre: tuple[float, float]) -> Floats:
    """Give the plane's two axes and its origin as the camera sees them, up to one factor, as columns of (..., 3, 3).

    Parameters
    ----------
    matrix : array of float
        Of :func:`homography`.
    focal_px : array of float
        Focal length in pixels, above 0, of the shape of the leading axes.
    centre : (float, float)
        Where the axis of the lens meets the picture, pixels.
    """
    last = matrix[..., 2:, :]
    across = matrix[..., :2, :] - np.array(centre)[:, None] * last
    return np.concatenate([across / np.asarray(focal_px)[..., None, None], last], axis=-2)


def camera(seen: Floats) -> Floats:
    """Give the camera's place in the plane's own axes, of shape (..., 3); the third is its height, of either sign.

    Parameters
    ----------
    seen : array of float
        Of :func:`pose`.
    """
    first, second, origin = (seen[..., column] for column in range(3))
    lengths = np.linalg.norm(first, axis=-1) * np.linalg.norm(second, axis=-1)
    upright = np.cross(first, second) / np.sqrt(lengths)[..., None]
    axes = np.stack([first, second, upright], axis=-1)
    return -np.linalg.solve(axes, origin[..., None])[..., 0]


def skew(seen: Floats) -> Floats:
    """Give how far the axes are from equal length (logarithm of the ratio) and from a right angle (cosine), (..., 2).

    Both are 0 for a rectangle of the size that was said, seen at the focal length that was said.

    Parameters
    ----------
    seen : array of float
        Of :func:`pose`.
    """
    first, second = seen[..., 0], seen[..., 1]
    lengths = [np.linalg.norm(axis, axis=-1) for axis in (first, second)]
    cosine = (first * second).sum(axis=-1) / (lengths[0] * lengths[1])
    return np.stack([np.log(lengths[0] / lengths[1]), cosine], axis=-1)


def dropped(points: Floats, heights: Floats, camera_at: Floats) -> Floats:
    """Give what lies below points above the plane: each ray is followed to its own height, ``X + (h/C_z)(C - X)``.

    Parameters
    ----------
    points : array of float
        Where the rays meet the plane, of shape (..., n, 2).
    heights : array of float
        Above the plane toward the camera, of shape (..., n).
    camera_at : array of float
        Of :func:`camera`, of shape (..., 3).
    """
    share = heights / np.abs(camera_at[..., 2:])
    return points + share[..., None] * (camera_at[..., None, :2] - points)
