"""A button that finds where the other base would win, and what it found."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from kit.ink.table import sentences
from kit.job import Refusal
from kit.show.controls import said, text
from kit.show.two_bases.turning_chart import turning_chart
from kit.show.two_bases.turning_words import turning_sentences
from kit.side_by_side import Comparison, Sweep, turning_points
from kit.side_by_side.settings import settings_of

#: What is said before the button was pressed, and when what was found is no longer of these two.
NOT_YET = (
    "Each setting is turned from end to end, and both bases are worked out at every position:"
    " that takes some seconds."
)
NO_LONGER = "The bases were changed since: find it again for the two as they are now."


class TurningPart:
    """The button, its progress, and chart and words of every setting that was turned.

    Parameters
    ----------
    comparison : callable
        Gives the comparison that is in sight.
    width_px : callable
        Gives the width of a picture [px].
    found : callable
        Called when there are new sweeps, or none any more.

    Attributes
    ----------
    sweeps : tuple of Sweep
        What was found for the comparison in sight.
    """

    def __init__(
        self,
        comparison: Callable[[], Comparison],
        width_px: Callable[[], float],
        found: Callable[[], None],
    ) -> None:
        self._comparison, self._width_px, self._found = comparison, width_px, found
        self.sweeps: tuple[Sweep, ...] = ()
        self.button = widgets.Button(
            description="Find where the other base would win",
            tooltip="Turn fall, contents, span and prices, and work both bases out at each step.",
            layout=widgets.Layout(width="22em"),
        )
        self.bar = widgets.IntProgress(
            min=0, max=100, layout=widgets.Layout(width="22em", visibility="hidden")
        )
        self.message = text(said(NOT_YET))
        self.choice = widgets.Dropdown(
            options=[("nothing turned yet", ())],
            description="turned, judged by",
            style={"description_width": "9em"},
            layout=widgets.Layout(width="100%", max_width="46em", display="none"),
        )
        self.chart, self.words = text(), text()
        self.button.on_click(lambda _: self.find())
        self.choice.observe(lambda _: self.draw(), names="value")
        head = widgets.HBox([self.button, self.bar], layout=widgets.Layout(flex_flow="row wrap"))
        self.widget = widgets.VBox([head, self.message, self.choice, self.chart, self.words])
        self.widget.add_class("ufk-turning-part")

    def find(self) -> None:
        """Turn every setting of the comparison in sight; what goes wrong is said in words."""
        comparison = self._comparison()
        self.button.disabled, self.bar.value = True, 0
        self.bar.layout.visibility = "visible"
        self.message.value = said("Working: turning the settings, one after another …")
        try:
            settings = settings_of(comparison.a, comparison.b)
            sweeps: list[Sweep] = []
            for number, setting in enumerate(settings):
                sweeps += turning_points(
                    comparison, [setting], progress=self._progress(number, len(settings))
                )
            self._keep(tuple(sweeps))
        except Refusal as refusal:
            words = "; ".join(str(problem) for problem in refusal.problems)
            self.message.value = said(f"✗ This cannot be answered. {words}", alert=True)
        except Exception as error:
            # Words in the panel: what a button raises is seen by nobody in a notebook.
            words = f"✗ The kit has a defect here ({type(error).__name__}: {error})."
            self.message.value = said(f"{words} Tell who maintains it.", alert=True)
        finally:
            self.button.disabled = False
            self.bar.layout.visibility = "hidden"

    def forget(self) -> None:
        """Take away what was found for two bases that are no longer in sight."""
        if self.sweeps:
            self._show_none()
            self.message.value = said(NO_LONGER)

    def draw(self) -> None:
        """Draw the setting that is chosen, at the width there is now."""
        if not self.choice.value:
            return
        number, key = self.choice.value
        units = self._comparison().a.job.units
        drawn = turning_chart(self.sweeps[number], key, self._width_px(), units=units)
        self.chart.value = drawn.html

    def _progress(self, number: int, count: int) -> Callable[[str, float], None]:
        def show(words: str, share: float) -> None:
            self.bar.value = round(100 * (number + share) / count)
            self.message.value = said(
                f"Working: turning the {words}, {number + 1} of {count} settings,"
                f" {self.bar.value} % of all."
            )

        return show

    def _keep(self, sweeps: tuple[Sweep, ...]) -> None:
        self.sweeps = sweeps
        options = [
            (f"{sweep.setting.words}, by {name}", (number, key))
            for number, sweep in enumerate(sweeps)
            for key, name in _judged(sweep).items()
        ]
        if not options:
            self._show_none()
            self.message.value = said("Nothing of this job could be turned.")
            return
        turned = next(
            (
                (number, turning.key)
                for number, sweep in enumerate(sweeps)
                for turning in sweep.turnings
                if turning.turns and (number, turning.key) in dict(options).values()
            ),
            options[0][1],
        )
        self.choice.options, self.choice.value = options, turned
        self.choice.layout.display = ""
        self.draw()
        units = self._comparison().a.job.units
        self.words.value = sentences(
            turning_sentences(sweeps, units), "Where the other base would win, all that was turned"
        ).html
        self.message.value = said(f"✓ Done: {len(sweeps)} settings turned.")
        self._found()

    def _show_none(self) -> None:
        self.sweeps = ()
        self.choice.options = [("nothing turned yet", ())]
        self.choice.layout.display = "none"
        self.chart.value = self.words.value = ""
        self._found()


def _judged(sweep: Sweep) -> dict[str, str]:
    """Return the measures that a chart can be drawn of, by key: known somewhere."""
    return {
        turning.key: turning.measure
        for turning in sweep.turnings
        if any(
            turning.key in side.measures and side.measures[turning.key].known
            for stop in sweep.stops
            for side in (stop.a, stop.b)
        )
    }
