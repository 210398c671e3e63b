"""Suspect readings one by one: see the heights without, and decide."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit.answer import Survey
from kit.job import Job, Refusal, read_job, refuse, save_job
from kit.show.controls import said, text
from kit.show.live_figure import LiveFigure
from kit.show.suspect_tables import choice_words, without_drawing, without_table

#: What is said where nothing is in doubt.
NOTHING_IN_DOUBT = "No reading is suspect: there is nothing to decide."


#: What a person can do, in the order in which it should be tried.
HOW = (
    "First read it again, and put what you find into the table. If that cannot be done, leave it"
    " out; the other readings then carry its point."
)


#: What stands where none of several readings is chosen, and what its value is.
UNDECIDED, NOT_CHOSEN = "choose one: the other readings do not tell which is wrong", -1

#: What a person can do then.
HOW_UNDECIDED = (
    "The readings do not tell which of these is wrong, so the kit proposes none. Read them again;"
    " the sentence above says which one reading tells most. Choose one to see the heights without"
    " it, and hold them against the floor beside it."
)


class SuspectPanel:
    """A choice of suspect readings, the heights without them, and a button that leaves them out.

    The table of readings is never changed. Leaving a reading out writes its row into the job
    file, where it is said in every answer, and can be taken out again.

    Parameters
    ----------
    job : Job
        The job.
    survey : Survey
        Its heights.
    """

    def __init__(self, job: Job, survey: Survey) -> None:
        self.job, self.heights = job, survey.heights
        self.choices = [c for finding in self.heights.findings for c in finding.choices]
        self.message = text()
        if not self.choices:
            self.message.value = said(NOTHING_IN_DOUBT)
            self.widget: widgets.Box = widgets.VBox([self.message])
            self.widget.add_class("ufk-suspects")
            return
        words = [choice_words(self.heights, choice) for choice in self.choices]
        numbered = [(f"{place}. {name}", place - 1) for place, name in enumerate(words, start=1)]
        # Where nothing tells which reading is wrong, none may stand ready to be left out.
        decided = self.heights.findings[0].decided
        self.choice = widgets.Dropdown(
            options=numbered if decided else [(UNDECIDED, NOT_CHOSEN), *numbered],
            value=0 if decided else NOT_CHOSEN,
            description="reading in doubt",
            style={"description_width": "9em"},
            layout=widgets.Layout(width="100%", max_width="760px"),
        )
        self.button = widgets.Button(
            description="Leave it out: write it into job.toml",
            tooltip="The table stays as it is; the job file says which row is left out.",
            layout=widgets.Layout(width="20em"),
        )
        self.table = text()
        self.figure = LiveFigure(without_drawing(self.heights, self.choices[0], job.units))
        self.chart = widgets.VBox([self.figure.widget])
        self.widget = widgets.VBox(
            [self.choice, self.chart, self.table, self.button, self.message],
            layout=widgets.Layout(width="100%"),
        )
        self.widget.add_class("ufk-suspects")
        self.widget.add_class("ufk-charted")
        self.choice.observe(lambda _: self._show(), names="value")
        self.button.on_click(lambda _: self._leave_out())
        self._show()

    def _repr_mimebundle_(self, **more: Any) -> Any:
        return self.widget._repr_mimebundle_(**more)

    @property
    def chosen(self) -> tuple[int, ...]:
        """Places in ``heights.residuals`` of the reading that is shown."""
        return self._whole_rows(self.choices[int(self.choice.value)])

    def _whole_rows(self, choice: tuple[int, ...]) -> tuple[int, ...]:
        """Return all readings of the rows that a choice stands in: they go together.

        A change point of a booking sheet has two readings on one row.
        """
        rows = self.heights.further.rows
        keys = list(zip(rows["table"], rows["row"], strict=True))
        chosen = {keys[i] for i in choice}
        grid = rows["kind"].iloc[choice[0]] in ("grid", "scan")
        return choice if grid else tuple(i for i, key in enumerate(keys) if key in chosen)

    def _show(self) -> None:
        chosen = self.choice.value != NOT_CHOSEN
        self.chart.layout.display = "" if chosen else "none"
        if not chosen:
            self.table.value, self.button.disabled = "", True
            self.message.value = said(HOW_UNDECIDED)
            return
        try:
            self.figure.show(without_drawing(self.heights, self.chosen, self.job.units))
            self.table.value = without_table(self.heights, self.chosen, self.job.units).html
            self.changes()
            self.message.value, self.button.disabled = said(HOW), False
        except Refusal as refusal:
            self.message.value, self.button.disabled = said(f"✗ {refusal}", alert=True), True

    def _leave_out(self) -> None:
        try:
            changes = self.changes()
            save_job(self.job.folder, changes)
            self.job = read_job(self.job.folder)
            words = (
                f"✓ Saved to job.toml: {_change_words(changes)}. Run the notebook again from"
                " 'Open it'. The file as it was is beside it."
            )
        except Refusal as refusal:
            self.message.value = said(f"✗ Nothing was saved. {refusal}", alert=True)
            return
        self.message.value = said(words)

    def changes(self) -> dict[str, object]:
        """Return what leaving out the chosen reading changes in the job file as it stands now.

        Raises
        ------
        Refusal
            Where the reading stands in a grid, of which a cell must be emptied instead, or the
            job file can no longer be read.
        """
        surveys = read_job(self.job.folder).surveys
        rows = self.heights.further.rows.iloc[list(self.chosen)]
        changes: dict[str, object] = {}
        for table, group in rows.groupby("table", sort=False):
            place = int(str(table))
            if surveys[place].kind in ("grid", "scan"):
                where = f"{surveys[place].file}, row {group['row'].iloc[0]}"
                if surveys[place].kind == "scan":
                    raise refuse(where, "a cell of a scan", "the scan cut down, or left out whole")
                raise refuse(where, "a reading of a grid", "its cell emptied in the table itself")
            left = sorted({*surveys[place].leave_out, *(int(row) for row in group["row"])})
            changes[f"survey[{place}].leave_out"] = left
        return changes


def _change_words(changes: dict[str, object]) -> str:
    return ", ".join(f"{path} = {rows}" for path, rows in changes.items())
