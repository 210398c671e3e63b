import pandas as pd

from kit.show.practice.plain_table import cell_words, head_words, plain_table


def test_heads_say_their_unit() -> None:
    assert head_words("gap_mm") == "gap [mm]"
    assert head_words("load_n") == "load [N]"
    assert head_words("turned_s") == "turned [s]"
    assert head_words("set_up") == "set up"
    assert head_words("_mm") == " mm"


def test_cells() -> None:
    frame = pd.DataFrame({"a": [1.25, float("nan")], "b": ["<i>", ""], "c": [(18.0, 6.5), ()]})
    html = plain_table("T & T", frame)
    assert "<caption>T &amp; T</caption>" in html
    assert '<td class="n">1.25</td><td class="">&lt;i&gt;</td><td class="">18 + 6.5</td>' in html
    assert '<td class="n">–</td>' in html
    assert cell_words(-0.0001) == "0"
    assert cell_words(None) == "–"
