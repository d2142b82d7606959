"""The what-if panel of the notebook: ordinary widgets around one rehearsal of a situation.

The last answer stands beside the one before, a row a measure, as HTML, everything escaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

from matplotlib.figure import Figure

from experiments.errors import SituationError, known_keywords
from experiments.notebook.question import Knob, Question, knobs, speed_of
from experiments.running.engine import Engine
from experiments.situations.asks import asked_first
from experiments.situations.files import load, shipped
from experiments.situations.formation import limits
from experiments.situations.situation import Situation
from experiments.statistics.measures import MEASURES, Measure, difference, measured
from experiments.studies.rehearse import Study, rehearse
from experiments.words.looks import looks_in_short, traps
from experiments.words.measured import told, told_difference, words_of
from experiments.words.wording import count, title_of
from policies.marks import FORCES, TO_A_SIDE
from sim.ability import LEVELS

# The first figures come from so many rehearsals, of a whole possession too within a second or two;
# those of all and the picture follow.
FIRST = 100
# Points: the panel fits a screen of 1280 x 720 beside the frame of the browser and the notebook.
WIDE, HIGH, TURNS, PICTURE = 1180, 600, 370, 375
ROW = {"width": f"{TURNS - 30}px", "height": "26px", "margin": "0"}

SHOWN = ("completed", "goal", "gain_m", "off_centre_m", "trapped")
FRESH, STALE = "", "Changed since: these figures are of the settings before. Press Rehearse."


@known_keywords
class Panel:
    """Widgets that make a question, and a button that answers it.

    `box` is what a notebook shows; `study` is the last answer, `before` the one before it, None
    before the button is pressed.

    Parameters
    ----------
    situation : a shipped one, or the path of a file.
    n, seed : how often an answer is rehearsed, after a first one of fewer; and with which luck.
    """

    def __init__(self, situation: str = "week-trapped-line", n: int = 1000, seed: int = 7) -> None:
        import ipywidgets as widgets

        self._widgets, self.n, self.seed = widgets, n, seed
        self.study: Study | None = None
        self.before: Study | None = None
        self.figure: Figure | None = None
        self._filling = False
        rows = {"overflow": "visible", "flex": "0 0 auto"}
        seen = {"width": "auto", "height": "auto", "max_width": f"{WIDE - TURNS - 20}px"}
        seen |= {"max_height": f"{PICTURE}px", "object_fit": "contain", "align_self": "flex-start"}

        def choice(words: str, options: Iterable[str] = ()) -> Any:
            return widgets.Dropdown(description=words, options=list(options), layout=ROW)

        self.name = widgets.Combobox(
            options=shipped(), value=situation, ensure_option=False, continuous_update=False,
            description="situation", placeholder="a name, or a file of yours", layout=ROW,
        )  # fmt: skip
        self.plan, self.defence, self.force = choice("plan"), choice("defence"), choice("force")
        self.ours, self.theirs = choice("our level", LEVELS), choice("their level", LEVELS)
        self.player = choice("player")
        self.speed, self.place, self.turned = (widgets.VBox(layout=rows) for _ in range(3))
        self.button = widgets.Button(description="Rehearse", button_style="primary")
        self.state, self.found = widgets.HTML(), widgets.HTML()
        self.picture = widgets.Image(format="png", layout=seen)
        self.sliders: dict[str, Any] = {}
        self._at: list[Any] = []
        self._lay_out()
        self.name.observe(self._situation_chosen, names="value")
        self.plan.observe(self._plan_chosen, names="value")
        self.defence.observe(self._plan_chosen, names="value")
        self.player.observe(self._player_chosen, names="value")
        for widget in (self.force, self.ours, self.theirs):
            widget.observe(self._changed, names="value")
        self.button.on_click(self.press)
        self._situation_chosen()

    @property
    def question(self) -> Question:
        """What the widgets ask now: only what differs from the file is a change."""
        situation = self._situation
        chosen = {
            "plan": self.plan.value,
            "defence": self.defence.value,
            "force": self.force.value,
            "roster.offence.level": self.ours.value,
            "roster.defence.level": self.theirs.value,
        }
        changes = {p: v for p, v in chosen.items() if v != situation.setting(p).value}
        for path, slider in self.sliders.items():
            if slider.value != slider.in_file:
                changes[path] = int(slider.value) if slider.whole else slider.value
        x, y = (slider.value for slider in self._at)
        there = (x, y) != tuple(slider.in_file for slider in self._at)
        return Question(self.name.value, changes, (x, y) if there else None)

    def press(self, _: Any = None) -> None:
        """Rehearse and show, a few first and then all; what cannot be asked is answered in words."""
        self.button.disabled = True
        try:
            situation = self.question.situation()
            earlier = self.study
            for size in sorted({min(FIRST, self.n), self.n}):
                self._say(f"Rehearsing {size:,} times ...", "#0072B2")
                found = rehearse(situation, size, self.seed, engine=Engine(progress=False))
                self.study, self.before = found, earlier
                self.found.value = table_of(found, earlier)
            self._draw(found)
            self._say(FRESH)
        except SituationError as error:
            self._say(str(error), "#D55E00")
        finally:
            self.button.disabled = False

    def _draw(self, study: Study) -> None:
        # Drawing takes a second to import.
        from experiments.charts.play import play
        from experiments.charts.style import Style
        from experiments.handouts.pages import picture_of

        # A whole field is longer than the panel is high.
        style = Style(upright=study.situation.until != "possession")
        ax = play(study, found=False, style=style)
        self.figure = ax.get_figure(root=True)
        self.picture.value = picture_of(ax, 100).png

    def _lay_out(self) -> None:
        horizontal, vertical = self._widgets.HBox, self._widgets.VBox
        column = {"height": f"{HIGH}px", "overflow": "hidden auto"}
        asked = [self.name, self.plan, self.defence, self.force, self.ours, self.theirs]
        asked += [self.turned, self.place, self.player, self.speed]
        left = vertical(asked, layout={"width": f"{TURNS}px", **column})
        top = horizontal([self.button, self.state], layout={"flex": "0 0 auto"})
        told = [top, self.found, self.picture]
        right = vertical(told, layout={"width": f"{WIDE - TURNS}px", **column})
        self.box = horizontal([left, right], layout={"width": f"{WIDE}px"})

    def _situation_chosen(self, _: Any = None) -> None:
        try:
            situation = load(self.name.value)
        except SituationError as error:
            self._say(str(error), "#D55E00")
            return
        self._situation: Situation = situation
        self._filling = True
        for widget, names, value in (
            (self.plan, list(situation.plans), situation.plan),
            (self.defence, list(situation.defences), situation.defence),
            (self.player, [player.name for player in situation.people], situation.holder.name),
        ):
            widget.options = names
            widget.value = value
        # Without a bench there is neither home nor away.
        named = [f for f in FORCES if situation.home or f not in TO_A_SIDE]
        self.force.options, self.force.value = named, situation.force
        self.ours.value = situation.roster.offence.level
        self.theirs.value = situation.roster.defence.level
        wide, low, high = limits(situation)
        at = situation.holder.at
        self._at = [
            self._slider(Knob("", "disc & all, across (m)", 0.5, at[0], -wide, wide)),
            self._slider(Knob("", "disc & all, downfield (m)", 0.5, at[1], low, high)),
        ]
        self.place.children = tuple(self._at)
        self.study = self.before = self.figure = None
        self.found.value, self.picture.value = "", b""
        self._filling = False
        self._plan_chosen()
        self._say(FRESH)

    def _plan_chosen(self, _: Any = None) -> None:
        if self._filling:
            return
        chosen = {"plan": self.plan.value, "defence": self.defence.value}
        self._chosen = self._situation.with_settings(chosen)
        self.sliders = {each.path: self._slider(each) for each in knobs(self._chosen)}
        self.turned.children = tuple(self.sliders.values())
        self._player_chosen()

    def _player_chosen(self, _: Any = None) -> None:
        if self._filling:
            return
        self.sliders = {p: s for p, s in self.sliders.items() if s in self.turned.children}
        knob = speed_of(self._chosen, self.player.value)
        self.sliders[knob.path] = self._slider(knob)
        self.speed.children = (self.sliders[knob.path],)
        self._changed()

    def _changed(self, _: Any = None) -> None:
        if not self._filling and self.study is not None:
            self._say(STALE, "#D55E00")

    def _say(self, text: str, colour: str = "black") -> None:
        self.state.value = f'<b style="color:{colour}">{escape(text)}</b>' if text else ""
        # What is shown is not what is asked for now.
        self.picture.layout.border = "2px dashed #D55E00" if text == STALE else ""

    def _slider(self, knob: Knob) -> Any:
        slider = self._widgets.FloatSlider(
            value=knob.value,
            min=knob.low,
            max=max(knob.high, knob.low + 1e-6),
            step=knob.step,
            description=knob.words,
            continuous_update=False,
            style={"description_width": "165px"},
            layout=ROW,
        )
        slider.in_file, slider.whole = knob.value, knob.whole
        slider.observe(self._changed, names="value")
        return slider


def table_of(now: Study, before: Study | None = None) -> str:
    """What was found, and what was found before with the paired difference.

    The difference is over the rehearsals that both have; without a common seed there is none.
    """
    measures = [MEASURES[name] for name in asked_first(SHOWN, now.situation.asks)]
    words = [words_of(measure, now.situation) for measure in measures]
    columns = [["", *words, "thrown first", "rehearsals"]]
    for head, study in (("before", before), ("now", now)):
        if study is not None:
            values = [told(measured(study.rows, m, level=study.level), m) for m in measures]
            columns.append([head, *values, looks_in_short(study.looks, 1), count(study.n)])
    if before is not None:
        columns.append(["difference", *(_difference(now, before, m) for m in measures), "", ""])
    careful = "".join(
        f"<div><b>{escape(line)}</b></div>" for line in traps(now.situation, now.rows)
    )
    title, table = escape(title_of(now.situation)), _html(zip(*columns, strict=True))
    return f'<div style="font-size:13px;line-height:1.25"><b>{title}</b>{careful}{table}</div>'


def _difference(now: Study, before: Study, measure: Measure) -> str:
    if now.seed != before.seed:
        return "other luck"
    return told_difference(difference(now.rows, before.rows, measure, level=now.level), measure)


def _html(rows: Iterable[Sequence[str]]) -> str:
    cell = (
        '<td style="padding:0 14px 0 0;white-space:nowrap;font-size:13px;line-height:1.25">{}</td>'
    )
    lines = ("".join(cell.format(escape(text)) for text in row) for row in rows)
    return "<table>" + "".join(f"<tr>{line}</tr>" for line in lines) + "</table>"
