"""Where the other base would win, in one sentence each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from kit.ink.lengths import Units
from kit.show.two_bases.figures import figure, shown_unit, with_unit
from kit.side_by_side import Sweep, Turning
from kit.side_by_side.limits import Limit
from kit.side_by_side.position import Setting
from kit.side_by_side.stop import Side, Stop

#: How a base is the better by a measure; by any other it "is better by …".
_WINS: Mapping[str, str] = MappingProxyType(
    {
        "cost": "is cheaper in material",
        "cost_and_labour": "is cheaper, labour included",
        "hours": "takes less work",
        "things": "has fewer pieces to place",
        "least_margin": "keeps the larger margin in what carries it",
    }
)

#: How a setting is called before its figure.
_WHAT: Mapping[str, str] = MappingProxyType(
    {"fall": "a fall", "load": "contents of all units", "span": "a longest span"}
)

#: How a setting is written whose figure is so many times a price.
_TIMES = "times what it is"


def turning_sentence(turning: Turning, units: Units = "mm") -> str:
    """Say where a setting makes the other base win by one measure, or that it does not.

    Parameters
    ----------
    turning : Turning
        From `Sweep.turnings`.
    units : {"mm", "in"}
        Of the job.

    Returns
    -------
    str
        With the first position at which the other base wins, and both figures there; nothing
        lies between two positions that was not worked out.
    """
    if not turning.turns:
        return _nowhere(turning, units)
    changed = _built_otherwise(turning)
    if changed:
        return _building(turning, changed, units)
    setting, stop = turning.setting, turning.first
    won, lost = (stop.a, stop.b) if stop.winner(turning.key) == "a" else (stop.b, stop.a)
    figures = [
        with_unit(s.value(turning.key), turning.key, turning.unit, units) for s in (won, lost)
    ]
    wins = _WINS.get(turning.key, f"is better by {turning.measure}")
    return (
        f"From {placed(setting, stop.value, units)}{_until(turning, units)},"
        f" {turning.winner_beyond} {wins}: {figures[0]} against {figures[1]} there."
    )


def _until(turning: Turning, units: Units) -> str:
    """Say how far it holds: down or up to the end of what was looked at, or less far."""
    setting, until = turning.setting, turning.until.value
    if until == turning.first.value:
        return ""
    down = until < turning.first.value
    end = until == (setting.low if down else setting.high)
    looked = ", as far as was looked" if end else ", and not beyond"
    return f" {'down' if down else 'up'} to {setting_figure(setting, until, units)}{looked}"


def turning_sentences(sweeps: Iterable[Sweep], units: Units = "mm") -> list[str]:
    """Return a sentence for each turning point, and one for all that turns nowhere.

    Parameters
    ----------
    sweeps : iterable of Sweep
        From `kit.side_by_side.turning_points`.
    units : {"mm", "in"}
        Of the job.
    """
    sweeps = tuple(sweeps)
    every = [one for sweep in sweeps for one in sweep.turnings]
    turned = [turning_sentence(one, units) for one in every if one.turns]
    nowhere: dict[bool, dict[str, list[str]]] = {True: {}, False: {}}
    for one in every:
        if not one.turns:
            words = _turned_from_to(one.setting, units)
            nowhere[bool(one.winner_now)].setdefault(words, []).append(one.measure)
    turned += [limit_sentence(limit, units) for sweep in sweeps for limit in sweep.limits]
    leads = ((_STAYS, nowhere[True]), (_NEITHER, nowhere[False]))
    rest = [f"{lead}: {_by_setting(of)}." for lead, of in leads if of]
    return [*dict.fromkeys(turned), *rest]


def _by_setting(measures: Mapping[str, Sequence[str]]) -> str:
    return "; ".join(f"{words} (by {', '.join(by)})" for words, by in measures.items())


#: Said of what makes no other base win: of one that wins now, and where none does.
_STAYS = "Turned as well, and nowhere does the other one begin to win"
_NEITHER = "Turned as well, and neither is the better anywhere, as neither is now"


def limit_sentence(limit: Limit, units: Units = "mm") -> str:
    """Say how far a base keeps every limit of what carries it that could be checked."""
    setting = limit.setting
    kept = setting_figure(setting, limit.within[0], units)
    passed = placed(setting, limit.beyond[0], units)
    way = "up" if limit.within[0] < limit.beyond[0] else "down"
    unit = setting_unit(setting, units)
    return (
        f"{limit.name} stays within every limit that could be checked {way} to {kept} {unit}"
        f" ({setting.words}); {passed} is beyond one."
    )


def _turned_from_to(setting: Setting, units: Units) -> str:
    low, high = (setting_figure(setting, v, units) for v in (setting.low, setting.high))
    if setting.unit == _TIMES:
        return f"{setting.words} from {low} to {high} times today's"
    now, unit = setting_figure(setting, setting.now, units), setting_unit(setting, units)
    return f"{setting.words} from {low} to {high} {unit} (now {now})"


def setting_figure(setting: Setting, value: float, units: Units) -> str:
    """Return a position of a setting, without its unit and without needless zeros."""
    if setting.unit == "mm":
        return figure(value, setting.key, "mm", units)
    shown = f"{value:.{2 if abs(value) < 100 else 1}f}"
    return shown.rstrip("0").rstrip(".")


def setting_unit(setting: Setting, units: Units) -> str:
    """Return the unit in which a setting is shown."""
    return shown_unit(setting.unit, units)


def placed(setting: Setting, value: float, units: Units) -> str:
    """Return a position of a setting in words, with where it stands now."""
    shown = setting_figure(setting, value, units)
    if setting.unit == _TIMES:
        return f"{shown} times today's {setting.words}"
    now = setting_figure(setting, setting.now, units)
    what = _WHAT.get(setting.key, setting.words)
    return f"{what} of {shown} {setting_unit(setting, units)} (now {now})"


def _nowhere(turning: Turning, units: Units) -> str:
    setting = turning.setting
    low, high = (setting_figure(setting, v, units) for v in (setting.low, setting.high))
    stays = f"{turning.winner_now} stays the better" if turning.winner_now else "neither wins"
    by = f"it turns nowhere by {turning.measure}: {stays}."
    if setting.unit == _TIMES:
        return f"From {low} to {high} times today's {setting.words} {by}"
    now, words = setting_figure(setting, setting.now, units), setting.words
    unit = setting_unit(setting, units)
    return f"{words[0].upper()}{words[1:]} from {low} to {high} {unit} (now {now}): {by}"


def _built_otherwise(turning: Turning) -> str:
    """Return "a" or "b" where what turns it is that this base can or cannot be built beyond."""
    before, beyond = turning.last, turning.first
    for side, then, there in (("a", before.a, beyond.a), ("b", before.b, beyond.b)):
        if bool(then.refused) != bool(there.refused):
            return side
    return ""


def _building(turning: Turning, side: str, units: Units) -> str:
    setting, stop = turning.setting, turning.first
    name = turning.names[0] if side == "a" else turning.names[1]
    why = side_of(stop, side).refused
    can = f"can no longer be built: {plain_reason(why)}" if why else "can be built again."
    return f"At {placed(setting, stop.value, units)} {name} {can}"


def side_of(stop: Stop, side: str) -> Side:
    """Return one of the two at a position."""
    return stop.a if side == "a" else stop.b


def plain_reason(refused: str) -> str:
    """Return why a base cannot be built, ended as a sentence."""
    return refused if refused.endswith((".", "!", "?")) else f"{refused}."
