"""Links to the papers: they hold the file itself, lead to it in JupyterLab, and are escaped."""

from __future__ import annotations

import base64
import re
from html import unescape
from pathlib import Path
from urllib.parse import unquote

import pytest

from kit.show.framed import framed
from kit.show.hand_over.papers_page import papers_page

HOSTILE = "a\"b<i>'&#%20 é.pdf"


@pytest.fixture
def written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Two files in a folder beside the one that a notebook runs in."""
    (tmp_path / "notebooks").mkdir()
    (tmp_path / "out folder").mkdir()
    monkeypatch.chdir(tmp_path / "notebooks")
    monkeypatch.delenv("SERVER_SOFTWARE", raising=False)
    files = {HOSTILE: b"%PDF-1.6 \x00\xff", "drawing.dxf": b"  0\nSECTION"}
    for name, content in files.items():
        (tmp_path / "out folder" / name).write_bytes(content)
    return [tmp_path / "out folder" / name for name in files]


def hrefs(html: str) -> list[str]:
    return [unescape(one) for one in re.findall('href="([^"]*)"', html)]


def test_a_link_holds_the_file_and_another_leads_to_it(written: list[Path]) -> None:
    html = papers_page(written, {HOSTILE: "<b>the strip</b>"}).html
    assert "<i>" not in html
    assert "&lt;b&gt;the strip&lt;/b&gt;" in html
    saved, opened, drawn, _ = hrefs(html)
    kind, held = saved.removeprefix("data:").split(";base64,")
    assert kind == "application/pdf"
    assert base64.b64decode(held) == written[0].read_bytes()
    assert drawn.startswith("data:image/vnd.dxf;base64,")
    assert [unescape(one) for one in re.findall('download="([^"]*)"', html)] == [
        HOSTILE, "drawing.dxf",
    ]  # fmt: skip
    assert opened.startswith("../out%20folder/")
    assert unquote(opened) == f"../out folder/{HOSTILE}"


def test_under_voila_papers_are_saved_only(
    written: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SERVER_SOFTWARE", "voila/0.5.8")
    links = hrefs(papers_page(written, {}).html)
    assert len(links) == 2
    assert all(link.startswith("data:") for link in links)


def test_nothing_can_leave_a_frame() -> None:
    page = '<p title="x">1 &lt; 2</p><script>alert(1)</script>'
    html = framed(page, 'Strip "1" <b>').html
    assert 'sandbox=""' in html
    assert "<script" not in html
    (held,) = re.findall('srcdoc="([^"]*)"', html)
    assert unescape(held) == page
    assert 'title="Strip &quot;1&quot; &lt;b&gt;"' in html
