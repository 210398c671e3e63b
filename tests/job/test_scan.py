import tomllib

from hypothesis import given, settings
from hypothesis import strategies as st

from kit.job.scan import headings, lines_of, tokens

TRICKY = '''\
a = """
[not.a.heading]
# no comment
"""
b = [ 1, # ] not the end
  "[", ']',
]   # [x]
[c."d.e"]  # [f]
g = { h = "}", i = [ '{' ] }
[[run]]
  [[run.unit]]
[[run]]
\'\'\'no table\'\'\' = 1
  # of the unit
  [[run.unit]]
  [run.unit.bearer]
  [[ run . unit ]]
'''


def test_lines_are_whole_values() -> None:
    lines = lines_of(TRICKY.replace("'''no table'''", "'no table'"))
    assert "".join(lines) == TRICKY.replace("'''no table'''", "'no table'")
    assert len(lines) == 12
    assert lines[0].count("\n") == 4
    assert lines[1] == "b = [ 1, # ] not the end\n  \"[\", ']',\n]   # [x]\n"


def test_headings_count_their_members() -> None:
    lines = lines_of(TRICKY.replace("'''no table'''", "'no table'"))
    assert list(headings(lines).values()) == [
        ("c", "d.e"),
        ("run", 0),
        ("run", 0, "unit", 0),
        ("run", 1),
        ("run", 1, "unit", 0),
        ("run", 1, "unit", 0, "bearer"),
        ("run", 1, "unit", 1),
    ]


def test_depth() -> None:
    found = [(t.text, t.depth) for t in tokens('[ {a = "]"}, 1 ] # ]')]
    assert found == [
        ("[", 0), ("{", 1), ('"]"', 2), ("}", 1), (",", 1), ("]", 0), ("# ]", 0),
    ]  # fmt: skip


@given(st.text(max_size=12), st.text("#'\"\\[]{},\nx ", max_size=12))
@settings(deadline=None, derandomize=True)
def test_nothing_inside_a_text_counts(said: str, odd: str) -> None:
    import tomlkit

    text = f"a = {tomlkit.item(said + odd).as_string()}\n[b]\nc = 1\n"
    assert tomllib.loads(text)["b"] == {"c": 1}
    assert list(headings(lines_of(text)).values()) == [("b",)]
