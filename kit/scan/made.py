"""Made halls: a floor of known heights and what stands on it, for demo, practice and tests."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from kit.scan.made_draws import between

Array = NDArray[np.float64]

#: Heights are kept to a thousandth of a millimetre: libraries that differ in the last bit of a
#: cosine still give the same hall.
_DECIMALS = 3


@dataclass(frozen=True)
class Hump:
    """A round hump, a hollow where its height is negative: h·cos²(πr/2R) within R [mm]."""

    x_mm: float
    y_mm: float
    height_mm: float
    radius_mm: float


@dataclass(frozen=True)
class Path:
    """A strip along x that is worn down: d·cos²(π(y - y0)/2w) within w of its middle [mm]."""

    y_mm: float
    half_width_mm: float
    depth_mm: float


@dataclass(frozen=True)
class Joint:
    """A movement joint across the hall at x: the floor beyond it stands higher by a lip [mm]."""

    x_mm: float
    lip_mm: float


@dataclass(frozen=True)
class Bay:
    """The part of the hall beyond x that lies higher, with a ramp up to it [mm].

    The ramp lies before the step, from ``ramp_from_mm`` to ``ramp_to_mm`` along y, and rises
    evenly over ``ramp_mm``; one of length 0 is none.
    """

    x_mm: float
    step_mm: float
    ramp_from_mm: float
    ramp_to_mm: float
    ramp_mm: float


@dataclass(frozen=True)
class Thing:
    """A block that stands in the hall: plan rectangle, and from where to where over the floor."""

    kind: str
    left_mm: float
    back_mm: float
    right_mm: float
    front_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True)
class SetUp:
    """Where the instrument stood, and how high over the floor [mm]."""

    x_mm: float
    y_mm: float
    height_mm: float = 1700.0


@dataclass(frozen=True)
class MadeHall:
    """A hall whose floor is known, and what a scan of it meets.

    Parameters
    ----------
    seed : int
        What it was made from.
    length_mm, width_mm : float
        Of the hall: x from 0 to the length, y from 0 to the width [mm].
    fall_mm_per_m : (float, float)
        What the floor rises along x and along y.
    humps, path, joints, bay
        What its height is made of besides.
    things : tuple of Thing
        Stalls, crates, people.
    set_ups : tuple of SetUp
        Where it is scanned from, in turn.
    noise_mm : float
        Standard deviation of a point in each direction [mm].
    stray_share : float
        Share of points that are no place at all: half of them under the floor, half in the air.
    pool : Thing
        Wet floor: a third of the points that fall there come mirrored, ``low_mm`` under it.
    roof_mm : float
        Height of the roof [mm].
    """

    seed: int
    length_mm: float
    width_mm: float
    fall_mm_per_m: tuple[float, float]
    humps: tuple[Hump, ...] = field(repr=False)
    path: Path
    joints: tuple[Joint, ...]
    bay: Bay
    things: tuple[Thing, ...] = field(repr=False)
    set_ups: tuple[SetUp, ...] = field(repr=False)
    noise_mm: float = 2.0
    stray_share: float = 0.004
    pool: Thing = field(default=Thing("pool", 0, 0, 0, 0, -300, 0), repr=False)
    roof_mm: float = 6000.0

    def height_mm(self, x_mm: Array, y_mm: Array) -> Array:
        """Return the true height of the floor [mm] at places of any one shape [mm]."""
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        total = (self.fall_mm_per_m[0] * x + self.fall_mm_per_m[1] * y) / 1000
        total = total + _humped(self.humps, *np.broadcast_arrays(x, y))
        total = total - self.path.depth_mm * _bell((y - self.path.y_mm) / self.path.half_width_mm)
        for joint in self.joints:
            total = total + joint.lip_mm * (x >= joint.x_mm)
        return np.round(total + self._bay_mm(x, y), _DECIMALS)

    def mean_height_mm(self, x_mm: Array, y_mm: Array, cell_mm: float, across: int = 8) -> Array:
        """Return the true mean height [mm] of square cells about places, by across² places each."""
        at = ((np.arange(across) + 0.5) / across - 0.5) * cell_mm
        each = [self.height_mm(x_mm + dx, y_mm + dy) for dx in at for dy in at]
        return np.asarray(np.mean(each, axis=0), dtype=float)

    def _bay_mm(self, x: Array, y: Array) -> Array:
        bay = self.bay
        up = (x >= bay.x_mm).astype(float)
        if bay.ramp_mm > 0:
            on = (y >= bay.ramp_from_mm) & (y <= bay.ramp_to_mm)
            up = np.maximum(up, on * np.clip((x - bay.x_mm) / bay.ramp_mm + 1, 0.0, 1.0))
        return bay.step_mm * up


def make_hall(
    seed: int, *, noise_mm: float = 2.0, length_mm: float = 24_000.0, width_mm: float = 16_000.0
) -> MadeHall:
    """Make a market hall.

    Its floor falls by a few mm per m, has humps, hollows and a worn path, two movement joints
    with a lip, and at its right end a bay that is 120 mm higher, with a ramp. Stalls with tables,
    crates and back panels stand in two rows, people between them. The same seed gives the same
    hall on every machine.

    Parameters
    ----------
    seed : int
        Any whole number.
    noise_mm : float
        Standard deviation of a scanned point in each direction [mm].
    length_mm, width_mm : float
        Size of the hall [mm].
    """
    name = f"made hall 1, seed {seed}, {length_mm:g} x {width_mm:g}"

    def draw(key: str, low: float, high: float) -> float:
        return between(name, key, low, high)

    bay_x = 0.75 * length_mm
    bay = Bay(bay_x, 120.0, 0.45 * width_mm, 0.45 * width_mm + 2000.0, 1500.0)
    joints = tuple(
        Joint(share * length_mm, draw(f"lip at {share}", 0.5, 3.0)) for share in (0.27, 0.52)
    )
    x, y = draw("pool x", 0.30, 0.45) * length_mm, 0.5 * width_mm
    return MadeHall(
        seed,
        length_mm,
        width_mm,
        (draw("fall x", -6.0, 6.0), draw("fall y", -6.0, 6.0)),
        tuple(_humps(draw, length_mm, width_mm)),
        Path(draw("path", 0.46, 0.54) * width_mm, 900.0, draw("worn", 4.0, 9.0)),
        joints,
        bay,
        (*_stalls(draw, bay_x, width_mm), *_people(draw, length_mm, width_mm)),
        _set_ups(length_mm, width_mm),
        noise_mm,
        pool=Thing("pool", x, y, x + 900.0, y + 700.0, -300.0, 0.0),
    )


Draw = Callable[[str, float, float], float]


def _bell(away: Array) -> Array:
    return np.asarray(np.cos(np.pi / 2 * np.minimum(np.abs(away), 1.0)) ** 2, dtype=float)


def _humped(humps: tuple[Hump, ...], x: Array, y: Array) -> Array:
    """Return what all humps add; each is worked out where it is only."""
    flat_x, flat_y = x.ravel(), y.ravel()
    total = np.zeros(flat_x.shape)
    for hump in humps:
        near = (flat_x - hump.x_mm) ** 2 + (flat_y - hump.y_mm) ** 2
        on = np.flatnonzero(near < hump.radius_mm**2)
        total[on] += hump.height_mm * _bell(np.sqrt(near[on]) / hump.radius_mm)
    return total.reshape(x.shape)


def _humps(draw: Draw, length: float, width: float) -> list[Hump]:
    """Return a hump or hollow for about every 16 m²."""
    humps = []
    for k in range(max(int(length * width / 16e6), 4)):
        high = draw(f"hump {k} height", 2.0, 14.0) * (1 if draw(f"hump {k} up", 0, 1) < 0.6 else -1)
        x, y = draw(f"hump {k} x", 0, length), draw(f"hump {k} y", 0, width)
        humps.append(Hump(x, y, high, draw(f"hump {k} radius", 900.0, 3500.0)))
    return humps


def _stalls(draw: Draw, bay_x: float, width: float) -> list[Thing]:
    """Return two rows of stalls before the bay: table, four legs, a back panel, some crates."""
    things = []
    for row, share in enumerate((0.22, 0.74)):
        for k in range(max(int((bay_x - 3000) / 3200), 1)):
            key = f"stall {row} {k}"
            x = 1200 + 3200 * k + draw(f"{key} x", 0, 700)
            y = share * width + draw(f"{key} y", -300, 300)
            things += _stall(draw, key, x, y)
    return things


def _stall(draw: Draw, key: str, x: float, y: float) -> list[Thing]:
    long, deep, high = draw(f"{key} long", 1500, 2200), 800.0, draw(f"{key} high", 680, 780)
    legs = [
        Thing("leg", x + a, y + b, x + a + 60, y + b + 60, 0.0, high)
        for a in (0.0, long - 60)
        for b in (0.0, deep - 60)
    ]
    top = Thing("table top", x - 40, y - 40, x + long + 40, y + deep + 40, high, high + 40)
    panel = Thing("panel", x, y - 40, x + long, y - 20, 150.0, high)
    at = x + draw(f"{key} crate", 200, long - 700)
    crate = Thing("crate", at, y + 150, at + 500, y + 550, 0.0, draw(f"{key} crate high", 180, 320))
    return [*legs, top, panel, crate]


def _people(draw: Draw, length: float, width: float) -> list[Thing]:
    """Return a person for about every 30 m²: two feet, two legs, a body."""
    things = []
    for k in range(max(int(length * width / 30e6), 2)):
        x = draw(f"person {k} x", 0.04, 0.96) * length
        y = draw(f"person {k} y", 0.36, 0.66) * width
        for side in (-130.0, 40.0):
            things.append(Thing("foot", x + side, y, x + side + 95, y + 270, 0.0, 80.0))
            things.append(Thing("shin", x + side, y, x + side + 95, y + 110, 80.0, 850.0))
        things.append(Thing("body", x - 220, y - 60, x + 220, y + 180, 850.0, 1720.0))
    return things


def _set_ups(length: float, width: float) -> tuple[SetUp, ...]:
    places = ((0.15, 0.45), (0.50, 0.62), (0.45, 0.12), (0.68, 0.88), (0.86, 0.40))
    return tuple(SetUp(a * length, b * width) for a, b in places)
