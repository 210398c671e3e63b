"""Bad job files, one slip a row, each with the exact words that it must be met with.

A row is: what stands in the boot room's job file, what is put in its place, and the problems,
each without the leading "job.toml, ". The wording is the kit's own; what is TOML and what is
not follows TOML v1.0.0 (toml.io/en/v1.0.0).
"""

from pathlib import Path

import pytest

from kit.job.read import read_text
from kit.job.refusal import Refusal

BAD: list[tuple[str, str, list[str]]] = [
    ("schema = 1", "schema = 2", ["schema: found 2; allowed: 1, the only version there is"]),
    ("schema = 1", "schema = true", ["schema: found true; allowed: 1"]),
    ("schema = 1", "schema = 1.0", ["schema: found 1.0; allowed: 1"]),
    ("schema = 1\n", "", ["schema: found nothing, and it is needed; allowed: 1"]),
    ("schema = 1", 'schema = "1"', ['schema: found "1"; allowed: 1']),
    (
        'title = "Boot room, east wall"',
        "title = 5",
        ["title: found 5; allowed: text in quotes on one line, 1 to 20000 characters"],
    ),
    (
        'title = "Boot room, east wall"',
        'title = ""',
        ['title: found ""; allowed: text in quotes on one line, 1 to 20000 characters'],
    ),
    (
        'title = "Boot room, east wall"',
        'title = "a\\nb"',
        ['title: found "a\\nb"; allowed: text in quotes on one line, 1 to 20000 characters'],
    ),
    ('units = "mm"', 'units = "cm"', ['units: found "cm"; allowed: "mm" or "in"']),
    (
        'units = "mm"',
        'unit = "mm"',
        [
            (
                "unit: found a key that is not known here; allowed: units, the nearest known "
                "key; unit belongs under [[run]]"
            )
        ],
    ),
    (
        'kind = "boarded"',
        'kind = "stone"',
        ['floor.kind: found "stone"; allowed: "boarded" or "solid"'],
    ),
    (
        'kind = "boarded"',
        'kind = "solid"',
        ["floor.joists: found a table; allowed: no joists under a solid floor"],
    ),
    (
        "board_mm = 21\n",
        "",
        [
            (
                "floor.board_mm: found nothing; allowed: what a screw may enter, which a "
                "boarded floor must say"
            )
        ],
    ),
    (
        "board_mm = 21",
        "board = 21",
        [
            (
                "floor.board: found 21, a length without its unit; allowed: board_mm in "
                "millimetres or board_in in inches"
            )
        ],
    ),
    (
        "board_mm = 21",
        "board_cm = 2.1",
        [
            (
                "floor.board_cm: found a key that is not known here; allowed: board_mm, the "
                "nearest known key"
            )
        ],
    ),
    (
        "board_mm = 21",
        "board_mm = 21\nboard_in = 0.8",
        [
            (
                "floor.board_in: found board_mm = 21 and board_in = 0.8; allowed: one of the "
                "two, board_mm or board_in"
            )
        ],
    ),
    (
        "board_mm = 21",
        "board_mm = nan",
        ["floor.board_mm: found nan; allowed: a number above 0 up to 200000 mm"],
    ),
    (
        "board_mm = 21",
        "board_mm = inf",
        ["floor.board_mm: found inf; allowed: a number above 0 up to 200000 mm"],
    ),
    (
        "board_mm = 21",
        "board_mm = true",
        ["floor.board_mm: found true; allowed: a number above 0 up to 200000 mm"],
    ),
    (
        "board_mm = 21",
        'board_mm = "21"',
        [('floor.board_mm: found "21"; allowed: a number above 0 up to 200000 mm, without quotes')],
    ),
    (
        "board_mm = 21",
        "board_mm = -21",
        ["floor.board_mm: found -21; allowed: a number above 0 up to 200000 mm"],
    ),
    (
        "board_mm = 21",
        "board_mm = 2024-05-01",
        [
            (
                "floor.board_mm: found the date or time 2024-05-01; allowed: a number above 0 "
                "up to 200000 mm"
            )
        ],
    ),
    (
        "board_mm = 21",
        'board_in = "3 9/8"',
        [
            (
                'floor.board_in: found "3 9/8"; allowed: inches such as 3.625, "3 5/8", '
                '"3-5/8" or "5/8"'
            )
        ],
    ),
    (
        "board_mm = 21",
        "board_in = -0.8",
        [
            (
                'floor.board_in: found -0.8; allowed: inches such as 3.625, "3 5/8", "3-5/8" '
                'or "5/8", above 0 up to 7874 in'
            )
        ],
    ),
    (
        "reserve_mm = 2",
        "clear_below_mm = 60",
        [('floor.clear_below_mm: found 60; allowed: this key only with services = "checked"')],
    ),
    (
        "reserve_mm = 2",
        "reserve_mm = 21",
        ["floor.reserve_mm: found 21; allowed: less than the 21 mm that a screw may enter"],
    ),
    (
        "screws_mm = [30, 40]",
        "countersink_mm = 6",
        ["stock.countersink_mm: found 6; allowed: a number from 0 to 5 mm"],
    ),
    (
        "reserve_mm = 2",
        'units = "in"',
        [
            (
                "floor.units: found a key that is not known here; allowed: kind, board_mm, "
                "board_strength_class, "
                "services, clear_below_mm, reserve_mm, finish_mm, benchmark, "
                "benchmark_mm, doubt or joists; units belongs above the first [table]"
            )
        ],
    ),
    (
        "reserve_mm = 2",
        'colour = "red"',
        [
            (
                "floor.colour: found a key that is not known here; allowed: kind, board_mm, "
                "board_strength_class, "
                "services, clear_below_mm, reserve_mm, finish_mm, benchmark, "
                "benchmark_mm, doubt or joists"
            )
        ],
    ),
    (
        "bearing_mm = [0, 3600]",
        "bearing_mm = [3600, 0]",
        ["floor.joists.bearing_mm: found [3600, 0]; allowed: places in ascending order"],
    ),
    (
        "bearing_mm = [0, 3600]",
        "bearing_mm = [0]",
        [
            (
                "floor.joists.bearing_mm: found [0]; allowed: a list of 2 or more, each a "
                "number from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "bearing_mm = [0, 3600]",
        'bearing_mm = [0, "x"]',
        [
            (
                'floor.joists.bearing_mm, value 2: found "x"; allowed: a number from -200000 '
                "to 200000 mm, without quotes"
            )
        ],
    ),
    (
        "bearing_mm = [0, 3600]",
        'bearing_in = ["0", "a yard"]',
        [
            (
                'floor.joists.bearing_in, value 2: found "a yard"; allowed: inches such as '
                '3.625, "3 5/8", "3-5/8" or "5/8"'
            )
        ],
    ),
    ('along = "y"', 'along = "z"', ['floor.joists.along: found "z"; allowed: "x" or "y"']),
    (
        'strength_class = "C16"',
        'strength_class = "C99"',
        ['floor.joists.strength_class: found "C99"; allowed: "C16" or "C24"'],
    ),
    (
        'kind = "heights"',
        'kind = "laser"',
        [
            (
                'survey "heights.csv", kind: found "laser"; allowed: "heights", "grid", "staff", '
                '"booking", "level", "straightedge" or "scan"'
            )
        ],
    ),
    (
        '"heights.csv"',
        '"../heights.csv"',
        [
            (
                'survey "../heights.csv", file: found "../heights.csv", which is not a file '
                "inside the job's folder; allowed: the name of a table in the job's folder or "
                "in a folder below it"
            )
        ],
    ),
    (
        '"heights.csv"',
        '"/tmp/heights.csv"',
        [
            (
                'survey "/tmp/heights.csv", file: found "/tmp/heights.csv", which is not a '
                "file inside the job's folder; allowed: the name of a table in the job's "
                "folder or in a folder below it"
            )
        ],
    ),
    (
        '"heights.csv"',
        '"C:\\\\heights.csv"',
        [
            (
                'survey "C:\\heights.csv", file: found "C:\\heights.csv", which is not a file '
                "inside the job's folder; allowed: the name of a table in the job's folder or "
                "in a folder below it"
            )
        ],
    ),
    (
        '"heights.csv"',
        '"."',
        [
            (
                'survey ".", file: found ".", which is not a file inside the job\'s folder; '
                "allowed: the name of a table in the job's folder or in a folder below it"
            )
        ],
    ),
    (
        '"heights.csv"',
        '"a\\u0000b"',
        [
            (
                'survey "a\\x00b", file: found "a\\x00b", which is not a file inside the job\'s '
                "folder; allowed: the name of a table in the job's folder or in a folder "
                "below it"
            )
        ],
    ),
    (
        'file = "heights.csv"',
        'file = "heights.csv"\npoints_file = "../../points.csv"',
        [
            (
                'survey "heights.csv", points_file: found "../../points.csv", which is not a '
                "file inside the job's folder; allowed: the name of a table in the job's "
                "folder or in a folder below it"
            )
        ],
    ),
    (
        'file = "heights.csv"',
        'file = "heights.csv"\n[[survey]]\nkind="grid"\nfile = "heights.csv"',
        [
            (
                'survey 2, file: found "heights.csv" a second time; allowed: a table that no '
                "other survey has; of a workbook, another sheet"
            )
        ],
    ),
    (
        "[[survey]]",
        "[survey]",
        [
            (
                "survey: found a table; allowed: tables headed [[survey]], in double "
                "brackets, at least one"
            )
        ],
    ),
    (
        "[[survey]]",
        "[[surveys]]",
        [("surveys: found a key that is not known here; allowed: survey, the nearest known key")],
    ),
    (
        'name = "A"',
        'name = "the long wall"',
        [
            (
                'run the long wall, name: found "the long wall"; allowed: a letter, then '
                "letters and digits without spaces, at most 12 in all"
            )
        ],
    ),
    (
        'name = "A"',
        'nam = "A"',
        [("run 1, nam: found a key that is not known here; allowed: name, the nearest known key")],
    ),
    (
        "origin_mm = [0, 0]",
        "origin_mm = [0, 0, 0]",
        [
            (
                "run A, origin_mm: found [0, 0, 0]; allowed: a list of 2, each a number from "
                "-200000 to 200000 mm"
            )
        ],
    ),
    (
        "origin_mm = [0, 0]",
        "origin_mm = 0",
        [
            (
                "run A, origin_mm: found 0; allowed: a list of 2, each a number from -200000 "
                "to 200000 mm"
            )
        ],
    ),
    (
        "origin_mm = [0, 0]",
        "direction_deg = 400",
        ["run A, direction_deg: found 400; allowed: a number from -360 to 360 degrees"],
    ),
    ("origin_mm = [0, 0]", "left_wall = 1", ["run A, left_wall: found 1; allowed: true or false"]),
    (
        "width_mm = 1100",
        "width = 900",
        [
            (
                'run A, unit "boot bench", width: found 900, a length without its unit; '
                "allowed: width_mm in millimetres or width_in in inches"
            )
        ],
    ),
    (
        "width_mm = 1100",
        "widht_mm = 900",
        [
            (
                'run A, unit "boot bench", widht_mm: found a key that is not known here; '
                "allowed: width_mm, the nearest known key"
            )
        ],
    ),
    (
        "width_mm = 1100\n",
        "\n",
        [
            (
                'run A, unit "boot bench", width_mm: found nothing, and it is needed; '
                "allowed: a number above 0 up to 200000 mm"
            )
        ],
    ),
    (
        "width_mm = 1100",
        "width_mm = 0",
        [
            (
                'run A, unit "boot bench", width_mm: found 0; allowed: a number above 0 up to '
                "200000 mm"
            )
        ],
    ),
    (
        "width_mm = 1100",
        "width_mm = 1e9",
        [
            (
                'run A, unit "boot bench", width_mm: found 1000000000.0; allowed: a number '
                "above 0 up to 200000 mm"
            )
        ],
    ),
    (
        "width_mm = 1100",
        "width_mm = 900\nwidth_in = 35",
        [
            (
                'run A, unit "boot bench", width_in: found width_mm = 900 and width_in = 35; '
                "allowed: one of the two, width_mm or width_in"
            )
        ],
    ),
    (
        'width_in = "23 5/8"',
        "width_in = true",
        [
            (
                'run A, unit "coat tower", width_in: found true; allowed: inches such as '
                '3.625, "3 5/8", "3-5/8" or "5/8", above 0 up to 7874 in'
            )
        ],
    ),
    (
        'width_in = "23 5/8"',
        'width_in = "600 mm"',
        [
            (
                'run A, unit "coat tower", width_in: found "600 mm"; allowed: inches such as '
                '3.625, "3 5/8", "3-5/8" or "5/8"'
            )
        ],
    ),
    (
        'width_in = "23 5/8"',
        "width_in = 0",
        [
            (
                'run A, unit "coat tower", width_in: found 0; allowed: inches such as 3.625, '
                '"3 5/8", "3-5/8" or "5/8", above 0 up to 7874 in'
            )
        ],
    ),
    (
        'width_in = "23 5/8"',
        'widht_in = "23 5/8"',
        [
            (
                'run A, unit "coat tower", widht_in: found a key that is not known here; '
                "allowed: width_in, the nearest known key"
            )
        ],
    ),
    (
        'name = "coat tower"',
        'name = "boot bench"',
        [
            (
                'run A, unit 2, name: found "boot bench" a second time; allowed: a name that '
                "no other unit has"
            )
        ],
    ),
    (
        "[350, 720]",
        "[720, 350]",
        [
            (
                'run A, unit "boot bench", divisions_mm: found [720, 350]; allowed: centre '
                "lines from left to right, no panels touching"
            )
        ],
    ),
    (
        "[350, 720]",
        "[350, true]",
        [
            (
                'run A, unit "boot bench", divisions_mm, value 2: found true; allowed: a '
                "number above 0 up to 200000 mm"
            )
        ],
    ),
    (
        "depth_mm = 420\n  height_mm = 480",
        "depth_mm = 420\n  height_mm = 480\n  centre_of_gravity_mm = 500",
        [
            (
                'run A, unit "boot bench", centre_of_gravity_mm: found 500; allowed: at most '
                "the unit's depth"
            )
        ],
    ),
    (
        "depth_mm = 420\n  height_mm = 480",
        "depth_mm = 420\n  height_mm = 480\n  side_mm = 700",
        [('run A, unit "boot bench", side_mm: found 700; allowed: at most half the unit\'s width')],
    ),
    (
        "depth_mm = 420\n  height_mm = 480",
        "depth_mm = 420\n  height_mm = 480\n  mass_kg = -3",
        [('run A, unit "boot bench", mass_kg: found -3; allowed: a number from 0 to 100000 kg')],
    ),
    (
        "size_mm = [300, 250]",
        "size_mm = [300, -250]",
        [
            (
                'no_go "floor hatch", size_mm, value 2: found -250; allowed: a number above 0 '
                "up to 200000 mm"
            )
        ],
    ),
    (
        "size_mm = [300, 250]",
        'size_mm = [300, 250]\nforbids = "everything"',
        [('no_go "floor hatch", forbids: found "everything"; allowed: "supports" or "screws"')],
    ),
    (
        "to_mm = [4000, 300]\n",
        "",
        [
            (
                'service "heating pipe", to_mm: found nothing, and it is needed; allowed: a '
                "list of 2, each a number from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nmethod = "ladder"',
        [
            (
                'base "oak bearers", ladder: found nothing; allowed: a table headed [base.ladder], '
                'which method = "ladder" needs'
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nmethod = "magic"',
        [
            (
                'base "oak bearers", method: found "magic"; allowed: "packers", "stacks", "feet", '
                '"ladder" or "compound"'
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nfront_lift_mm = "some"',
        [
            (
                'base "oak bearers", front_lift_mm: found "some"; allowed: a number from -50 '
                'to 50 mm, without quotes, or "settlement"'
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfront_lift_mm = 51",
        [
            (
                'base "oak bearers", front_lift_mm: found 51; allowed: a number from -50 to 50 mm, '
                'or "settlement"'
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nmax_span_mm = 149",
        [
            (
                'base "oak bearers", max_span_mm: found 149 mm, less than two packers of 75 '
                "mm; allowed: 150 mm or more"
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nmax_span_in = "5"',
        [
            (
                'base "oak bearers", max_span_in: found 127 mm, less than two packers of 75 '
                "mm; allowed: 150 mm or more"
            )
        ],
    ),
    (
        "screws_mm = [30, 40]",
        "packer_size_mm = [301, 45]",
        [
            (
                'base "oak bearers", max_span_mm: found 600 mm, less than two packers of 301 '
                "mm; allowed: 602 mm or more"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nmax_pieces = 9.0",
        [('base "oak bearers", max_pieces: found 9.0; allowed: a whole number from 1 to 20')],
    ),
    (
        "[[base]]",
        "[[base]]\nmax_pieces = 21",
        [('base "oak bearers", max_pieces: found 21; allowed: a whole number from 1 to 20')],
    ),
    (
        "height_mm = [55, 75]",
        "height_mm = [75, 55]",
        [
            (
                'base "oak bearers", height_mm: found [75, 55]; allowed: two heights with the '
                "lower one first"
            )
        ],
    ),
    (
        "height_mm = [55, 75]",
        "height_mm = [55]",
        [
            (
                'base "oak bearers", height_mm: found [55]; allowed: a number above 0 up to '
                "200000 mm, or a list of 2, each a number above 0 up to 200000 mm"
            )
        ],
    ),
    (
        "height_mm = [55, 75]",
        'height_mm = [55, "75"]',
        [
            (
                'base "oak bearers", height_mm: found [55, "75"]; allowed: a number above 0 '
                "up to 200000 mm, or a list of 2, each a number above 0 up to 200000 mm"
            )
        ],
    ),
    (
        "height_mm = [55, 75]",
        "height_mm = {low = 55, high = 75}",
        [
            (
                'base "oak bearers", height_mm: found a table; allowed: a number above 0 up '
                "to 200000 mm, or a list of 2, each a number above 0 up to 200000 mm"
            )
        ],
    ),
    (
        "height_mm = [55, 75]",
        "height = [55, 75]",
        [
            (
                'base "oak bearers", height: found [55, 75], a length without its unit; '
                "allowed: height_mm in millimetres or height_in in inches"
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nname = "oak bearers"\nheight_mm = 60\n[[base]]',
        [
            (
                'base 2, name: found "oak bearers" a second time; allowed: a name that no '
                "other base has"
            )
        ],
    ),
    (
        "{ width_mm = 45, thickness_mm = 20 }",
        "{ width = 45, thicknes_mm = 20 }",
        [
            (
                'base "oak bearers", bearer.width: found 45, a length without its unit; '
                "allowed: width_mm in millimetres or width_in in inches"
            ),
            (
                'base "oak bearers", bearer.thicknes_mm: found a key that is not known here; '
                "allowed: thickness_mm, the nearest known key"
            ),
        ],
    ),
    (
        "{ width_mm = 45, thickness_mm = 20 }",
        "45",
        ['base "oak bearers", bearer: found 45; allowed: a table headed [base.bearer]'],
    ),
    (
        "[[base]]",
        "[[base]]\nplinth = {}",
        [
            (
                'base "oak bearers", plinth.set_back_mm: found nothing, and it is needed; '
                "allowed: a number from 0 to 200000 mm"
            ),
            (
                'base "oak bearers", plinth.thickness_mm: found nothing, and it is needed; '
                "allowed: a number above 0 up to 200000 mm"
            ),
            (
                'base "oak bearers", plinth.board_mm: found nothing, and it is needed; '
                "allowed: a list of 1 or more, each a number above 0 up to 200000 mm"
            ),
        ],
    ),
    (
        "{mm = 1}, ",
        '{mm = 1, in = "1/16"}, ',
        [('stock, packer 1, in: found mm = 1 and in = "1/16"; allowed: one of the two, mm or in')],
    ),
    ("{mm = 1}, ", "1, ", ["stock.packers, value 1: found 1; allowed: a table"]),
    (
        "{mm = 1}, ",
        "{thickness_mm = 1}, ",
        [
            (
                "stock, packer 1, thickness_mm: found a key that is not known here; allowed: "
                "mm, count, measured_mm, price or pack; thickness_mm belongs under [base.bearer], "
                "under [base.ladder] or under [base.plinth]"
            ),
            (
                "stock, packer 1, mm: found nothing, and it is needed; allowed: a number "
                "above 0 up to 500 mm"
            ),
        ],
    ),
    (
        "count = 40",
        "count = 4.5",
        ["stock, packer 3, count: found 4.5; allowed: a whole number from 0 to 1000000"],
    ),
    (
        "count = 40",
        "measured = 5.9",
        [
            (
                "stock, packer 3, measured: found 5.9, a length without its unit; allowed: "
                "measured_mm in millimetres or measured_in in inches"
            )
        ],
    ),
    (
        '{in = "3/4", price = 0.22}',
        '{in = "3/4", price = -1}',
        ["stock, packer 4, price: found -1; allowed: a number from 0"],
    ),
    (
        "screws_mm = [30, 40]",
        "screws = [30, 40]",
        [
            (
                "stock.screws: found [30, 40], a length without its unit; allowed: screws_mm "
                "in millimetres or screws_in in inches"
            )
        ],
    ),
    (
        "screws_mm = [30, 40]",
        "screws_mm = [30, 0]",
        ["stock.screws_mm, value 2: found 0; allowed: a number above 0 up to 200000 mm"],
    ),
    (
        "screws_mm = [30, 40]",
        'screws_in = ["1 1/4", "1 1/2", []]',
        [
            (
                'stock.screws_in, value 3: found []; allowed: inches such as 3.625, "3 5/8", '
                '"3-5/8" or "5/8", above 0 up to 7874 in'
            )
        ],
    ),
    (
        "screws_mm = [30, 40]",
        'folder = "x"',
        [
            (
                "stock.folder: found a key that is not known here; allowed: packers, "
                "screws_mm, screw_diameter_mm, screw_price, screw_box, spare_percent, "
                "countersink_mm, packer_size_mm, packer_bears_n_per_mm2, packer_kg_per_l or "
                "crate_kg"
            )
        ],
    ),
    (
        "[stock]\n",
        "[stock]\nschema_version = 1\n",
        [
            (
                "stock.schema_version: found a key that is not known here; allowed: packers, "
                "screws_mm, screw_diameter_mm, screw_price, screw_box, spare_percent, "
                "countersink_mm, packer_size_mm, packer_bears_n_per_mm2, packer_kg_per_l or "
                "crate_kg"
            )
        ],
    ),
    (
        "width_mm = 1100",
        "width_mm 1100",
        [
            (
                "line 30: found a line without =: width_mm 1100; allowed: key = value, or a "
                "[table] in square brackets"
            )
        ],
    ),
    (
        "width_mm = 1100",
        "width_mm = 3 5/8",
        [
            (
                "line 30: found more than one value on a line: width_mm = 3 5/8; allowed: one "
                "value a line, decimals with a point, text and fractions in quotes"
            )
        ],
    ),
    (
        "width_mm = 1100",
        "width_mm = 1100,5",
        [
            (
                "line 30: found more than one value on a line: width_mm = 1100,5; allowed: "
                "one value a line, decimals with a point, text and fractions in quotes"
            )
        ],
    ),
    (
        'title = "Boot room, east wall"',
        'title = "Boot room',
        [
            (
                'line 3: found text without its closing quote: title = "Boot room; allowed: a '
                '" at each end of a text'
            )
        ],
    ),
    (
        'units = "mm"',
        'units = "mm"\nunits = "in"',
        [
            (
                'line 5: found the same key or table a second time: units = "in"; allowed: '
                "each key and each table once"
            )
        ],
    ),
    (
        "screws_mm = [30, 40]",
        "screws_mm = [30, 40",
        [
            (
                "line 59: found a list without its closing bracket: screws_mm = [30, 40; "
                "allowed: a ] at the end of the list"
            )
        ],
    ),
    (
        "[floor]",
        "[floor",
        [
            (
                "line 6: found a table's name without its closing bracket: [floor; allowed: "
                "[table] or [[table]]"
            )
        ],
    ),
    (
        "[stock]",
        "[floor]\n[stock]",
        [
            (
                "line 57: found the same key or table a second time: [floor]; allowed: each "
                "key and each table once"
            )
        ],
    ),
    (
        'units = "mm"',
        "units = mm",
        [
            (
                "line 4: found a value that cannot be read: units = mm; allowed: a number "
                'such as 900 or 3.5, true or false, a [list], or text in quotes such as "3 '
                '5/8"'
            )
        ],
    ),
    (
        '"heights.csv"',
        '"tables\\heights.csv"',
        [
            (
                'line 22: found a backslash inside a text: file = "tables\\heights.csv"; '
                "allowed: a forward slash, or \\\\ for a backslash"
            )
        ],
    ),
    (
        'units = "mm"',
        'units = "mm',
        [
            (
                'line 4: found text without its closing quote: units = "mm; allowed: a " at '
                "each end of a text"
            )
        ],
    ),
    (
        "board_mm = 21",
        "board_mm = 2024-13-01",
        [
            (
                "line 8: found more than one value on a line: board_mm = 2024-13-01; allowed: "
                "one value a line, decimals with a point, text and fractions in quotes"
            )
        ],
    ),
    (
        "board_mm = 21",
        "board_mm = [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]",
        [("job.toml: found lists or tables nested more than 12 deep; allowed: at most 12 levels")],
    ),
    (
        'units = "mm"',
        '= "mm"',
        [('line 4: found a line that cannot be read: = "mm"; allowed: key = value, or a [table]')],
    ),
    (
        'units = "mm"',
        'units = "mm" # \x01',
        [
            (
                'line 4: found a character that may not stand here: units = "mm" # \\x01; '
                "allowed: letters, digits, signs, spaces"
            )
        ],
    ),
    (
        "{ width_mm = 45, thickness_mm = 20 }",
        "{ width_mm = 45,",
        [
            (
                "line 55: found no key where one is expected: bearer = { width_mm = 45,; "
                "allowed: letters, digits, _ and - in a key"
            )
        ],
    ),
    (
        "screws_mm = [30, 40]",
        '"screws\\nmm" = 1',
        [
            (
                "stock.screws\\nmm: found a key that is not known here; allowed: screws_mm, "
                "the nearest known key"
            )
        ],
    ),
    (
        "{ width_mm = 45, thickness_mm = 20 }",
        "{ width_mm = 45, width_mm = 20 }",
        [
            (
                "line 55: found the same key a second time: bearer = { width_mm = 45, "
                "width_mm = 20 }; allowed: each key once"
            )
        ],
    ),
    (
        "[[no_go]]",
        "[[run.unit.shelf]]\n[[no_go]]",
        [
            (
                'run A, unit "coat tower", shelf: found a key that is not known here; '
                "allowed: name, width_mm, depth_mm, height_mm, side_mm, divisions_mm, "
                "mass_kg, contents_kg, contents_are, centre_of_gravity_mm or gap_before_mm"
            )
        ],
    ),
    (
        "[[no_go]]",
        "[x]\n[[no_go]]",
        [
            (
                "x: found a key that is not known here; allowed: schema, title, units, notes, "
                "floor, survey, run, no_go, service, doorway, floor_step, excluded, "
                "movement_joint, room, base, stock, rates or as_built"
            )
        ],
    ),
    (
        "height_mm = [55, 75]",
        'height_in = ["2", "x"]',
        [
            (
                'base "oak bearers", height_in, value 2: found "x"; allowed: inches such as '
                '3.625, "3 5/8", "3-5/8" or "5/8"'
            )
        ],
    ),
    (
        "[floor]",
        '[floor]\nkind = 5\nboard_mm = "x"\n[flor]',
        [
            'floor.kind: found 5; allowed: "boarded" or "solid"',
            (
                'floor.board_mm: found "x"; allowed: a number above 0 up to 200000 mm, '
                "without quotes"
            ),
            ("flor: found a key that is not known here; allowed: floor, the nearest known key"),
        ],
    ),
    (
        "bearing_mm = [0, 3600]",
        "bearing_mm = [0, 3600]\n[floor.joist]",
        [
            (
                'floor.joists.strength_class: found nothing, and it is needed; allowed: "C16" '
                'or "C24"'
            ),
            (
                "floor.joist: found a key that is not known here; allowed: joists, the "
                "nearest known key"
            ),
        ],
    ),
    (
        "[[service]]",
        "[service]",
        [("service: found a table; allowed: tables headed [[service]], in double brackets")],
    ),
    (
        "mm = [0, 0]",
        'mm = ["0", 0]',
        [
            (
                'run A, origin_mm, value 1: found "0"; allowed: a number from -200000 to '
                "200000 mm, without quotes"
            )
        ],
    ),
    (
        "[stock]",
        "[room]\nceiling_ft = 8\n[stock]",
        [
            (
                "room.ceiling_ft: found a key that is not known here; allowed: ceiling_mm, "
                "the nearest known key"
            )
        ],
    ),
    (
        'name = "floor hatch"',
        'name = "floor hatch"\nheight_mm = 3',
        [
            (
                'no_go "floor hatch", height_mm: found a key that is not known here; allowed: '
                "name, corner_mm, size_mm or forbids; height_mm belongs under [survey.frame], "
                "under [[run.unit]], under [[base]] or under [as_built.survey.frame]"
            )
        ],
    ),
    (
        'units = "mm"',
        "units = 'mm\nx'",
        [
            (
                "line 4: found text without its closing quote: units = 'mm; allowed: a ' at "
                "each end of it"
            )
        ],
    ),
    (
        'units = "mm"',
        'units = """mm',
        [
            (
                "line 59: found text without its closing quote: screws_mm = [30, 40]; "
                'allowed: a " at each end of a text'
            )
        ],
    ),
    (
        "{mm = 6, count = 40}",
        "{mm = 6, count = true}",
        [("stock, packer 3, count: found true; allowed: a whole number from 0 to 1000000")],
    ),
    (
        'packers = [ {mm = 1}, {mm = 3}, {mm = 6, count = 40}, {in = "3/4", price = 0.22} ]',
        "packers = []",
        [
            (
                "stock.packers: found []; allowed: a list of tables such as [ {mm = 3}, {mm = "
                "6, count = 40} ], at least one"
            )
        ],
    ),
    (
        "[stock]",
        '[[run]]\nname = "A"\nunit = []\n[stock]',
        [
            'run 2, name: found "A" a second time; allowed: a name that no other run has',
            (
                "run 2, unit: found []; allowed: tables headed [[run.unit]], in double "
                "brackets, at least one"
            ),
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nmethod = "feet"',
        [
            (
                'base "oak bearers", feet: found nothing; allowed: at least one kind of foot, '
                'such as [ {low_mm = 40, high_mm = 65} ], which method = "feet" needs'
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nmethod = "feet"\nfeet = []',
        [
            (
                'base "oak bearers", feet: found []; allowed: at least one kind of foot, such '
                'as [ {low_mm = 40, high_mm = 65} ], which method = "feet" needs'
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nmethod = "compound"',
        [
            (
                'base "oak bearers", compound: found nothing; allowed: a table headed '
                '[base.compound], which method = "compound" needs'
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nmethod = "Stacks"',
        [
            (
                'base "oak bearers", method: found "Stacks"; allowed: "packers", "stacks", '
                '"feet", "ladder" or "compound"'
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nmethod = ["packers"]',
        [
            (
                'base "oak bearers", method: found ["packers"]; allowed: "packers", "stacks", '
                '"feet", "ladder" or "compound"'
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ {low_mm = 65, high_mm = 40} ]",
        ['base "oak bearers", foot 1, high_mm: found 40; allowed: at least low_mm, 65 mm'],
    ),
    (
        "[[base]]",
        '[[base]]\nfeet = [ {low_in = "2 1/2", high_mm = 40} ]',
        [('base "oak bearers", foot 1, high_mm: found 40; allowed: at least low_mm, 63.5 mm')],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ {low_mm = 40} ]",
        [
            (
                'base "oak bearers", foot 1, high_mm: found nothing, and it is needed; '
                "allowed: a number above 0 up to 200000 mm"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = {low_mm = 40, high_mm = 65}",
        [
            (
                'base "oak bearers", feet: found a table; allowed: a list of tables such as [ '
                "{low_mm = 40, high_mm = 65} ]"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "feet = [ {low_mm = 40, high_mm = 65}, {low_mm = 60, high_mm = 90, hight_mm "
            "= 1} ]"
        ),
        [
            (
                'base "oak bearers", foot 2, hight_mm: found a key that is not known here; '
                "allowed: high_mm, the nearest known key"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ {low_mm = 40, high_mm = 65, bears_n = 0} ]",
        [
            (
                'base "oak bearers", foot 1, bears_n: found 0; allowed: a number above 0 up to '
                "1000000 N"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ {low_mm = 40, high_mm = 65, bears_kg = 100} ]",
        [
            (
                'base "oak bearers", foot 1, bears_kg: found a key that is not known here; '
                "allowed: bears_n, the nearest known key"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ {low_mm = 40, high_mm = 65, price = -1} ]",
        ['base "oak bearers", foot 1, price: found -1; allowed: a number from 0'],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ {low_mm = 40, high_mm = 65, count = 2.5} ]",
        [
            (
                'base "oak bearers", foot 1, count: found 2.5; allowed: a whole number from 0 '
                "to 1000000"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ {low = 40, high_mm = 65} ]",
        [
            (
                'base "oak bearers", foot 1, low: found 40, a length without its unit; '
                "allowed: low_mm in millimetres or low_in in inches"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ {low_mm = 40, high_mm = 65, set_within_mm = 11} ]",
        [
            (
                'base "oak bearers", foot 1, set_within_mm: found 11; allowed: a number from 0 '
                "to 10 mm"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            'method = "feet"\n'
            "feet = [ {low_mm = 40, high_mm = 65} ]\n"
            'moved = [ {bearer = "B", from_mm = 1000, to_mm = 1020} ]'
        ),
        [
            (
                'base "oak bearers", moved: found a list of tables; allowed: this key only '
                'with method = "packers"'
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nfeet = [ "
        + ", ".join(f"{{low_mm = {40 + more}, high_mm = 65}}" for more in range(9))
        + " ]",
        [
            'base "oak bearers", feet: found a list of tables; allowed: at most 8 kinds of feet; '
            "these are 9"
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "feet = [ {low_mm = 40, high_mm = 65}, {low_mm = 40, high_mm = 65, plate_mm = 60}, "
            "{low_mm = 40, high_mm = 65, plate_mm = 50, price = 2} ]"
        ),
        [
            'base "oak bearers", foot 3: found a table; allowed: another low_mm, high_mm or '
            "plate_mm than those of each foot before it"
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = { least_mm = 96, boards = [ {mm = 95}, {mm = 70}, {mm = 95} ] }",
        [
            'base "oak bearers", ladder.least_mm: found 96; allowed: at most the deepest of its '
            "boards, 95 mm",
            'base "oak bearers", ladder, board 3: found a table; allowed: a depth that no board '
            "before it has",
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = {}",
        [
            (
                'base "oak bearers", ladder.boards: found nothing, and it is needed; allowed: '
                "a list of tables such as [ {mm = 70}, {mm = 95, price_per_m = 6.4} ], at "
                "least one"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = { boards = [] }",
        [
            (
                'base "oak bearers", ladder.boards: found []; allowed: a list of tables such '
                "as [ {mm = 70}, {mm = 95, price_per_m = 6.4} ], at least one"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = { boards = [70] }",
        ['base "oak bearers", ladder.boards, value 1: found 70; allowed: a table'],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = { boards = [ {mm = 0} ] }",
        [
            (
                'base "oak bearers", ladder, board 1, mm: found 0; allowed: a number above 0 '
                "up to 200000 mm"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = { boards = [ {mm = 70}, {mm = 95, price_m = 3} ] }",
        [
            (
                'base "oak bearers", ladder, board 2, price_m: found a key that is not known '
                "here; allowed: price_per_m, the nearest known key"
            )
        ],
    ),
    (
        "[[base]]",
        ("[[base]]\nladder = { boards = [ {mm = 70}, {mm = 95, price_per_m = -0.5} ] }"),
        [
            (
                'base "oak bearers", ladder, board 2, price_per_m: found -0.5; allowed: a '
                "number from 0"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = { boards = [ {mm = 70} ], scribe_mm = 0.5 }",
        [
            (
                'base "oak bearers", ladder.scribe_mm: found a key that is not known here; '
                "allowed: scribe_within_mm, the nearest known key"
            )
        ],
    ),
    (
        "[[base]]",
        '[[base]]\nladder = { boards = [ {mm = 70} ], least_in = "1 x" }',
        [
            (
                'base "oak bearers", ladder.least_in: found "1 x"; allowed: inches such as '
                '3.625, "3 5/8", "3-5/8" or "5/8"'
            )
        ],
    ),
    (
        "[[base]]",
        ("[[base]]\nladder = { boards = [ {mm = 70} ], density_kg_per_m3 = 9000 }"),
        [
            (
                'base "oak bearers", ladder.density_kg_per_m3: found 9000; allowed: a number '
                "above 0 up to 3000 kg/m3"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = [ { boards = [ {mm = 70} ] } ]",
        [
            (
                'base "oak bearers", ladder: found a list of tables; allowed: a table headed '
                "[base.ladder]"
            )
        ],
    ),
    (
        "[[base]]",
        "[[base]]\nladder = { boards = [ {mm = 70} ], stock_mm = [] }",
        [
            (
                'base "oak bearers", ladder.stock_mm: found []; allowed: a list of 1 or more, '
                "each a number above 0 up to 200000 mm"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2 }"
        ),
        [
            (
                'base "oak bearers", compound.drying: found nothing, and it is needed; '
                "allowed: a list of tables such as [ {to_mm = 10, days = 1}, {to_mm = 50, days "
                "= 3} ], at least one"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [] }"
        ),
        [
            (
                'base "oak bearers", compound.drying: found []; allowed: a list of tables such '
                "as [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} ], at least one"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 50, days = 1}, {to_mm = 10, days = 3} "
            "] }"
        ),
        [
            (
                'base "oak bearers", compound, drying 2, to_mm: found 10; allowed: more than '
                "the 50 mm before it"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 30, days = 3} "
            "] }"
        ),
        [
            (
                'base "oak bearers", compound, drying 2, to_mm: found 30; allowed: '
                "greatest_mm, 50 mm, or more at the last one"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 3}, {to_mm = 50, days = 1} "
            "] }"
        ),
        [
            (
                'base "oak bearers", compound, drying 2, days: found 1; allowed: at least the '
                "3 days of the lesser depth before it"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, day = 1}, {to_mm = 50, days = 3} "
            "] }"
        ),
        [
            (
                'base "oak bearers", compound, drying 1, day: found a key that is not known '
                "here; allowed: days, the nearest known key"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = -1}, {to_mm = 50, days = "
            "3} ] }"
        ),
        [
            (
                'base "oak bearers", compound, drying 1, days: found -1; allowed: a number '
                "from 0 to 365 days"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 60, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} "
            "] }"
        ),
        [('base "oak bearers", compound.greatest_mm: found 50; allowed: at least least_mm, 60 mm')],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} "
            "], bag_kg = 0 }"
        ),
        [('base "oak bearers", compound.bag_kg: found 0; allowed: a number above 0 up to 1000 kg')],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 0, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} "
            "] }"
        ),
        [
            (
                'base "oak bearers", compound.powder_kg_per_l: found 0; allowed: a number '
                "above 0 up to 10 kg/l"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} "
            "], waste_percent = 101 }"
        ),
        [
            (
                'base "oak bearers", compound.waste_percent: found 101; allowed: a number from '
                "0 to 100 %"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} "
            "], waste = 5 }"
        ),
        [
            (
                'base "oak bearers", compound.waste: found a key that is not known here; '
                "allowed: waste_percent, the nearest known key"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} "
            "], price = -2 }"
        ),
        ['base "oak bearers", compound.price: found -2; allowed: a number from 0'],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            "compound = { least_mm = 3, greatest_mm = 50, set_kg_per_l = 2, drying = [ "
            "{to_mm = 10, days = 1}, {to_mm = 50, days = 3} ] }"
        ),
        [
            (
                'base "oak bearers", compound.powder_kg_per_l: found nothing, and it is '
                "needed; allowed: a number above 0 up to 10 kg/l"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            'method = "compound"\n'
            "front_lift_mm = 2\n"
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} "
            "] }"
        ),
        [
            (
                'base "oak bearers", front_lift_mm: found 2; allowed: 0 with method = '
                '"compound", which lies level'
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            'method = "compound"\n'
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 1.2, drying = [ {to_mm = 50, days = 3} ] }"
        ),
        [
            (
                'base "oak bearers", compound.set_kg_per_l: found 1.2; allowed: at least '
                "powder_kg_per_l, 1.7 kg/l, which is in it"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            'method = "compound"\n'
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 50, days = 3} ] }\n"
            "plinth = { set_back_mm = 40, thickness_mm = 18, board_mm = [70] }"
        ),
        [
            (
                'base "oak bearers", plinth: found a table; allowed: no plinth with method = '
                '"compound", which fills '
                "the floor to the front"
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            'method = "compound"\n'
            'front_lift_mm = "settlement"\n'
            "compound = { least_mm = 3, greatest_mm = 50, powder_kg_per_l = 1.7, "
            "set_kg_per_l = 2, drying = [ {to_mm = 10, days = 1}, {to_mm = 50, days = 3} "
            "] }"
        ),
        [
            (
                'base "oak bearers", front_lift_mm: found "settlement"; allowed: 0 with method '
                '= "compound", which lies level'
            )
        ],
    ),
    (
        "[[base]]",
        (
            "[[base]]\n"
            'method = "ladder"\n'
            "ladder = { boards = [ {mm = 70} ] }\n"
            'moved = [ {bearer = "B", from_mm = 1000, to_mm = 1020} ]'
        ),
        [
            (
                'base "oak bearers", moved: found a list of tables; allowed: this key only '
                'with method = "packers"'
            )
        ],
    ),
    (
        "[stock]",
        "[rates]\npacker_min = -1\n[stock]",
        ["rates.packer_min: found -1; allowed: a number from 0 to 10000 minutes"],
    ),
    (
        "[stock]",
        "[rates]\npackers_min = 1\n[stock]",
        [
            (
                "rates.packers_min: found a key that is not known here; allowed: packer_min, "
                "the nearest known key"
            )
        ],
    ),
    (
        "[stock]",
        "[rates]\npacker_mins = 1\n[stock]",
        [
            (
                "rates.packer_mins: found a key that is not known here; allowed: packer_min, "
                "the nearest known key"
            )
        ],
    ),
    (
        "[stock]",
        "[rates]\npacker_in = 1\n[stock]",
        [
            (
                "rates.packer_in: found a key that is not known here; allowed: packer_min, the "
                "nearest known key"
            )
        ],
    ),
    (
        "[stock]",
        "[rates]\nday_hours = 0\n[stock]",
        ["rates.day_hours: found 0; allowed: a number above 0 up to 24 hours"],
    ),
    (
        "[stock]",
        "[rates]\nhour_price = -40\n[stock]",
        ["rates.hour_price: found -40; allowed: a number from 0"],
    ),
    (
        "[stock]",
        "[[rates]]\nbag_min = 8\n[stock]",
        ["rates: found a list of tables; allowed: a table headed [rates]"],
    ),
    (
        "[stock]",
        '[rates]\nbag_min = "8"\n[stock]',
        [('rates.bag_min: found "8"; allowed: a number from 0 to 10000 minutes, without quotes')],
    ),
    (
        "thickness_mm = 20 }",
        "thickness_mm = 20, price_per_m = -1 }",
        ['base "oak bearers", bearer.price_per_m: found -1; allowed: a number from 0'],
    ),
    (
        "thickness_mm = 20 }",
        "thickness_mm = 20, price = 3 }",
        [
            (
                'base "oak bearers", bearer.price: found a key that is not known here; '
                "allowed: price_per_m, the nearest known key; price belongs under "
                "[[base.feet]], under [base.compound] or under [[stock.packers]]"
            )
        ],
    ),
    (
        "screws_mm = [30, 40]",
        "screws_mm = [30, 40]\nscrew_price = -0.04",
        ["stock.screw_price: found -0.04; allowed: a number from 0"],
    ),
    (
        "screws_mm = [30, 40]",
        "screws_mm = [30, 40]\nscrews_price = 0.04",
        [
            (
                "stock.screws_price: found a key that is not known here; allowed: screw_price, "
                "the nearest known key"
            )
        ],
    ),
    (
        "{mm = 1}",
        "{mm = 1, pack = 0}",
        ["stock, packer 1, pack: found 0; allowed: a whole number from 1 to 100000"],
    ),
    (
        "screws_mm = [30, 40]",
        "screws_mm = [30, 40]\nspare_percent = 101",
        ["stock.spare_percent: found 101; allowed: a number from 0 to 100 %"],
    ),
    (
        'units = "mm"',
        'units = "mm"\nnotes = "a\\u0007b"',
        [
            (
                'notes: found "a\\x07b"; allowed: text in quotes, three at each end of several'
                " lines, at most 20000 characters"
            )
        ],
    ),
    (
        "screws_mm = [30, 40]",
        (
            'screws_mm = [30, 40]\n[as_built]\ndate = "20.11.2026"\nby = ""\n'
            'instrument = "staff"\ntolerance_mm = 0'
        ),
        [
            'as_built.date: found "20.11.2026"; allowed: a date such as 2026-11-20',
            'as_built.by: found ""; allowed: text in quotes on one line, 1 to 80 characters',
            "as_built.tolerance_mm: found 0; allowed: a number above 0 up to 50 mm",
            (
                "as_built.survey: found nothing, and it is needed; allowed: tables headed"
                " [[as_built.survey]], in double brackets, at least one"
            ),
        ],
    ),
]


@pytest.mark.parametrize(("stands", "put", "problems"), BAD, ids=[row[1][-40:] for row in BAD])
def test_bad_job_file(boot_room: str, stands: str, put: str, problems: list[str]) -> None:
    assert stands in boot_room
    with pytest.raises(Refusal) as refused:
        read_text(boot_room.replace(stands, put, 1), Path("/nowhere"))
    told = [line.removeprefix("job.toml, ") for line in str(refused.value).split("\n")]
    assert told == [problem.removeprefix("job.toml, ") for problem in problems]


def test_the_table_is_long_enough() -> None:
    assert len({put for _, put, _ in BAD}) >= 50


def test_all_slips_are_told_at_once_in_the_order_of_the_file(boot_room: str) -> None:
    text = boot_room
    for stands, put in (
        ('units = "mm"', 'units = "ell"'),
        ("width_mm = 1100", "width = 1100"),
        ('file = "heights.csv"', 'file = "../heights.csv"'),
        ("[[base]]", '[[base]]\nmethod = "foot"\ntolerence_mm = 1'),
        ("{mm = 3}", "{mm = -3}"),
        ("board_mm = 21", "board_mm = true"),
    ):
        text = text.replace(stands, put, 1)
    with pytest.raises(Refusal) as refused:
        read_text(text, Path("/nowhere"))
    assert [problem.where.removeprefix("job.toml, ") for problem in refused.value.problems] == [
        "units",
        "floor.board_mm",
        'survey "../heights.csv", file',
        'run A, unit "boot bench", width',
        'base "oak bearers", method',
        'base "oak bearers", tolerence_mm',
        "stock, packer 2, mm",
    ]
