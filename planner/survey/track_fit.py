"""Track fitting: the corners and straights that a walked, noisy track was meant to be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, Integers, SameByValue, frozen
from planner.geometry.lines import leg_lengths
from planner.geometry.straight_runs import straight_runs
from planner.survey.track_cleaning import Removed, clean
from planner.survey.track_legs import Leg, fitted, settled
from planner.survey.track_noise import LEAST_NOISE_M, noise_of
from planner.survey.track_sd import corner_sd, leg_covariance, length_sd
from planner.units import Metre

# Common practice, no source.
CLOSED_SHARE = 0.03
CLOSED_M = 10.0
FREEDOMS_OF_A_CORNER = 4.0
FEWEST_POINTS = 100.0
TOLERANCE_SHARE = 95.0
MOST_NOISE_M = 8.0
STRAY_CLIP = 6.0


@dataclass(frozen=True, eq=False)
class TrackFit(SameByValue):
    """Corners and straights fitted to a track, beside what the track itself said.

    Attributes:
        corners: Corners in order, ends included; a closed track repeats its first corner at the end. [m] Shape (k, 2).
        corner_sd_m: Standard deviation of each corner, in one coordinate (root mean square of both). [m] Shape (k,).
        closed: True when the track returns to its start.
        raw_length_m: Length of the track as it was given, point to point, closed where it is closed. [m]
        fitted_length_m: Length through the corners. [m]
        fitted_length_sd_m: Its standard deviation. [m]
        removed: What was taken out before the fit, and why.
        kept: Index of each point the fit rests on, rising. Shape (m,).
        noise_m: Standard deviation of a position across its leg, as the fit found it. [m]
    """

    corners: Floats
    corner_sd_m: Floats
    closed: bool
    raw_length_m: Metre
    fitted_length_m: Metre
    fitted_length_sd_m: Metre
    removed: tuple[Removed, ...]
    kept: Integers
    noise_m: Metre


def fit_track(
    xy: Floats,
    *,
    time_s: Floats | None = None,
    closed: bool | None = None,
    tolerance_m: Metre | None = None,
) -> TrackFit:
    """The corners and straights behind a noisy track.

    Repeated positions, spikes, stops and walked-back loops are taken out first. The rest is cut into legs where the
    summed square distance from the legs, the legs being paid for, is least; how many legs is decided by the
    likelihood of the strays under noise that lasts from point to point, so that slow wandering of the receiver is not
    taken for corners. Legs are robust orthogonal fits, corners their intersections. A bend too gentle for its leg and
    noise is smoothed away: the remedy is a tolerance.

    Args:
        xy: Positions in order. [m] Shape (n, 2), all finite.
        time_s: Time of each. [s] Shape (n,), NaN where unknown. None: points count as evenly timed.
        closed: True when the track returns to its start; None to tell from how near its ends are.
        tolerance_m: Take the fewest legs with 95 % of the points this near, rather than the likeliest number. [m]

    Returns:
        The fit. Standard deviations rest on the noise found in the track itself, with its lasting taken into account;
        an error that is the same along the whole track (a datum, a receiver's bias) is not in them.

    Raises:
        OutOfRange: Fewer than two different positions, a position that is not finite, or a tolerance not above zero.

    Source:
        Bayesian information criterion (G. Schwarz, Annals of Statistics 6, 1978) for the number of legs; robust
        weights of P. J. Huber (1964). Checked in tests/unit/survey/test_track_fit.py on simulated walks of known
        corners.
    """
    xy = np.asarray(xy, dtype=np.float64)[:, :2]
    _check(xy, tolerance_m)
    kept, removed = clean(xy, time_s)
    points, gap = xy[kept], _gaps(kept, time_s)
    raw = float(leg_lengths(xy).sum())
    if closed is None:
        ends = float(np.hypot(*(points[-1] - points[0])))
        closed = len(points) > 3 and ends <= max(CLOSED_M, CLOSED_SHARE * _round(points, raw)) and ends < 0.25 * raw
    start = 0
    if closed:
        raw += float(np.hypot(*(xy[-1] - xy[0])))
        points, gap, start = _from_mid_leg(points, gap, tolerance_m)
    cuts = _chosen(points, gap, tolerance_m, fewest=4 if closed else 1)
    closed = closed and len(cuts) >= 5
    legs, corners = settled(points, cuts, closed=closed)
    along, across, order_gap, first = _strays(points, gap, legs)
    noise = noise_of(along, across, order_gap, first)
    covariance = [leg_covariance(points, gap, leg, noise) for leg in legs]
    sd = np.array([corner_sd(corner, legs, covariance, noise) for corner in corners])
    fitted_xy = np.array([corner.xy for corner in corners])
    found = _no_longer_than(raw, fitted_xy, points, closed)
    sd = np.hypot(sd, np.hypot(*(found - fitted_xy).T) / np.sqrt(2.0))
    if closed:
        turn = next((i for i, leg in enumerate(legs) if leg.points[-1] >= start), 0)
        found, sd = np.roll(found, -turn, axis=0), np.roll(sd, -turn)
        found, sd = np.vstack((found, found[:1])), np.append(sd, sd[0])
    return TrackFit(
        corners=frozen(found), corner_sd_m=frozen(sd), closed=closed, raw_length_m=raw,
        fitted_length_m=float(leg_lengths(found).sum()),
        fitted_length_sd_m=length_sd(corners, legs, covariance, noise, closed=closed),
        removed=removed, kept=frozen(kept, np.int64), noise_m=noise.sd_m)


def _round(points: Floats, raw: Metre) -> Metre:
    """How far round a track goes: its length, but of a noisy one no more than three times the way across it."""
    return min(raw, 3.0 * float(np.hypot(*np.ptp(points, axis=0))))


def _no_longer_than(raw: Metre, corners: Floats, points: Floats, closed: bool) -> Floats:
    """Corners drawn toward the track where the line through them would be longer than the track itself.

    Noise only ever lengthens a track; a fit that is longer has cut a curve's outside. Drawn all the way, the line
    runs from track point to track point and cannot be longer. What a corner is drawn counts as its uncertainty.
    """
    from shapely import STRtree
    from shapely import points as as_points

    def length(xy: Floats) -> Metre:
        return float(leg_lengths(np.vstack((xy, xy[:1])) if closed else xy).sum())

    if length(corners) <= raw:
        return corners
    nearest = points[STRtree(as_points(points)).nearest(as_points(corners))]
    low, high = 0.0, 1.0
    for _ in range(40):
        share = (low + high) / 2.0
        low, high = (share, high) if length(nearest + share * (corners - nearest)) <= raw else (low, share)
    return np.asarray(nearest + low * (corners - nearest))


def _check(xy: Floats, tolerance_m: Metre | None) -> None:
    if not np.isfinite(xy).all():
        raise OutOfRange("a position of the track is not a finite number",
                         where=f"point {int(np.argmin(np.isfinite(xy).all(axis=1))) + 1}", remedy="leave it out")
    if len(xy) < 2 or not np.ptp(xy, axis=0).any():
        raise OutOfRange("a track needs two different positions to be fitted", remedy="give a longer track")
    if tolerance_m is not None and not tolerance_m > 0:
        raise OutOfRange(f"a tolerance of {tolerance_m} m cannot be kept", remedy="give one above zero, or none")


def _gaps(kept: Integers, time_s: Floats | None) -> Floats:
    if time_s is not None:
        steps = np.diff(np.asarray(time_s, dtype=np.float64)[kept])
        if np.isfinite(steps).all() and (steps > 0).all():
            return np.concatenate(([np.inf], steps))
    return np.concatenate(([np.inf], np.diff(kept).astype(np.float64)))


def _from_mid_leg(points: Floats, gap: Floats, tolerance_m: Metre | None) -> tuple[Floats, Floats, int]:
    """A closed track, begun and ended at the same point in the middle of its longest leg; and where its start went."""
    if np.hypot(*(points[-1] - points[0])) <= 1e-6:
        points, gap = points[:-1], gap[:-1]
    cuts = _chosen(points, gap, tolerance_m, fewest=1)
    long = int(leg_lengths(points[cuts]).argmax())
    begin = int(cuts[long] + cuts[long + 1]) // 2
    order = np.concatenate((np.arange(begin, len(points)), np.arange(begin + 1)))
    new_gap = gap[order]
    new_gap[0] = np.inf
    return points[order], new_gap, len(points) - begin


def _chosen(points: Floats, gap: Floats, tolerance_m: Metre | None, *, fewest: int) -> Integers:
    candidates = straight_runs(points, least=LEAST_NOISE_M)
    enough = [cuts for cuts in candidates if len(cuts) > fewest] or candidates[:1]
    if tolerance_m is not None:
        within = [cuts for cuts in enough if _share_within(points, cuts) <= tolerance_m]
        return (within or enough[:1])[-1]
    scores = []
    for cuts in enough:
        legs = fitted(points, cuts, closed=False)
        noise = noise_of(*_strays(points, gap, legs))
        score = FREEDOMS_OF_A_CORNER * len(legs) * np.log(max(len(points), FEWEST_POINTS)) - 2.0 * noise.likelihood
        scores.append(score if noise.sd_m <= MOST_NOISE_M else np.inf)
    return enough[int(np.argmin(scores))]


def _share_within(points: Floats, cuts: Integers) -> float:
    legs = fitted(points, cuts, closed=False)
    return float(np.percentile(np.concatenate([np.abs(leg.placed(points[leg.points])[1]) for leg in legs]),
                               TOLERANCE_SHARE))


def _strays(points: Floats, gap: Floats, legs: list[Leg]) -> tuple[Floats, Floats, Floats, Integers]:
    """Along, across and gap of each point on its leg, leg after leg; a point shared by two legs goes to the later.

    A stray far beyond its leg's others, such as where a corner was cut, counts as no more than six of the usual.
    """
    rows = [leg.points[:-1] if leg is not legs[-1] else leg.points for leg in legs]
    placed = []
    for leg, row in zip(legs, rows, strict=True):
        along, across = leg.placed(points[row])
        most = max(STRAY_CLIP * float(np.median(np.abs(across))), LEAST_NOISE_M)
        placed.append((along, np.clip(across, -most, most)))
    first = np.cumsum([0, *(len(row) for row in rows[:-1])])
    gaps = gap[np.concatenate(rows)]
    gaps[first] = np.inf
    return np.concatenate([a for a, _ in placed]), np.concatenate([c for _, c in placed]), gaps, first
