"""The house rules as tests, so that one command checks all of it."""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
BESIDE = Path(sys.executable).parent


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    "words",
    [
        ("ruff", "check", "."),
        ("ruff", "format", "--check", "."),
        ("mypy", "--strict", "kit"),
        ("lint-imports", "--no-cache"),
    ],
    ids=["lint", "format", "types", "import contract"],
)
def test_the_code_keeps_the_house_rules(words: tuple[str, ...]) -> None:
    found = run(str(BESIDE / words[0]), *words[1:])
    assert found.returncode == 0, found.stdout + found.stderr


def test_importing_the_kit_brings_no_heavy_library() -> None:
    heavy = ("plotly", "ipywidgets", "anywidget", "IPython", "openpyxl", "scipy", "pandas", "numpy")
    code = f"import kit, sys; print([name for name in {heavy} if name in sys.modules])"
    assert run(sys.executable, "-c", code).stdout.strip() == "[]"


def test_solving_brings_no_chart_widget_or_document_library() -> None:
    heavy = ("plotly", "ipywidgets", "anywidget", "IPython", "openpyxl")
    code = (
        "import kit, sys; kit.solve(kit.read_job('data/reading-room'));"
        f"print([name for name in {heavy} if name in sys.modules])"
    )
    assert run(sys.executable, "-c", code).stdout.strip() == "[]"


def test_what_is_installed_brings_every_file_that_is_no_module() -> None:
    """An installation in place finds files that a plain one would miss."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text())
    patterns = settings["tool"]["setuptools"]["package-data"]
    brought = {
        path
        for package, globs in patterns.items()
        for pattern in globs
        for path in ROOT.joinpath(*package.split(".")).glob(pattern)
    }
    assert {path.parent.parent.name for path in brought if path.parent.name == "web"} == {
        "board",
        "paper",
        "practice",
    }
    there = {path for path in (ROOT / "kit").rglob("*") if path.is_file()}
    assert {path for path in there if path.suffix not in {".py", ".pyc"}} == brought


@pytest.mark.parametrize("path", sorted((ROOT / "notebooks").glob("*.ipynb")), ids=lambda p: p.stem)
def test_notebooks_are_stored_without_outputs(path: Path) -> None:
    book = json.loads(path.read_text(encoding="utf-8"))
    code = [cell for cell in book["cells"] if cell["cell_type"] == "code"]
    assert [cell["outputs"] for cell in code] == [[] for _ in code]
    assert "widgets" not in book["metadata"]
    assert "assert" in "".join(code[-1]["source"])
