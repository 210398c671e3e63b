"""Bad tables of readings, one slip a row, each with the exact words that it must be met with.

The wording is the kit's own. What a broken row is follows RFC 4180, section 2; that a point and
a comma both serve as decimal mark, and that thousands are set apart by neither, follows ISO
80000-1:2009, section 7.3 (from memory).
"""

from __future__ import annotations

import pytest

from kit.answer import survey_floor
from kit.job.refusal import Refusal

HEIGHTS = "point,x_mm,y_mm,height_mm\n"
STAFF = "setup,point,x_mm,y_mm,reading_mm\n"
BOOKING = "point,x_mm,y_mm,backsight_mm,intermediate_mm,foresight_mm\n"
LEVEL = "from,to,packer_mm,under\n"
EDGE = "placement,point,x_mm,y_mm,gap_mm\n"

BAD: list[tuple[str, str | bytes, list[str]]] = [
    # Nothing to read, and titles of columns.
    ("heights", "", ["t.csv: found an empty table; allowed: a header row and one row a reading"]),
    (
        "heights",
        "\n \n,,\n;;\t\n",
        ["t.csv: found an empty table; allowed: a header row and one row a reading"],
    ),
    (
        "heights",
        HEIGHTS,
        [
            (
                "t.csv: found a header row and no readings; allowed: one row a reading below"
                " the header"
            )
        ],
    ),
    (
        "heights",
        "point,y_mm,height_mm\nA,2,3\n",
        [
            (
                "t.csv, row 1: found no column x_mm; nearest: 'y_mm'; allowed: a header row"
                " with the column x_mm"
            )
        ],
    ),
    (
        "heights",
        "pont,x_mm,y_mm,height_mm\nA,1,2,3\n",
        [
            (
                "t.csv, row 1: found no column point; nearest: 'pont'; allowed: a header row"
                " with the column point"
            )
        ],
    ),
    (
        "heights",
        "x_mm,y_mm,height_mm\n1,2,3\n",
        [("t.csv, row 1: found no column point; allowed: a header row with the column point")],
    ),
    (
        "heights",
        "name,easting,northing,level\nA,1,2,3\n",
        [
            ("t.csv, row 1: found no column point; allowed: a header row with the column point"),
            "t.csv, row 1: found no column x_mm; allowed: a header row with the column x_mm",
            "t.csv, row 1: found no column y_mm; allowed: a header row with the column y_mm",
            (
                "t.csv, row 1: found no column height_mm; allowed: a header row with the"
                " column height_mm"
            ),
        ],
    ),
    (
        "heights",
        "point,x,y_mm,height_mm\nA,1,2,3\n",
        [
            (
                "t.csv, row 1: found the column 'x'; allowed: x with its unit: x_mm, x_cm,"
                " x_m, x_in or x_ft"
            )
        ],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height\nA,1,2,3\n",
        [
            (
                "t.csv, row 1: found the column 'height'; allowed: height with its unit:"
                " height_mm, height_cm, height_m, height_in or height_ft"
            )
        ],
    ),
    (
        "heights",
        "point,x_yd,y_mm,height_mm\nA,1,2,3\n",
        [
            (
                "t.csv, row 1: found the column 'x_yd'; allowed: x with its unit: x_mm, x_cm,"
                " x_m, x_in or x_ft"
            )
        ],
    ),
    (
        "heights",
        "point,x_mm,y [ells],height_mm\nA,1,2,3\n",
        [
            (
                "t.csv, row 1: found the column 'y [ells]'; allowed: y with its unit: y_mm,"
                " y_cm, y_m, y_in or y_ft"
            )
        ],
    ),
    (
        "heights",
        "point,xmm,y_mm,height_mm\nA,1,2,3\n",
        [
            (
                "t.csv, row 1: found the column 'xmm'; allowed: x with its unit: x_mm, x_cm,"
                " x_m, x_in or x_ft"
            )
        ],
    ),
    (
        "heights",
        "point,x_mm,x_in,y_mm,height_mm\nA,1,1,2,3\n",
        ["t.csv, row 1: found the columns x_mm and x_in; allowed: one column for x"],
    ),
    (
        "heights",
        "point,x_mm,x [mm],y_mm,height_mm\nA,1,1,2,3\n",
        ["t.csv, row 1: found the columns x_mm and x [mm]; allowed: one column for x"],
    ),
    (
        "heights",
        "point,x (m),x m,x_mm,y_mm,height_mm\nA,1,1,1,2,3\n",
        ["t.csv, row 1: found the columns x (m), x m and x_mm; allowed: one column for x"],
    ),
    (
        "heights",
        "point,x_mm,x_mm,y_mm,height_mm\nA,1,1,2,3\n",
        ["t.csv, row 1: found the column 'x_mm' 2 times; allowed: each column once"],
    ),
    (
        "heights",
        "point,Point,x_mm,y_mm,height_mm\nA,B,1,2,3\n",
        ["t.csv, row 1: found the column 'point' 2 times; allowed: each column once"],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height_mm,sd\nA,1,2,3,1\n",
        [
            (
                "t.csv, row 1: found the column 'sd'; allowed: sd with its unit: sd_mm, sd_cm,"
                " sd_m, sd_in or sd_ft"
            )
        ],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height_mm,remark,remark\nA,1,2,3,,\n",
        ["t.csv, row 1: found the column 'remark' 2 times; allowed: each column once"],
    ),
    (
        "staff",
        "point,x_mm,y_mm,reading_mm\nA,1,2,3\n",
        [("t.csv, row 1: found no column setup; allowed: a header row with the column setup")],
    ),
    (
        "staff",
        "setup,set-up,point,x_mm,y_mm,reading_mm\nS,S,A,1,2,3\n",
        [("t.csv, row 1: found the columns setup and set-up; allowed: one column for setup")],
    ),
    (
        "staff",
        HEIGHTS + "A,0,0,1\n",
        [
            ("t.csv, row 1: found no column setup; allowed: a header row with the column setup"),
            (
                "t.csv, row 1: found no column reading_mm; nearest: 'height_mm'; allowed: a"
                " header row with the column reading_mm"
            ),
        ],
    ),
    # What separates the columns, and what kind of text it is.
    (
        "heights",
        "point|x_mm|y_mm|height_mm\nA|1|2|3\n",
        [
            (
                "t.csv, row 1: found no tab, semicolon or comma, and bars instead; allowed:"
                " columns separated by tabs, semicolons or commas"
            )
        ],
    ),
    (
        "heights",
        "point x_mm y_mm height_mm\nA 1 2 3\n",
        [
            (
                "t.csv, row 1: found no tab, semicolon or comma, and spaces instead; allowed:"
                " columns separated by tabs, semicolons or commas"
            )
        ],
    ),
    (
        "grid",
        "y x|0|600\n0|1|2\n",
        [
            (
                "t.csv, row 1: found no tab, semicolon or comma, and bars instead; allowed:"
                " columns separated by tabs, semicolons or commas"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,3,5\n",
        [
            (
                "t.csv, row 2: found 5 cells under 4 columns; allowed: no cell without a title"
                " above it; with decimal commas, semicolons between the columns"
            )
        ],
    ),
    (
        "heights",
        "point;x_mm;y_mm;height_mm\nA;1;2;3;5\n",
        [
            (
                "t.csv, row 2: found 5 cells under 4 columns; allowed: no cell without a title"
                " above it"
            )
        ],
    ),
    (
        "heights",
        "point\tx_mm\ty_mm\theight_mm\nA\t1\t2\t3\t\t5\n",
        [
            (
                "t.csv, row 2: found 6 cells under 4 columns; allowed: no cell without a title"
                " above it"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + 'A,1,2,"3\n',
        ["t.csv, row 2: found a broken row (unexpected end of data); allowed: plain CSV"],
    ),
    (
        "heights",
        HEIGHTS + '"A"x,1,2,3\n',
        ["t.csv, row 2: found a broken row (',' expected after '\"'); allowed: plain CSV"],
    ),
    (
        "heights",
        b"\x00\x01\x02PK",
        [("t.csv: found a binary file; allowed: a CSV text file, or a workbook ending in .xlsx")],
    ),
    (
        "heights",
        b"PK\x03\x04\x14\x00\x00\x00",
        [("t.csv: found a binary file; allowed: a CSV text file, or a workbook ending in .xlsx")],
    ),
    (
        "heights",
        HEIGHTS.encode() + b"Fen\xeatre,1,2,3\n",
        [("t.csv, row 2: found a byte that is not UTF-8 (0xea); allowed: CSV saved as UTF-8")],
    ),
    (
        "heights",
        HEIGHTS.replace("\n", "\r").encode() + b"A,1,2,3\rFen\xeatre,1,2,3\r",
        [("t.csv, row 3: found a byte that is not UTF-8 (0xea); allowed: CSV saved as UTF-8")],
    ),
    (
        "heights",
        b"\xff\xfep\x00o\x00\xd8",
        ["t.csv: found text in broken UTF-16; allowed: CSV saved as UTF-8"],
    ),
    (
        "heights",
        HEIGHTS.encode("utf-32"),
        [("t.csv: found a binary file; allowed: a CSV text file, or a workbook ending in .xlsx")],
    ),
    # Decimal marks and marks between thousands.
    (
        "heights",
        "point;x_mm;y_mm;height_mm\nA;0;0;1,5\nB;900;0;2.5\n",
        [
            (
                "t.csv, row 2, height_mm: found '1,5', and '2.5' in row 3, height_mm; allowed:"
                " one decimal mark in the whole table, and none between thousands"
            )
        ],
    ),
    (
        "heights",
        "point;x_mm;y_mm;height_mm\nA;0;0,5;1\nB;900;0;2.5\n",
        [
            (
                "t.csv, row 2, y_mm: found '0,5', and '2.5' in row 3, height_mm; allowed: one"
                " decimal mark in the whole table, and none between thousands"
            )
        ],
    ),
    (
        "staff",
        "setup;point;x_mm;y_mm;reading_mm\nS;A;0;0;1,402\nS;B;900;0;1,405\n",
        [
            (
                "t.csv, row 2, reading_mm: found '1,402', which is 1402 mm or 1.402 mm, and no"
                " other number of the table tells which; allowed: 1402 if the comma stands"
                " between thousands, 1.402 if it is the decimal mark"
            )
        ],
    ),
    (
        "staff",
        "setup;point;x [in];y [in];reading [in]\nS;A;0;0;1,402\nS;B;90;0;1,405\n",
        [
            (
                "t.csv, row 2, reading [in]: found '1,402', which is 1402 in or 1.402 in, and"
                " no other number of the table tells which; allowed: 1402 if the comma stands"
                " between thousands, 1.402 if it is the decimal mark"
            )
        ],
    ),
    (
        "staff",
        STAFF + 'S,A,0,0,"1,402"\nS,B,900,0,987\n',
        [
            (
                "t.csv, row 2, reading_mm: found '1,402', which is 1402 mm or 1.402 mm, and no"
                " other number of the table tells which; allowed: 1402 if the comma stands"
                " between thousands, 1.402 if it is the decimal mark"
            )
        ],
    ),
    (
        "heights",
        "point;x_mm;y_mm;height_mm\nA;-1,250;0;1\nB;900;0;2\n",
        [
            (
                "t.csv, row 2, x_mm: found '-1,250', which is -1250 mm or -1.250 mm, and no"
                " other number of the table tells which; allowed: -1250 if the comma stands"
                " between thousands, -1.250 if it is the decimal mark"
            )
        ],
    ),
    (
        "heights",
        "point;x_mm;y_mm;height_mm\nA;0;0;1.234,5\nB;900;0;2,5\n",
        [
            (
                "t.csv, row 2, height_mm: found '1.234,5', with a mark between thousands"
                " (write 1234,5); allowed: a number, from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + 'A,0,0,"1,234.5"\nB,900,0,2.5\n',
        [
            (
                "t.csv, row 2, height_mm: found '1,234.5', with a mark between thousands"
                " (write 1234.5); allowed: a number, from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,1 800,0,1\nB,900,0,2\n",
        [
            (
                "t.csv, row 2, x_mm: found '1 800', with a mark between thousands (write"
                " 1800); allowed: a number, from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,1'800.5,0,1\nB,900,0,2\n",
        [
            (
                't.csv, row 2, x_mm: found "1\'800.5", with a mark between thousands (write'
                " 1800.5); allowed: a number, from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "heights",
        "point\tx_mm\ty_mm\theight_mm\nA\t1\u202f800,5\t0\t1\n",
        [
            (
                "t.csv, row 2, x_mm: found '1\\u202f800,5', with a mark between thousands"
                " (write 1800.5); allowed: a number, from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,1.234.567,0,1\n",
        [
            (
                "t.csv, row 2, x_mm: found '1.234.567', with a mark between thousands (write"
                " 1234567); allowed: a number, from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "grid",
        "y;0;600,5\n0;1;2.5\n",
        [
            (
                "t.csv, row 1, column 3: found '600,5', and '2.5' in row 2, column 3; allowed:"
                " one decimal mark in the whole table, and none between thousands"
            )
        ],
    ),
    (
        "grid",
        "y;0;1,200\n0;1;2\n",
        [
            (
                "t.csv, row 1, column 3: found '1,200', which is 1200 mm or 1.200 mm, and no"
                " other number of the table tells which; allowed: 1200 if the comma stands"
                " between thousands, 1.200 if it is the decimal mark"
            )
        ],
    ),
    (
        "grid",
        ",0,1 200\n0,1,2\n",
        [
            (
                "t.csv, row 1, column 3: found '1 200', with a mark between thousands (write"
                " 1200); allowed: a number, at most 200000 mm"
            )
        ],
    ),
    # Cells that hold no number, or one out of range, and names.
    (
        "heights",
        HEIGHTS + "A,1,2,low\n",
        [("t.csv, row 2, height_mm: found 'low'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,3\nB,1,2,nan\n",
        [("t.csv, row 3, height_mm: found 'nan'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,inf\n",
        [("t.csv, row 2, height_mm: found 'inf'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,-inf\n",
        [("t.csv, row 2, height_mm: found '-inf'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,1e999\n",
        [
            (
                "t.csv, row 2, height_mm: found 1e999, which is no finite number; allowed: a"
                " number, from -200000 to 200000 mm"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,1_0\n",
        [("t.csv, row 2, height_mm: found '1_0'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,0x1F\n",
        [("t.csv, row 2, height_mm: found '0x1F'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,\u0663\n",
        [("t.csv, row 2, height_mm: found '\u0663'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,12 mm\n",
        [("t.csv, row 2, height_mm: found '12 mm'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,#DIV/0!\n",
        [
            (
                "t.csv, row 2, height_mm: found '#DIV/0!'; allowed: a number, from -200000 to"
                " 200000 mm"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,3 1/2\n",
        [("t.csv, row 2, height_mm: found '3 1/2'; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2,\n",
        [
            (
                "t.csv, row 2, height_mm: found an empty cell; allowed: a number, from -200000"
                " to 200000 mm"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,,2,5\n",
        [("t.csv, row 2, x_mm: found an empty cell; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,1,2\n",
        [
            (
                "t.csv, row 2, height_mm: found an empty cell; allowed: a number, from -200000"
                " to 200000 mm"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + ",1,2,5\n",
        [("t.csv, row 2, point: found an empty cell; allowed: a name of 1 to 80 characters")],
    ),
    (
        "heights",
        HEIGHTS + "A,9e9,2,3\n",
        [("t.csv, row 2, x_mm: found 9e+09 mm; allowed: a number, from -200000 to 200000 mm")],
    ),
    (
        "heights",
        HEIGHTS + "A,0,0,300000\n",
        [
            (
                "t.csv, row 2, height_mm: found 300000 mm; allowed: a number, from -200000 to"
                " 200000 mm"
            )
        ],
    ),
    (
        "heights",
        "point,x [m],y_mm,height_mm\nA,1800,2,3\n",
        ["t.csv, row 2, x [m]: found 1800 m; allowed: a number, from -200 to 200 m"],
    ),
    (
        "heights",
        "point,x (ft),y_mm,height_mm\nA,5' 3,2,3\n",
        [('t.csv, row 2, x (ft): found "5\' 3"; allowed: a number, from -656.168 to 656.168 ft')],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height_in\nA,1,2,3 9/8\n",
        [
            (
                "t.csv, row 2, height_in: found '3 9/8'; allowed: inches such as 3.625, \"3"
                ' 5/8", "3-5/8" or "5/8", from -7874.02 to 7874.02 in'
            )
        ],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height (in)\nA,1,2,1e3\n",
        [
            (
                "t.csv, row 2, height (in): found '1e3'; allowed: inches such as 3.625, \"3"
                ' 5/8", "3-5/8" or "5/8", from -7874.02 to 7874.02 in'
            )
        ],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height (in)\nA,1,2,9000\n",
        [
            (
                't.csv, row 2, height (in): found 9000 in; allowed: inches such as 3.625, "3'
                ' 5/8", "3-5/8" or "5/8", from -7874.02 to 7874.02 in'
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A" * 81 + ",1,2,3\n",
        [f"t.csv, row 2, point: found '{'A' * 81}'; allowed: a name of 1 to 80 characters"],
    ),
    (
        "heights",
        HEIGHTS + '"A\nB",1,2,3\n',
        ["t.csv, row 2, point: found 'A\\nB'; allowed: a name of 1 to 80 characters"],
    ),
    (
        "heights",
        HEIGHTS + "A,2030-05-08,2,3\nB,8.5.2030,2,3\nC,8:30,2,3\n",
        [
            (
                "t.csv, row 2, x_mm: found the date or time '2030-05-08', which a spreadsheet"
                " may have made of it; allowed: a number, from -200000 to 200000 mm"
            ),
            (
                "t.csv, row 3, x_mm: found the date or time '8.5.2030', which a spreadsheet"
                " may have made of it; allowed: a number, from -200000 to 200000 mm"
            ),
            (
                "t.csv, row 4, x_mm: found the date or time '8:30', which a spreadsheet may"
                " have made of it; allowed: a number, from -200000 to 200000 mm"
            ),
        ],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height_mm,sd_mm\nA,1,2,3,0\n",
        ["t.csv, row 2, sd_mm: found 0 mm; allowed: a number, from 0.001 to 1000 mm"],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height_mm,sd [m]\nA,1,2,3,2\n",
        ["t.csv, row 2, sd [m]: found 2 m; allowed: a number, from 1e-06 to 1 m"],
    ),
    (
        "heights",
        "point,x_mm,y_mm,height_mm,sd_mm\nA,1,2,3,-0.5\n",
        ["t.csv, row 2, sd_mm: found -0.5 mm; allowed: a number, from 0.001 to 1000 mm"],
    ),
    (
        "staff",
        STAFF + "S1,A,0,0,1402\n,B,900,0,1405\n",
        [("t.csv, row 3, setup: found an empty cell; allowed: a name of 1 to 80 characters")],
    ),
    (
        "staff",
        STAFF + "S1,A,0,0,1402\nS1,B,900,0,1405.5 mm\n",
        [
            (
                "t.csv, row 3, reading_mm: found '1405.5 mm'; allowed: readings down to the"
                " floor, 0 or more: a number, from 0 to 200000 mm"
            )
        ],
    ),
    # Formulas.
    (
        "heights",
        HEIGHTS + "=1+1,0,0,1\n",
        [
            (
                "t.csv, row 2, point: found '=1+1', a formula; a spreadsheet would run it;"
                " allowed: a name that begins with none of = + - @"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "@SUM(A1),0,0,1\n",
        [
            (
                "t.csv, row 2, point: found '@SUM(A1)', a formula; a spreadsheet would run it;"
                " allowed: a name that begins with none of = + - @"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "-P1,0,0,1\n+P2,900,0,1\n",
        [
            (
                "t.csv, row 2, point: found '-P1', a formula; a spreadsheet would run it;"
                " allowed: a name that begins with none of = + - @"
            ),
            (
                "t.csv, row 3, point: found '+P2', a formula; a spreadsheet would run it;"
                " allowed: a name that begins with none of = + - @"
            ),
        ],
    ),
    (
        "heights",
        HEIGHTS + '"=HYPERLINK(""http://x.invalid"",""P1"")",0,0,1\n',
        [
            (
                't.csv, row 2, point: found \'=HYPERLINK("http://x.invalid","P1")\', a formula;'
                " a spreadsheet would run it; allowed: a name that begins with none of = + - @"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,0,0,=B2*1000\n",
        [
            (
                "t.csv, row 2, height_mm: found the formula '=B2*1000'; allowed: the value"
                " itself: open the workbook and save it once in a spreadsheet program, or type"
                " the value"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,0,-B2,1\n",
        [
            (
                "t.csv, row 2, y_mm: found the formula '-B2'; allowed: the value itself: open"
                " the workbook and save it once in a spreadsheet program, or type the value"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,0,0,@A1\n",
        [
            (
                "t.csv, row 2, height_mm: found the formula '@A1'; allowed: the value itself:"
                " open the workbook and save it once in a spreadsheet program, or type the"
                " value"
            )
        ],
    ),
    (
        "staff",
        STAFF + "=S1,A,0,0,1402\n",
        [
            (
                "t.csv, row 2, setup: found '=S1', a formula; a spreadsheet would run it;"
                " allowed: a name that begins with none of = + - @"
            )
        ],
    ),
    (
        "grid",
        "=A1,0,600\n0,1,2\n",
        [
            (
                "t.csv, row 1, first cell: found '=A1'; allowed: an empty cell or words: x"
                " stands to its right, y below"
            )
        ],
    ),
    (
        "grid",
        ",0,600\n0,1,=B2\n",
        [
            (
                "t.csv, row 2, column 3: found the formula '=B2'; allowed: the value itself:"
                " open the workbook and save it once in a spreadsheet program, or type the"
                " value"
            )
        ],
    ),
    # Metres under _mm, and one name at two places.
    (
        "heights",
        HEIGHTS + "A,0,0,1\nB,1.8,0.1,2\nC,0.7,0.9,1\n",
        [
            (
                "t.csv, columns x_mm and y_mm: found a whole survey within 1.8 by 0.9 mm,"
                " which looks like metres; allowed: places in millimetres (metres times 1000),"
                " or titles that say metres: x_m and y_m"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,0,0,0\nB,1800,100,-0.0035\nC,700,900,0.00225\n",
        [
            (
                "t.csv, column height_mm: found heights from -0.0035 to 0.00225 mm on a wide"
                " floor, which look like metres; allowed: heights in millimetres (metres times"
                " 1000), or a title that says metres"
            )
        ],
    ),
    (
        "heights",
        HEIGHTS + "A,0,0,1\nA,1.2,0,2\nB,700,0,1\n",
        [
            (
                "t.csv, row 3, point A: found the place (1.2, 0) mm; allowed: (0, 0) mm within"
                " 1 mm, where t.csv, row 2, has it, or another name"
            )
        ],
    ),
    (
        "staff",
        STAFF + "S1,A,0,0,1402\nS2,A,3,4,1391\nS1,B,900,0,1400\n",
        [
            (
                "t.csv, row 3, point A: found the place (3, 4) mm; allowed: (0, 0) mm within 1"
                " mm, where t.csv, row 2, has it, or another name"
            )
        ],
    ),
    (
        "staff",
        STAFF + "S,A,0,0,1.402\nS,B,900,0,1.4105\n",
        [
            (
                "t.csv, column reading_mm, set-up S: found readings from 1.402 to 1.4105 mm on"
                " a wide floor, which look like metres; allowed: readings in millimetres"
                " (metres times 1000), or a title that says metres"
            )
        ],
    ),
    # Grids.
    (
        "grid",
        "1,2,3\n4,5,6\n",
        [
            (
                "t.csv, row 1, first cell: found '1'; allowed: an empty cell or words: x"
                " stands to its right, y below"
            )
        ],
    ),
    (
        "grid",
        ",0,600\n0,1,2\n0,3,4\n",
        ["t.csv, row 3, y (first column): found y0, as in row 2; allowed: each y once"],
    ),
    (
        "grid",
        ",600,600\n0,1,2\n",
        ["t.csv, row 1, column 3: found x600, as in column 2; allowed: each x once"],
    ),
    (
        "grid",
        ",0,\n0,1,2\n",
        [("t.csv, row 1, column 3: found an empty cell; allowed: a number, at most 200000 mm")],
    ),
    (
        "grid",
        ",0,600\n,1,2\n",
        [
            (
                "t.csv, row 2, y (first column): found an empty cell; allowed: a number, at"
                " most 200000 mm"
            )
        ],
    ),
    (
        "grid",
        ",0,600\n0,1,two\n",
        ["t.csv, row 2, column 3: found 'two'; allowed: a number, at most 200000 mm"],
    ),
    (
        "grid",
        ",0,600\n0,,\n700,,\n",
        ["t.csv: found a grid without a height; allowed: at least one height"],
    ),
    (
        "grid",
        ",0,0.6\n0,1,2\n0.9,1,2\n",
        [
            (
                "t.csv, columns x_mm and y_mm: found a whole survey within 0.6 by 0.9 mm,"
                " which looks like metres; allowed: places in millimetres (metres times 1000),"
                " or titles that say metres: x_m and y_m"
            )
        ],
    ),
    (
        "grid",
        ",0,600\n0,12.0010,12.0042\n900,12.0005,\n",
        [
            (
                "t.csv, column heights: found heights from 12.0005 to 12.0042 mm on a wide"
                " floor, which look like metres; allowed: heights in millimetres (metres times"
                " 1000), or a title that says metres"
            )
        ],
    ),
    (
        "grid",
        "only words\nhere\n",
        [
            "t.csv: found no x_mm values in the first row; allowed: one x above each column",
            "t.csv: found a grid without a height; allowed: at least one height",
        ],
    ),
    (
        "grid",
        "y [m],0,600\n0,1,2\n",
        ["t.csv, row 1, column 3: found 600 m; allowed: a number, at most 200 m"],
    ),
    (
        "grid",
        "y (yd),0,600\n0,1,2\n",
        [
            (
                "t.csv, row 1, first cell: found the unit yd in 'y (yd)'; allowed: mm, cm, m,"
                " in or ft, or no unit, which is mm"
            )
        ],
    ),
    (
        "grid",
        "y_mm \\ x_m,0,600\n0,1,2\n",
        [
            (
                "t.csv, row 1, first cell: found both mm and m in 'y_mm \\\\ x_m'; allowed: one"
                " unit for the whole grid"
            )
        ],
    ),
    (
        "grid",
        ",low,600\n0,1,2\n",
        ["t.csv, row 1, column 2: found 'low'; allowed: a number, at most 200000 mm"],
    ),
    (
        "grid",
        "y_in,0,600 1/2\n0,3 9/8,2\n",
        [
            (
                "t.csv, row 2, column 2: found '3 9/8'; allowed: inches such as 3.625, \"3"
                ' 5/8", "3-5/8" or "5/8", at most 7874.02 in'
            )
        ],
    ),
    # What a floor cannot be made of.
    (
        "heights",
        HEIGHTS + "A,0,0,1\nB,900,300,2\nC,1800,600,1\n",
        [
            (
                "floor: found 3 points on one line; allowed: points that spread in both"
                " directions: read a few away from that line"
            )
        ],
    ),
    (
        "grid",
        ",0,600,1200\n0,1,2,1\n",
        [
            (
                "floor: found 3 points on one line; allowed: points that spread in both"
                " directions: read a few away from that line"
            )
        ],
    ),
    # Booking sheets.
    ("booking", BOOKING + "BM,0,0,1402,,\n", ["t.csv: found 1 line; allowed: two or more"]),
    (
        "booking",
        BOOKING + "BM,0,0,,,1402\nA,900,0,1400,,\n",
        [
            (
                "t.csv, row 2: found no backsight on the first line; allowed: a backsight"
                " alone, to the known height"
            ),
            (
                "t.csv, row 3: found a backsight after which nothing is read on the last line;"
                " allowed: a foresight, which closes the last set-up"
            ),
        ],
    ),
    (
        "booking",
        BOOKING + "BM,0,0,1402,,\nA,900,0,,1400,1391\nC,0,700,,,1390\n",
        [
            (
                "t.csv, row 3: found an intermediate and a foresight on one line; allowed: an"
                " intermediate sight on a line of its own"
            )
        ],
    ),
    (
        "booking",
        BOOKING + "BM,0,0,1.402,,\nA,900,0,,1.400,\nC,0,700,,,1.390\n",
        [
            (
                "t.csv: found readings from 1.39 to 1.402 mm, which look like metres; allowed:"
                " readings in millimetres (metres times 1000)"
            )
        ],
    ),
    (
        "booking",
        "point,x_mm,y_mm,backsight_mm,intermediate_mm\nBM,0,0,1402,\n",
        [
            (
                "t.csv, row 1: found no column foresight_mm; nearest: 'backsight_mm'; allowed:"
                " a header row with the column foresight_mm"
            )
        ],
    ),
    (
        "booking",
        "point,x_mm,y_mm,backsight,intermediate_mm,foresight_mm\nBM,0,0,1402,,\nA,900,0,,,1400\n",
        [
            (
                "t.csv, row 1: found the column 'backsight'; allowed: backsight with its unit:"
                " backsight_mm, backsight_cm, backsight_m, backsight_in or backsight_ft"
            )
        ],
    ),
    (
        "booking",
        BOOKING + "BM,0,0,1402,,\nA,,,,,1400\n",
        [
            (
                "t.csv, row 3, x_mm: found an empty cell; allowed: a number, from -200000 to"
                " 200000 mm"
            ),
            (
                "t.csv, row 3, y_mm: found an empty cell; allowed: a number, from -200000 to"
                " 200000 mm"
            ),
        ],
    ),
    (
        "booking",
        "point,y_mm,backsight_mm,intermediate_mm,foresight_mm\nBM,0,1402,,\nA,0,,,1400\n",
        ["t.csv, row 1: found y_mm without x_mm; allowed: both x and y, or neither"],
    ),
    # Spirit level.
    (
        "level",
        LEVEL + "A,B,600,to\n",
        [
            (
                "t.csv, row 2, packer_mm: found 600 mm; allowed: packers under the lower end:"
                " a number, from 0 to 500 mm"
            )
        ],
    ),
    (
        "level",
        "from,to,packer_mm,under,level_mm\nA,B,3,to,20\n",
        ["t.csv, row 2, level_mm: found 20 mm; allowed: a number, from 50 to 10000 mm"],
    ),
    (
        "level",
        "from,to,packer,under\nA,B,3,to\n",
        [
            (
                "t.csv, row 1: found the column 'packer'; allowed: packer with its unit:"
                " packer_mm, packer_cm, packer_m, packer_in or packer_ft"
            )
        ],
    ),
    (
        "level",
        "to,packer_mm,under\nB,3,to\n",
        ["t.csv, row 1: found no column from; allowed: a header row with the column from"],
    ),
    # Straight edge.
    (
        "straightedge",
        EDGE + "E1,A,0,0,700\n",
        [
            (
                "t.csv, row 2, gap_mm: found 700 mm; allowed: gaps down to the floor, 0 or"
                " more: a number, from 0 to 500 mm"
            )
        ],
    ),
    (
        "straightedge",
        "placement,point,x_mm,y_mm,gap [mm],gap (in)\nE1,A,0,0,2,1\n",
        [("t.csv, row 1: found the columns gap [mm] and gap (in); allowed: one column for gap")],
    ),
]


@pytest.mark.parametrize(("kind", "text", "messages"), BAD, ids=range(len(BAD)))
def test_bad_tables(make_job, kind, text, messages):
    with pytest.raises(Refusal) as caught:
        survey_floor(make_job(t={"kind": kind, "text": text}))
    assert [str(problem) for problem in caught.value.problems] == messages


def test_no_table_stands_here_twice():
    assert len({(kind, text) for kind, text, _ in BAD}) == len(BAD) >= 100
