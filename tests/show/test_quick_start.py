"""Plotly comes without the grammars, and what was hidden can still be imported."""

import subprocess
import sys

import pytest

from kit.show.quick_start import hidden

CODE = """
import sys
from kit import show
assert "plotly.basewidget" in sys.modules
assert "rfc3987_syntax" not in sys.modules
import jsonschema
jsonschema.validate({"a": 1}, {"type": "object", "required": ["a"]})
"""


def test_charts_load_without_building_grammars() -> None:
    done = subprocess.run([sys.executable, "-c", CODE], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_hidden_package_is_found_again_afterwards() -> None:
    name = "this"
    sys.modules.pop(name, None)
    with hidden(name), pytest.raises(ImportError):
        __import__(name)
    assert name not in sys.modules


def test_a_loaded_package_is_not_hidden() -> None:
    with hidden("json"):
        assert sys.modules["json"]
    assert sys.modules["json"]
