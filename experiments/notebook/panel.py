"""The what-if panel of the notebook: ordinary widgets around one rehearsal of a situation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure

from experiments.errors import SituationError
from experiments.running.engine import Engine
from experiments.situations.files import load, shipped
from experiments.situations.situation import Situation
from experiments.studies.rehearse import Study, rehearse
from policies.marks import FORCES
from sim.ability import LEVELS
from sim.scene import MOST_WIND

# Settings of the first look that a coach turns, where its cut has them: name, words, step.
KNOBS = (
    ("from", "cut starts at count", 0.5),
    ("release_offset", "throw later by (s)", 0.1),
    ("depth", "depth (m)", 1.0),
    ("angle", "angle (degrees)", 5.0),
    ("false_steps", "false steps", 1),
)


@dataclass(frozen=True)
class Question:
    """What the panel asks: a situation by name, and changes to its settings by path."""

    name: str
    changes: Mapping[str, Any]

    def situation(self) -> Situation:
        """The situation with the changes made.

        Raises
        ------
        SituationError : a change is not possible; the text says what is allowed.
        """
        situation = load(self.name)
        for path, value in self.changes.items():
            situation = situation.with_setting(path, value)
        return situation


def first_look(situation: Situation) -> str:
    """The path of the first look of the plan that is played."""
    return f"plans.{situation.plan}.looks.0"


def knobs(situation: Situation) -> list[tuple[str, str, float, Any]]:
    """(path, words, step, setting) of what can be turned in the first look of the plan."""
    found = []
    for key, words, step in KNOBS:
        path = f"{first_look(situation)}.{key}"
        if path in situation.settings():
            found.append((path, words, step, situation.setting(path)))
    return found


def answer(question: Question, n: int = 1000, seed: int = 7) -> tuple[Study, Figure]:
    """Rehearse the question; the study, and a figure of the play with its estimates."""
    from experiments.charts.play import play

    study = rehearse(question.situation(), n, seed, engine=Engine(progress=False))
    figure = play(study).figure
    assert isinstance(figure, Figure)
    return study, figure


class Panel:
    """Widgets that make a question, and a button that answers it.

    `box` is what a notebook shows; `study` is the last answer, None before the button is pressed.
    """

    def __init__(self, n: int = 1000, seed: int = 7) -> None:
        import ipywidgets as widgets

        self._widgets, self.n, self.seed = widgets, n, seed
        self.study: Study | None = None
        self.figure: Figure | None = None
        self.name = widgets.Dropdown(
            options=shipped(), value="middle-reset", description="situation"
        )
        self.plan = widgets.Dropdown(description="plan")
        self.defence = widgets.Dropdown(description="defence")
        self.force = widgets.Dropdown(options=FORCES, description="force")
        self.offence_level = widgets.Dropdown(options=list(LEVELS), description="our level")
        self.defence_level = widgets.Dropdown(options=list(LEVELS), description="their level")
        self.wind = widgets.FloatSlider(min=0, max=MOST_WIND, step=1, description="wind (m/s)")
        self.turned = widgets.VBox()
        self.button = widgets.Button(description="Rehearse", button_style="primary")
        self.shown = widgets.Output()
        left = [self.name, self.plan, self.defence, self.force]
        right = [self.offence_level, self.defence_level, self.wind]
        self.box = widgets.VBox(
            [
                widgets.HBox([widgets.VBox(left), widgets.VBox(right), self.turned]),
                self.button,
                self.shown,
            ]
        )
        self._sliders: dict[str, Any] = {}
        self.name.observe(self._situation_chosen, names="value")
        self.plan.observe(self._plan_chosen, names="value")
        self.button.on_click(self.press)
        self._situation_chosen()

    @property
    def question(self) -> Question:
        """What the widgets ask now."""
        changes: dict[str, Any] = {
            "plan": self.plan.value,
            "defence": self.defence.value,
            "force": self.force.value,
            "wind.speed": float(self.wind.value),
            "roster.offence.level": self.offence_level.value,
            "roster.defence.level": self.defence_level.value,
        }
        changes.update({path: slider.value for path, slider in self._sliders.items()})
        return Question(self.name.value, changes)

    def press(self, _: Any = None) -> None:
        """Rehearse and show; a question that cannot be asked is answered in words."""
        from IPython.display import display

        self.shown.clear_output(wait=True)
        with self.shown:
            try:
                self.study, self.figure = answer(self.question, self.n, self.seed)
            except SituationError as error:
                print(error)
                return
            display(self.figure)

    def _situation_chosen(self, _: Any = None) -> None:
        situation = load(self.name.value)
        self.defence.options = list(situation.defences)
        self.defence.value = situation.defence
        self.force.value = situation.force
        self.offence_level.value = situation.roster.offence.level
        self.defence_level.value = situation.roster.defence.level
        self.wind.value = situation.wind.speed
        self.plan.options = list(situation.plans)
        self.plan.value = situation.plan
        self._plan_chosen()

    def _plan_chosen(self, _: Any = None) -> None:
        situation = load(self.name.value).with_setting("plan", self.plan.value)
        self._sliders = {
            path: self._slider(words, step, setting)
            for path, words, step, setting in knobs(situation)
        }
        self.turned.children = tuple(self._sliders.values())

    def _slider(self, words: str, step: float, setting: Any) -> Any:
        kind = (
            self._widgets.IntSlider if isinstance(setting.value, int) else self._widgets.FloatSlider
        )
        return kind(
            value=setting.value,
            min=setting.low,
            max=setting.high,
            step=step,
            description=words,
            style={"description_width": "initial"},
        )
