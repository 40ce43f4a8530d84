"""Where the four sides of a sheet are in a photograph, to a few hundredths of a pixel.

Across a side the light rises from the table's to the paper's along the curve of a blurred step, and
how much of a short way across is paper tells where the step is, as in `edge`. A sheet's side is
longer and fainter than a pen line's, and other things touch it: a line that runs off the page, a
knot in the wood, a finger. So each side is first found as a whole, by the smooth curve with most of
a step along it, and then measured at many places that need not all succeed.
"""

from __future__ import annotations

import numpy as np

from applique.trace.light import LINEAR

STATIONS = np.linspace(0.025, 0.975, 600)
"""Where along a side it is measured; not near the corners, which may be rounded or dog-eared."""

_SEARCH_SHARE = 0.012
"""The side is looked for within this share of the picture's longer side from where the small copy
shows it: half of it for what a lens bows a side of the sheet, half for the small copy's pixels."""

_SEARCH_EVERY = 3
_STEP_REACH_PX = 4
_GUESSES = 400
_STEP_COUNTS = 0.4
"""In the logarithm of light, this much of a step counts: a line of ink must not outdo the side by
being blacker than the table."""

_PAPER_SHARE = 0.8
_BELOW_PAPER = 0.25
"""A step behind which it is darker than paper by this much, in the logarithm of light, is one of
the table's. Across a side half of what one sees is paper: this share is darker, or as bright."""

_FLOOR = 0.02
"""Linear light that is added before taking logarithms, or noise in the dark would count."""

_OFFSETS = np.arange(-14.0, 14.01, 0.5)
_LEVEL_FROM_PX = 4.5
"""The levels of paper and table are taken from here to twice as far: the blur of a photo in focus
is well within."""

_WITHIN = (_OFFSETS >= _LEVEL_FROM_PX) & (_OFFSETS <= 2 * _LEVEL_FROM_PX)
_DEEP = (_OFFSETS >= 7.0) & (_OFFSETS <= 10.5)
_DEEPER = _OFFSETS > 10.5
"""Where the paper's level is taken; and two places, out of reach even of a worse blur, that tell by
how they differ how much the edge of a hand's shadow changes the light across the side."""

_BESIDE = (_OFFSETS <= -_LEVEL_FROM_PX) & (_OFFSETS >= -2 * _LEVEL_FROM_PX)
_BEYOND = _OFFSETS < -2 * _LEVEL_FROM_PX
"""Where the table's level is taken, and where it is once more: the shadow beside a sheet deepens
towards it, and what it would be at the side is reckoned from the two."""

_ALONG = 8
"""Levels are the median of so many stations to either side."""

_HALF_WINDOW_PX = 4.0
_BLURRED_PX = 3.0
"""In a photo in focus the step itself reaches hardly further."""

_MOST_SLOPE = 0.03
"""A shadow deepens by less than this share of the table's light from pixel to pixel."""

_LEAST_CONTRAST = 0.1
"""Of the paper's light; a table hardly darker than the paper shows no side."""

_DARK_BESIDE = 0.55
_AS_PAPER = 0.8
_FURTHER_SHARE = np.array([0.01, 0.02, 0.04, 0.08])
"""What is darker than the first share of the paper's light right beside a side is table. Paler, it
may be another sheet in this one's shadow: further out, by these shares of the side's length, that
is as bright as paper, but a pale table is not."""

_LEVEL_STRAY = 0.2
"""A station whose own levels are further than this share of the contrast from those around it has
ink or something else in the way, and where the table is brighter by this beside the side than
further out, a line on it runs along the sheet."""


def side_points(grey: np.ndarray, corners: np.ndarray) -> list[np.ndarray]:
    """Edge points (n, 2) in pixels along each of the four sides of a sheet in a picture (h, w) of
    uint8, given its corners (4, 2) to about a hundredth of the picture, clockwise as seen. A side
    that doesn't show has few or none."""
    return [
        _measured(grey, start, end)
        for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True)
    ]


def _measured(grey: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Edge points (n, 2) of the side between two corners."""
    along = end - start
    inward = np.array([-along[1], along[0]]) / np.hypot(*along)
    curve = _found(grey, start, along, inward)
    base = start + STATIONS[:, None] * along + np.polyval(curve, STATIONS)[:, None] * inward
    light = _sampled(grey, base[:, None] + _OFFSETS[:, None] * inward)
    offset, clear = _crossing(light / _lamp(light))
    further = -_FURTHER_SHARE * np.hypot(*along)
    clear &= ~_beside_paper(light, _sampled(grey, base[:, None] + further[:, None] * inward))
    return (base + offset[:, None] * inward)[clear]


def _found(
    grey: np.ndarray, start: np.ndarray, along: np.ndarray, inward: np.ndarray
) -> np.ndarray:
    """The side as a whole: the coefficients of a parabola, the offset inward in pixels over the
    share of the way along, with most of a step from dark to bright along it."""
    reach = max(12, round(_SEARCH_SHARE * max(grey.shape)))
    offsets = np.arange(-reach - _STEP_REACH_PX, reach + 2 * _STEP_REACH_PX + 1.0)
    stations = STATIONS[::_SEARCH_EVERY]
    places = (start + stations[:, None] * along)[:, None] + offsets[:, None] * inward
    light = np.log(_FLOOR + _sampled(grey, places))
    total = np.cumsum(np.pad(light, ((0, 0), (1, 0))), axis=1)
    sums = total[:, _STEP_REACH_PX:] - total[:, :-_STEP_REACH_PX]
    behind, near = sums[:, : -2 * _STEP_REACH_PX], sums[:, _STEP_REACH_PX:-_STEP_REACH_PX]
    deep = sums[:, 2 * _STEP_REACH_PX :] / _STEP_REACH_PX
    paper = np.quantile(light, _PAPER_SHARE, axis=1, keepdims=True)
    rise = np.where(deep > paper - _BELOW_PAPER, near - behind, 0)
    step = np.clip(rise / _STEP_REACH_PX, 0, _STEP_COUNTS)
    first = -reach - 0.5  # of the steps: between two samples
    peak = np.argmax(rise, axis=1) + first
    chance = np.random.default_rng(0)
    chosen = np.sort(chance.integers(0, len(stations), (_GUESSES, 3)), axis=1)
    chosen = chosen[(np.diff(chosen, axis=1) > len(stations) // 6).all(axis=1)]
    powers = stations[chosen][..., None] ** np.array([2, 1, 0])
    guesses = np.linalg.solve(powers, peak[chosen][..., None])[..., 0]
    course = guesses @ np.stack([stations**2, stations, np.ones_like(stations)])
    column = np.clip(np.round(course - first).astype(int), 0, step.shape[1] - 1)
    worth = step[np.arange(len(stations)), column].sum(axis=1)
    best = course[int(np.argmax(worth))]
    for limit in (4.0, 2.0):
        near_it = np.abs(peak - best) < limit
        if np.count_nonzero(near_it) < 10:
            break
        curve = np.polyfit(stations[near_it], peak[near_it], 2)
        best = np.polyval(curve, stations)
    return np.polyfit(stations, best, 2)


def _sampled(grey: np.ndarray, places: np.ndarray) -> np.ndarray:
    """The linear light at places (n, k, 2) of a picture, in pixels from its corner."""
    x, y = places[..., 0] - 0.5, places[..., 1] - 0.5
    column = np.clip(np.floor(x).astype(int), 0, grey.shape[1] - 2)
    row = np.clip(np.floor(y).astype(int), 0, grey.shape[0] - 2)
    # Light is mixed after decoding it, so that a picture need not be decoded as a whole.
    right, down = np.clip(x - column, 0, 1), np.clip(y - row, 0, 1)
    upper = LINEAR[grey[row, column]] * (1 - right) + LINEAR[grey[row, column + 1]] * right
    lower = LINEAR[grey[row + 1, column]] * (1 - right) + LINEAR[grey[row + 1, column + 1]] * right
    return upper * (1 - down) + lower * down


def _lamp(light: np.ndarray) -> np.ndarray:
    """What falls on each sample (n, k) as a share of what falls on the step, as the bare paper
    beside it tells."""
    deep, deeper = light[:, _DEEP].mean(axis=1), light[:, _DEEPER].mean(axis=1)
    apart_px = _OFFSETS[_DEEPER].mean() - _OFFSETS[_DEEP].mean()
    slope = _evened((deeper - deep) / np.maximum(deep, 1e-4)) / apart_px
    return 1 + np.clip(slope, -_MOST_SLOPE, _MOST_SLOPE)[:, None] * _OFFSETS


def _crossing(light: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where the step is on each row of samples (n, k) from table to paper, as offsets (n,) in
    pixels, and where there clearly is one."""
    own_table = light[:, _BESIDE].mean(axis=1)
    own_paper = light[:, _WITHIN].mean(axis=1)
    table, paper = _evened(own_table), _evened(own_paper)
    contrast = paper - table
    clear = contrast > _LEAST_CONTRAST * paper
    contrast = np.maximum(contrast, 1e-4)
    for own, usual in ((own_table, table), (own_paper, paper)):
        clear &= np.abs(own - usual) < _LEVEL_STRAY * contrast
    clear &= own_table - light[:, _BEYOND].mean(axis=1) < _LEVEL_STRAY * contrast
    bare = table[:, None] * _deepening(light)
    share = (light - bare) / np.maximum(paper[:, None] - bare, 1e-4)
    rows = np.arange(len(share))
    rises = (share[:, :-1] < 0.5) & (share[:, 1:] >= 0.5)
    before = np.argmin(np.where(rises, np.abs(_OFFSETS[:-1]), np.inf), axis=1)
    low, high = share[rows, before], share[rows, before + 1]
    step = _OFFSETS[1] - _OFFSETS[0]
    rough = _OFFSETS[before] + step * np.clip((0.5 - low) / np.maximum(high - low, 1e-6), 0, 1)
    within = (_HALF_WINDOW_PX - np.abs(_OFFSETS - rough[:, None])) / step + 0.5
    weight = np.clip(within, 0, 1)
    filled = (weight * share).sum(axis=1) / weight.sum(axis=1)
    offset = rough + _HALF_WINDOW_PX * (1 - 2 * filled)
    inside = np.abs(rough) <= _LEVEL_FROM_PX
    clear &= rises[rows, before] & inside & (np.abs(offset - rough) < 1.5)
    return offset, clear & _even_beside(share, rough)


def _even_beside(share: np.ndarray, rough: np.ndarray) -> np.ndarray:
    """At which stations (n,) no line or stripe of the table is right beside the step, which is at
    about `rough` (n,), from how much of the light (n, k) is paper's."""
    smooth = (share[:, :-2] + share[:, 1:-1] + share[:, 2:]) / 3
    offsets = _OFFSETS[1:-1]
    beside = (offsets >= -2 * _LEVEL_FROM_PX) & (offsets < rough[:, None] - _BLURRED_PX)
    return (np.abs(smooth) * beside).max(axis=1) < _LEVEL_STRAY


def _beside_paper(light: np.ndarray, further: np.ndarray) -> np.ndarray:
    """At which stations (n,) another sheet or the like lies so close that the table doesn't show,
    from the light across the side (n, k) and further out (n, m)."""
    paper = _evened(light[:, _WITHIN].mean(axis=1))
    pale = light[:, _BESIDE].max(axis=1) > _DARK_BESIDE * paper
    return _evened((pale & (further.max(axis=1) > _AS_PAPER * paper)).astype(float)) > 0


def _deepening(light: np.ndarray) -> np.ndarray:
    """The table's light at each offset (k,), as a share of its level beside the side: what its
    shadow makes of it, the same all along a side."""
    beside, beyond = light[:, _BESIDE].mean(axis=1), light[:, _BEYOND].mean(axis=1)
    at, further = _OFFSETS[_BESIDE].mean(), _OFFSETS[_BEYOND].mean()
    slope = float(np.median((beside - beyond) / np.maximum(beside, 1e-4))) / (at - further)
    return 1 + np.clip(slope, -_MOST_SLOPE, _MOST_SLOPE) * (np.minimum(_OFFSETS, 0) - at)


def _evened(levels: np.ndarray) -> np.ndarray:
    """The median (n,) of each level and its neighbours along the side."""
    padded = np.pad(levels, _ALONG, mode="reflect")
    return np.median(np.lib.stride_tricks.sliding_window_view(padded, 2 * _ALONG + 1), axis=1)
