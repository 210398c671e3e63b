"""A table pasted from a spreadsheet: what was understood, shown back, then written into the job."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from kit.ink.table import Head, Table
from kit.job import Job, Refusal, read_job, refuse, save_job
from kit.job.model import Survey
from kit.job.replace import write_new
from kit.readings import Readings as AllReadings
from kit.readings import adjust, read_readings
from kit.readings.files import Sheet
from kit.readings.pasted import pasted_csv, read_pasted
from kit.readings.read_tables import refuse_floor_in_metres
from kit.readings.table import Table as Readings
from kit.readings.tables import READERS
from kit.readings.understood import understood
from kit.show.controls import said, text

#: Rows of the pasted table that are shown back.
MOST_ROWS = 6

#: What stands in the box at first: an invented staff table, as a spreadsheet copies it.
EXAMPLE = (
    "setup\tpoint\tx [m]\ty [m]\treading [mm]\n"
    "S1\tP1\t0\t0,06\t1412,5\n"
    "S1\tP2\t0,5\t0,06\t1413\n"
    "S1\tP3\t0,5\t0,42\t1414,5\n"
)


class PastePanel:
    """A box to paste into, one line of what was understood, and a button that writes the file.

    Nothing is written before the button is pressed, and no file is ever overwritten.

    Parameters
    ----------
    job : Job
        The job that the table is for.
    pasted : str
        What stands in the box at first.
    """

    def __init__(self, job: Job, pasted: str = EXAMPLE) -> None:
        self.job = job
        wide = widgets.Layout(width="100%", max_width="760px")
        self.box = widgets.Textarea(
            value=pasted, description="table", rows=8, layout=wide, style=_named()
        )
        self.kind = widgets.Dropdown(
            options=list(READERS), value="staff", description="kind of reading", style=_named()
        )
        self.file = widgets.Text(
            value="pasted.csv", description="write it as", style=_named(), continuous_update=False
        )
        self.button = widgets.Button(
            description="Write it into the job",
            tooltip="Write the table into the job's folder and name it in job.toml.",
        )
        self.line, self.table, self.message = text(), text(), text()
        for box in (self.box, self.kind):
            box.observe(lambda _: self.show(), names="value")
        self.button.on_click(lambda _: self.write())
        parts = [self.box, self.kind, self.line, self.table, self.file, self.button, self.message]
        self.widget = widgets.VBox(parts, layout=widgets.Layout(width="100%"))
        self.widget.add_class("ufk-paste")
        self.show()

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    def read(self) -> tuple[Sheet, Readings]:
        """Return the pasted cells, and the readings that they hold.

        Raises
        ------
        Refusal
            Where they hold none of the kind that is chosen.
        """
        sheet = read_pasted(self.box.value)
        given = Survey(kind=self.kind.value, file="pasted.csv", points_file=self._elsewhere())
        found = READERS[self.kind.value](sheet, given)
        refuse_floor_in_metres(AllReadings((found,)))
        return sheet, found

    def _elsewhere(self) -> str | None:
        """Return where places may stand that the pasted table does not give."""
        files = (survey.points_file for survey in self.job.surveys)
        return None if self.kind.value == "grid" else next((f for f in files if f), None)

    def show(self) -> None:
        """Show back what was understood of the box."""
        self.message.value = ""
        try:
            sheet, readings = self.read()
            self.line.value = said(f"✓ Understood: {understood(sheet, readings)}.")
            self.table.value = _first_rows(readings).html
            # The example is there to be looked at: it is no reading of this floor.
            self.button.disabled = self.box.value == EXAMPLE
        except Refusal as refusal:
            problems = "; ".join(str(problem) for problem in refusal.problems)
            self.line.value = said(f"✗ Not a table of this kind: {problems}", alert=True)
            self.table.value, self.button.disabled = "", True

    def write(self) -> None:
        """Write the table into the job's folder, and name it in the job file."""
        try:
            sheet, _ = self.read()
            path, named = self._path(), self._named()
            write_new(path, pasted_csv(sheet).encode("utf-8"))
            self._join(path, named)
            self.message.value = said(
                f"✓ {path.name} is written and stands in job.toml. Run notebook 01 on this job."
            )
        except Refusal as refusal:
            self.message.value = said(f"✗ Nothing was written. {refusal}", alert=True)

    def _path(self) -> Path:
        name = self.file.value.strip()
        if Path(name).name != name or not name.lower().endswith(".csv") or len(name) < 5:
            raise refuse("write it as", repr(name), "a file name that ends in .csv, no folder")
        return Path(self.job.folder / name)

    def _named(self) -> bool:
        """Tell whether the job file names the table already, which was not there yet.

        Raises
        ------
        Refusal
            If it names it as another kind, or cannot be read.
        """
        self.job = read_job(self.job.folder)
        here = [survey for survey in self.job.surveys if survey.file == self.file.value.strip()]
        if here and here[0].kind != self.kind.value:
            found = f"kind {self.kind.value}, where job.toml says {here[0].kind}"
            raise refuse(here[0].file, found, "one kind a table")
        return bool(here)

    def _join(self, path: Path, named: bool) -> None:
        """Add the table to the job's surveys; all is as before where they do not go together."""
        place = len(self.job.surveys)
        survey: dict[str, object] = {"kind": self.kind.value, "file": path.name}
        elsewhere = self._elsewhere()
        if elsewhere is not None:
            survey["points_file"] = elsewhere
        added = False
        try:
            if not named:
                save_job(self.job.folder, {f"survey[{place}]": survey})
                added = True
            self.job = read_job(self.job.folder)
            floor = self.job.floor
            adjust(read_readings(self.job), floor.benchmark, floor.benchmark_mm)
        except Refusal:
            path.unlink(missing_ok=True)
            if added:
                save_job(self.job.folder, {f"survey[{place}]": None})
            raise


def _first_rows(readings: Readings) -> Table:
    """Return the first readings as they were understood, in millimetres."""
    rows = readings.readings
    shown = rows.drop(columns=[c for c in ("turned",) if c in rows]).head(MOST_ROWS)
    heads = tuple(
        Head(str(name).removesuffix("_mm").replace("_", " "), "mm" if name.endswith("_mm") else "")
        for name in shown.columns
    )
    lines = tuple(tuple(_cell(cell) for cell in row) for row in shown.to_numpy().tolist())
    more = len(rows) - len(shown)
    note = f"{more} more readings." if more else ""
    return Table("As it was understood", heads, lines, note)


def _cell(cell: object) -> str:
    if isinstance(cell, float):
        return f"{cell:g}" if math.isfinite(cell) else ""
    return str(cell)


def _named() -> dict[str, str]:
    return {"description_width": "8em"}
