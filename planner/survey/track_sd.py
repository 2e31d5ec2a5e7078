"""How well the corners and the length of a fitted track are known, from noise that lasts."""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Floats
from planner.survey.track_legs import Corner, Leg
from planner.survey.track_noise import Noise
from planner.units import Metre


def leg_covariance(points: Floats, gap: Floats, leg: Leg, noise: Noise) -> Floats:
    """Covariance of a leg's shift [m] and turn [rad] about its middle, both to the left. Shape (2, 2).

    Ordinary least squares under correlated noise: (X'X)^-1 X'RX (X'X)^-1 times the variance, with X'RX summed in one
    walk along the leg.

    Args:
        points: Positions in order. [m] Shape (n, 2).
        gap: Time since the point before. Shape (n,).
        leg: The leg.
        noise: Noise of the track.
    """
    along, _ = leg.placed(points[leg.points])
    carried = noise.carried(gap[leg.points])
    one, lean = np.zeros((2, carried.shape[1]))
    cross = np.zeros((2, 2, carried.shape[1]))
    for i in range(1, len(along)):
        one, lean = carried[i] * (one + 1.0), carried[i] * (lean + along[i - 1])
        cross += ((one, lean), (along[i] * one, along[i] * lean))
    design = np.array([[len(along), along.sum()], [along.sum(), along @ along]])
    inverse = np.linalg.inv(design)
    spread = design[:, :, None] + cross + cross.transpose(1, 0, 2)
    return np.asarray(inverse @ (spread @ (noise.weight * noise.variance)) @ inverse)


def corner_sd(corner: Corner, legs: list[Leg], covariance: list[Floats], noise: Noise) -> Metre:
    """Standard deviation of a corner in one coordinate, root mean square of both. [m]

    Args:
        corner: The corner.
        legs: All legs.
        covariance: Covariance of each leg's shift and turn.
        noise: Noise of the track.
    """
    total = noise.sd_m**2 * float(corner.free @ corner.free)
    for number, move in corner.legs:
        lever = np.array([1.0, legs[number].placed(corner.xy)[0]])
        total += float(lever @ covariance[number] @ lever) * float(move @ move)
    return float(np.sqrt(total / 2.0))


def length_sd(
    corners: list[Corner], legs: list[Leg], covariance: list[Floats], noise: Noise, *, closed: bool
) -> Metre:
    """Standard deviation of the length through the corners; a leg's shift and turn move both its ends together. [m]

    Args:
        corners: The corners in order, a closed track's first not repeated.
        legs: The legs.
        covariance: Covariance of each leg's shift and turn.
        noise: Noise of the track.
        closed: True when the last corner is joined to the first.
    """
    xy = np.array([corner.xy for corner in corners])
    step = np.diff(np.vstack((xy, xy[:1])) if closed else xy, axis=0)
    toward = step / np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-9)[:, None]
    pull = np.zeros_like(xy)
    pull[: len(toward)] -= toward
    pull += np.roll(toward, 1, axis=0) if closed else np.vstack((np.zeros(2), toward))
    variance = 0.0
    by_leg = np.zeros((len(legs), 2))
    for corner, gradient in zip(corners, pull, strict=True):
        variance += noise.sd_m**2 * float(gradient @ corner.free) ** 2
        for number, move in corner.legs:
            by_leg[number] += float(gradient @ move) * np.array([1.0, float(legs[number].placed(corner.xy)[0])])
    variance += sum(float(g @ c @ g) for g, c in zip(by_leg, covariance, strict=True))
    return float(np.sqrt(variance))
