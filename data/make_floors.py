"""Make the readings of the demo jobs: invented floors, read with believable error.

Run ``python data/make_floors.py`` to write the tables again; the same seed gives the same files.
"""

import csv
from pathlib import Path

import numpy as np
import pandas as pd

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


#: Stacks of the reading room that were built wrong: a 6 where a 3 was planned, and a 3 left out.
BUILT_WRONG = {"B5": "18 6 18", "F8": "18 6 18"}


def make_reading_room_base(seed: int = 31) -> None:
    """Read the finished base twice: stacks as planned but two, on the floor as it really lies.

    A staff on every bearer over every stack from two set-ups, error 0.3 mm, read to 0.1 mm.
    """
    import kit  # noqa: PLC0415 - the floors above need no kit

    draw = np.random.default_rng(seed)
    answer = kit.solve(kit.read_job(HERE / "reading-room"))
    packers, bearer_mm = answer.job.stock.packers, answer.datum.bearer_mm
    thickness = {packer.mm: packer.thickness_mm for packer in packers}
    tops = {}
    for support, x, y, stack in zip(
        answer.supports["support"], answer.supports["x_mm"], answer.supports["y_mm"],
        answer.datum.plan.stacks, strict=True,
    ):  # fmt: skip
        printed = [packers[kind].mm for kind in stack]
        if support in BUILT_WRONG:
            printed = [float(size) for size in BUILT_WRONG[support].split()]
        high = sum(thickness[size] for size in printed)
        tops[support] = reading_room_floor(x, y) + high + bearer_mm
    rows = []
    for setup, collimation in (("T1", 1291.4), ("T2", 1306.8)):
        for support in (*tops, "B1"):
            reading = collimation - tops[support] + draw.normal(0, 0.3)
            rows.append((setup, support, f"{reading:.1f}"))
    write("reading-room/as-built.csv", ("setup", "point", "reading_mm"), rows)
    write("reading-room/as-built-stacks.csv", ("support", "packers_mm"), [*BUILT_WRONG.items()])


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


def market_floor(x: float, y: float) -> float:
    """Return old flags on a fill: a fall to the gully, flags that lip, a sunk place [mm]."""
    fall = 3.1 * x / 1000 - 4.6 * y / 1000
    lip = 1.6 * (np.floor((x + 0.3 * y) / 740) % 3 - 1) * 0.6
    sunk = -5.5 * np.exp(-(((x - 3900) / 620) ** 2) - ((y - 420) / 420) ** 2)
    return float(fall + lip + sunk + 1.86)  # 0 inside the side door


def market_places() -> dict[str, tuple[float, float]]:
    """Return where the market hall was read: three rows of ten, and inside the side door."""
    places = {"door": (-420.0, 330.0)}
    for row, y in (("A", 70.0), ("B", 330.0), ("C", 590.0)):
        places |= {f"{row}{i + 1}": (600.0 * i, y) for i in range(10)}
    return places


def make_market_counter(seed: int = 25) -> None:
    """Book rows A and C from three set-ups, level row B, lay a straight edge: one slip is in it."""
    draw = np.random.default_rng(seed)
    places = market_places()
    height = {name: market_floor(x, y) for name, (x, y) in places.items()}
    write("market-counter/places.csv", ("point", "x_mm", "y_mm"),
          [(name, f"{x:g}", f"{y:g}") for name, (x, y) in places.items()])  # fmt: skip
    book_market(draw, height)
    folder = HERE / "market-counter"
    with pd.ExcelWriter(folder / "level-and-edge.xlsx") as book:
        level_market(draw, places, height).to_excel(book, sheet_name="level", index=False)
        edge_market(draw, places, height).to_excel(book, sheet_name="edge", index=False)


def book_market(draw: np.random.Generator, height: dict[str, float]) -> None:
    """Write the booking sheet as a surveyor keeps it: metres, decimal comma, semicolons."""
    sections = [
        (1531.0, "door", ["A1", "C1", "A2", "C2", "A3", "C3"], "C4"),
        (1478.5, "C4", ["A4", "A5", "C5", "A6", "C6"], "A7"),
        (1502.0, "A7", ["C7", "A8", "C8", "A9", "C9", "A10", "C10"], "door"),
    ]
    rows = []
    for collimation, start, between, end in sections:
        read = {
            name: round((collimation - height[name] + draw.normal(0, 0.4)) * 2) / 2
            for name in (start, *between, end)
        }
        if "C9" in read:
            read["C9"] += 10.0  # the slip: a misread centimetre, found by level and straight edge
        if rows:
            rows[-1][1] = read[start]
        else:
            rows.append([start, read[start], None, None])
        rows += [[name, None, read[name], None] for name in between]
        rows.append([end, None, None, read[end]])
    header = ("point", "backsight [m]", "intermediate [m]", "foresight [m]")
    text = [[name, *("" if mm is None else f"{mm / 1000:.4f}".replace(".", ",") for mm in values)]
            for name, *values in rows]  # fmt: skip
    write("market-counter/booking.csv", header, text, delimiter=";")


def level_market(
    draw: np.random.Generator, places: dict[str, tuple[float, float]], height: dict[str, float]
) -> pd.DataFrame:
    """Level along row B and across at five places; three lines both ways round: own error 0.5."""
    lines = [(f"B{i}", f"B{i + 1}", False) for i in range(1, 10)]
    lines += [(f"A{i}", f"B{i}", False) for i in (1, 4, 8)] + [
        (f"B{i}", f"C{i}", False) for i in (3, 9)
    ]
    lines += [("B2", "B3", True), ("B5", "B6", True), ("B8", "B9", True)]
    rows = []
    for start, end, turned in lines:
        (x1, y1), (x2, y2) = places[start], places[end]
        own = 0.5 * float(np.hypot(x2 - x1, y2 - y1)) / 1000 * (-1 if turned else 1)
        rise = height[end] - height[start] + own + draw.normal(0, 0.3)
        packer = round(abs(rise) * 2) / 2
        rows.append((start, end, packer, "from" if rise > 0 else "to", str(turned).lower()))
    return pd.DataFrame(rows, columns=["from", "to", "packer_mm", "under", "reversed"])


def edge_market(
    draw: np.random.Generator, places: dict[str, tuple[float, float]], height: dict[str, float]
) -> pd.DataFrame:
    """Lay an edge of 1.8 m along row C three times: gaps below it, to a tenth of a millimetre."""
    rows = []
    for placement, first in (("E1", 1), ("E2", 4), ("E3", 7)):
        names = [f"C{i}" for i in range(first, first + 4)]
        x = np.array([places[name][0] for name in names])
        h = np.array([height[name] for name in names])
        rests = _resting_line(x, h)
        gaps = np.maximum(rests - h + draw.normal(0, 0.2, 4), 0.0)
        rows += [
            (placement, name, round(float(gap), 1)) for name, gap in zip(names, gaps, strict=True)
        ]
    return pd.DataFrame(rows, columns=["placement", "point", "gap_mm"])


def _resting_line(x: np.ndarray, h: np.ndarray) -> np.ndarray:
    """Return the line on which a rigid edge rests over points: the two that carry its middle."""
    best = np.full(len(x), np.inf)
    for i in range(len(x)):
        for j in range(i + 1, len(x)):
            line = h[i] + (h[j] - h[i]) * (x - x[i]) / (x[j] - x[i])
            carries = x[i] <= x.mean() <= x[j]
            if carries and (line >= h - 1e-9).all() and line.mean() < best.mean():
                best = line
    return best


#: The made hall that the market hall's readings are of; notebook 06 makes its scan too.
MARKET_HALL_SEED = 12


def make_market_hall(seed: int = 41) -> None:
    """Level a hall from dozens of set-ups: error 0.5 mm, read to 0.5 mm, no slip.

    Nobody sees further than to the next stalls: a set-up reads what lies nearest to it, and two
    neighbours share two change points, but the last one hangs on a single point.
    """
    from kit.scan.made import make_hall  # noqa: PLC0415 - the floors above need no kit

    draw = np.random.default_rng(seed)
    hall = make_hall(MARKET_HALL_SEED)
    places = market_hall_places()
    xy = np.array(list(places.values()))
    heights = hall.height_mm(xy[:, 0], xy[:, 1])
    stations = market_hall_stations()
    rows = []
    for number, read in enumerate(market_hall_shares(xy, stations)):
        collimation = 1450.0 + draw.uniform(-80, 80)
        for row in read:
            name = list(places)[row]
            reading = collimation - heights[row] + draw.normal(0, 0.5)
            x, y = xy[row]
            rows.append((f"S{number + 1}", name, f"{x:g}", f"{y:g}", round(reading * 2) / 2))
    write("market-hall/readings.csv", ("setup", "point", "x_mm", "y_mm", "reading_mm"), rows)


def market_hall_places() -> dict[str, tuple[float, float]]:
    """Return where the hall was read: three lines under each run, and every two metres."""
    places = {}
    for run, (x, y), (along_x, along_y), long in (
        ("A", (700, 0), (1, 0), 21_500), ("B", (24_000, 4_000), (0, 1), 7_200),
        ("C", (0, 11_200), (0, -1), 9_000),
    ):  # fmt: skip
        for line, out in enumerate((60, 250, 440 if run != "B" else 560)):
            count = round(long / 500)
            for step in range(count + 1):
                at = long * step / count
                place = (x + along_x * at - along_y * out, y + along_y * at + along_x * out)
                places[f"{run}{line + 1}.{step + 1}"] = tuple(round(v, 1) for v in place)
    for i in range(11):
        for j in range(7):
            places[f"G{i + 1}.{j + 1}"] = (1500.0 + 2100.0 * i, 1900.0 + 2000.0 * j)
    return places


def market_hall_stations() -> np.ndarray:
    """Return where the level stood, row by row there and back."""
    there, back = range(6), range(5, -1, -1)
    rows = ((1_400, there), (5_600, back), (9_800, there), (14_000, back))
    return np.array([(2_000.0 + 4_000.0 * i, float(y)) for y, columns in rows for i in columns])


def market_hall_shares(xy: np.ndarray, stations: np.ndarray) -> list[list[int]]:
    """Return which places each set-up reads: its own, and change points with its neighbours."""
    far = np.hypot(xy[:, None, 0] - stations[:, 0], xy[:, None, 1] - stations[:, 1])
    nearest = far.argmin(axis=1)
    reads = [set(np.flatnonzero(nearest == one).tolist()) for one in range(len(stations))]
    last = len(stations) - 1
    for one in range(len(stations)):
        for other in range(one + 1, len(stations)):
            apart = np.hypot(*(stations[one] - stations[other]))
            # The last set-up stands in a corner behind stalls and sees one point of its neighbour.
            if apart < 4_500 and (other != last or one == last - 1):
                shared = np.argsort(far[:, one] + far[:, other], kind="stable")
                for row in shared[: 1 if other == last else 2].tolist():
                    reads[one].add(row)
                    reads[other].add(row)
    return [sorted(read) for read in reads]


def write(name: str, header: tuple, rows: list, delimiter: str = ",") -> None:
    """Write one table."""
    with (HERE / name).open("w", newline="", encoding="utf-8") as file:
        csv.writer(file, delimiter=delimiter, lineterminator="\n").writerows([header, *rows])


if __name__ == "__main__":
    make_reading_room()
    make_reading_room_base()
    make_boot_room()
    make_market_counter()
    make_market_hall()
