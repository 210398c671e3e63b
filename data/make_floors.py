"""Make the readings of the two demo jobs: invented floors, read with believable error.

Run ``python data/make_floors.py`` to write the tables again; the same seed gives the same files.
"""

import csv
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent


def reading_room_floor(x: float, y: float) -> float:
    """Return boards on joists: a fall, sag between joists, a hump over a sleeper wall [mm]."""
    fall = -2.1 * x / 1000 - 3.4 * y / 1000
    sag = -0.5 * np.sin(np.pi * (x - 150) / 400) ** 2 * np.sin(np.pi * y / 3600)
    hump = 4.2 * np.exp(-(((x - 1480) / 420) ** 2) - ((y - 120) / 500) ** 2)
    hollow = -3.1 * np.exp(-(((x - 3150) / 500) ** 2) - ((y - 300) / 350) ** 2)
    return float(fall + sag + hump + hollow)


def boot_room_floor(x: float, y: float) -> float:
    """Return a concrete slab: a fall to one corner, a trowelled crown, a wave [mm]."""
    fall = -2.6 * x / 1000 + 1.7 * y / 1000
    crown = 3.5 * np.exp(-(((x - 1900) / 900) ** 2) - ((y - 700) / 600) ** 2)
    wave = 0.9 * np.sin(x / 520 + 0.4) * np.cos(y / 610)
    return float(fall + crown + wave)


def make_reading_room(seed: int = 7) -> None:
    """27 places, 36 staff readings from two set-ups that share nine places, read to 0.5 mm."""
    draw = np.random.default_rng(seed)
    stations = (20, 500, 1000, 1500, 2000, 2500, 3000, 3500, 3980)
    lines = (60, 240, 420)
    collimation = {"S1": 1412.0, "S2": 1386.5}
    rows = []
    for setup, columns in (("S1", range(6)), ("S2", range(3, 9))):
        for column in columns:
            for line, y in enumerate(lines):
                x = stations[column]
                height = reading_room_floor(x, y)
                reading = collimation[setup] - height + draw.normal(0, 0.4)
                rows.append(
                    (setup, f"P{3 * column + line + 1}", f"{x:g}", y, round(reading * 2) / 2)
                )
    write("reading-room/readings.csv", ("setup", "point", "x_mm", "y_mm", "reading_mm"), rows)


def make_boot_room(seed: int = 11) -> None:
    """Read a grid at 300 mm to 0.1 mm; nobody could read under the bench in the corner."""
    draw = np.random.default_rng(seed)
    x = range(0, 3601, 300)
    rows = []
    for y in range(0, 2401, 300):
        cells = [
            "" if i < 900 and y > 1500 else f"{boot_room_floor(i, y) + draw.normal(0, 0.3):.1f}"
            for i in x
        ]
        rows.append((y, *cells))
    write("boot-room/grid.csv", ("y_mm \\ x_mm", *x), rows)


def write(name: str, header: tuple, rows: list) -> None:
    """Write one table."""
    with (HERE / name).open("w", newline="", encoding="utf-8") as file:
        csv.writer(file, lineterminator="\n").writerows([header, *rows])


if __name__ == "__main__":
    make_reading_room()
    make_boot_room()
