from __future__ import annotations
from kit.show.board.svg import element, box
from kit.show.table import records


def ground_layer(job, layout, cuts, frame):
    out = ""
    for p in layout.units:
        x, y = layout.frames[p.run].to_site([p.left_mm, p.right_mm], [0, p.unit.depth_mm])
        (a, b), (c, d) = frame.to_px(x[0], y[0]), frame.to_px(x[1], y[1])
        out += box(min(a, c), min(b, d), abs(c - a), abs(d - b), fill="none", stroke="#777")
    return out


def mark_layer(answer, frame):
    return ""


def supports_data(layout, frame):
    rows = []
    s = frame.px_per_mm
    for one in records(layout.supports):
        fr = layout.frames[one["run"]]
        (ux, uy) = fr.to_site(1, 0)
        (ox, oy) = fr.to_site(0, 0)
        x, y = frame.to_px(one["x_mm"], one["y_mm"])
        rows.append(
            dict(
                name=one["support"],
                x=x,
                y=y,
                wide=75 * s,
                tall=45 * s,
                turn=fr.direction_deg,
                ux=float(ux - ox) * s,
                uy=float(uy - oy) * s,
                own_x_mm=one["own_x_mm"],
                low_mm=37.5,
                high_mm=4000,
                label_x=0,
                label_y=-10 if one["row"] == "B" else 22,
                mark_y=-22 if one["row"] == "B" else 30,
                room=1.0,
            )
        )
    return rows
