"""The sheets of a class on paper, as a browser prints them: how many pages."""

import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from kit.practice.class_set import ClassSet, class_set
from kit.practice.drills import DRILLS
from kit.practice.grades import GRADES
from kit.practice.on_paper import drills_on_paper
from kit.show.practice.paper_sheet import paper_page
from kit.show.practice.sheet import sheet_page

ABLE, _ = drills_on_paper(DRILLS)


@pytest.fixture
def pages(tmp_path: Path) -> Callable[[str], int]:
    """Return what prints a page to a PDF and counts its sides."""

    def counted(html: str) -> int:
        browser = shutil.which("chromium") or shutil.which("chromium-browser") or ""
        (tmp_path / "page.html").write_text(html, encoding="utf-8")
        words = ["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
        words += [f"--user-data-dir={tmp_path / 'profile'}"]
        words += [f"--print-to-pdf={tmp_path / 'page.pdf'}", f"file://{tmp_path / 'page.html'}"]
        subprocess.run([browser, *words], check=True, capture_output=True, timeout=120)
        return len(re.findall(rb"/Type\s*/Page\b(?!s)", (tmp_path / "page.pdf").read_bytes()))

    return counted


def of_seed(seed: int, *, on_paper: bool) -> ClassSet:
    return class_set(ABLE if on_paper else DRILLS, seed, GRADES[2])


def test_all_drills_stand_on_both_sides_of_one_sheet(pages: Callable[[str], int]) -> None:
    assert pages(sheet_page(of_seed(58, on_paper=False))) == 2


def test_a_drill_on_paper_takes_a_page_or_little_more(pages: Callable[[str], int]) -> None:
    # two bases are compared on two pages
    assert len(ABLE) - 1 <= pages(paper_page(of_seed(58, on_paper=True))) <= len(ABLE) + 2
