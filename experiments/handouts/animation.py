"""The animation of one rehearsal as a GIF."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke
from PIL import Image

from experiments.charts.field import around, draw_field
from experiments.charts.panel import Block, Heading, Key, draw_panel
from experiments.charts.style import DEFENCE, HATCHED, INK, OFFENCE, TEAM_MARKS, Style
from experiments.charts.tape import CHASE, SECTOR_RADIUS, disc_look, player_look
from experiments.running import disk
from experiments.tapes.paths import TRAIL, covered_sector, disc_at_end, ending, trail_start

FRAMES_A_SECOND = 10
MOST_FRAMES = 160
PIXELS_AN_INCH = 100


def animate(tape: Any, path: Path, *, title: str = "", style: Style | None = None) -> Path:
    """Write the animation of a tape: runs, covered sector, stall, and the disc with its height.

    It plays in real time at 10 pictures a second; a long rehearsal is shown with fewer pictures a
    second, so that the file stays small. The last picture stays for two seconds.

    `title` stands above the field; `style` gives units and direction.
    """
    times, stage = tape.times, Stage(tape, title, style or Style())
    frames = int(min(MOST_FRAMES, np.ceil((times[-1] - times[0]) * FRAMES_A_SECOND) + 1))
    wanted = np.linspace(times[0], times[-1], max(frames, 2))
    indices = np.unique(np.abs(times[:, None] - wanted[None]).argmin(axis=0))
    first, *others = (stage.picture(int(index)) for index in indices)
    # GIF counts in hundredths of a second.
    gaps = np.diff(np.round(times[indices] * 100.0)) * 10
    kept: dict[str, Any] = {"duration": [*np.maximum(gaps, 20).astype(int).tolist(), 2000]}
    kept |= {"save_all": True, "append_images": others, "loop": 0, "optimize": False}
    whole = io.BytesIO()
    first.save(whole, format="GIF", **kept)
    disk.put(path, whole.getvalue())
    return path


class Stage:
    """The field drawn once, with the artists that move drawn over it for each picture."""

    def __init__(self, tape: Any, title: str, style: Style) -> None:
        self.tape, self.style = tape, style
        self.offence = np.array([team == "offence" for team in tape.teams])
        window = around(tape.field, [tape.positions, tape.disc[:, :2]], margin=5.0)
        self.end = disc_at_end(tape)
        with style.in_use():
            self.ax = draw_field(tape.field, None, style=style, window=window, panel=True)
            if title:
                # The words above are those that change; the title is the first line of the panel.
                self.ax.set_title(" ", fontsize=style.sizes.title, loc="left")
            draw_panel(self.ax, self._key(title), [], style, width=28)
            self.moving = self._artists()
        for artist in self.moving.values():
            artist.set_animated(True)
        figure: Any = self.ax.figure
        figure.set_dpi(PIXELS_AN_INCH)
        self.canvas = figure.canvas
        self.canvas.draw()
        figure.set_layout_engine("none")
        self.ground = self.canvas.copy_from_bbox(figure.bbox)
        # Finding 64 colours costs more than drawing; the last picture has all of them.
        last = self._drawn(len(tape.times) - 1)
        self._palette = last.quantize(colors=64, dither=Image.Dither.NONE)

    def _key(self, title: str) -> list[Block]:
        white = {"marker": "o", "color": "white", "markeredgecolor": INK}
        return [
            *([Heading(title)] if title else []),
            *(Key(team, "marker", TEAM_MARKS[team]) for team in TEAM_MARKS),
            Key("disc, bigger when high", "marker", white),
            Key(f"way of the last {TRAIL:g} s", "line", {"color": OFFENCE}),
            Key("defender's way", "line", {"color": DEFENCE, "linestyle": CHASE}),
            "hatched: covered by the mark",
            "at the end: ring kept, with a cross lost",
        ]

    def _artists(self) -> dict[str, Any]:
        """Everything that moves, in the order in which it is drawn."""
        ax, sizes = self.ax, self.style.sizes
        artists: dict[str, Any] = {
            "sector": ax.add_patch(Polygon(np.zeros((3, 2)), **HATCHED, hatch="////"))
        }

        def line(name: str, **look: Any) -> None:
            (artists[name],) = ax.plot([], [], **look)

        for player, ours in enumerate(self.offence):
            form = {"color": OFFENCE} if ours else {"color": DEFENCE, "linestyle": CHASE}
            line(f"trail {player}", alpha=0.8, **form)
        for team in ("defence", "offence"):
            line(team, linestyle="none", **player_look(team, self.style))
        point: dict[str, Any] = {"linestyle": "none", "marker": "o"}
        line("shadow", color="#00000040", markersize=0.5 * sizes.marker, **point)
        line("disc", **disc_look(self.style), linestyle="none")
        halo = [withStroke(linewidth=2.5 * sizes.line, foreground="white")]
        look: dict[str, Any] = {"textcoords": "offset points", "ha": "center", "va": "top"}
        look |= {"fontsize": 0.9 * sizes.text, "path_effects": halo}
        for player in np.flatnonzero(self.offence).tolist():
            name, below = self.tape.names[player], (0.0, -0.6 * sizes.marker)
            artists[f"name {player}"] = ax.annotate(name, (0.0, 0.0), below, **look)
        # A ring alone, or with a cross in it: brick marks are crosses without a ring.
        look = {"color": INK, "markeredgewidth": 2.0 * sizes.line}
        look |= {"linestyle": "none", "markerfacecolor": "none"}
        line("end", marker="o", markersize=2.2 * sizes.marker, **look)
        line("lost", marker="x", markersize=1.5 * sizes.marker, **look)
        artists["height"] = ax.text(0, 0, "", weight="bold", va="bottom")
        artists["state"] = ax.text(0.0, 1.015, "", transform=ax.transAxes, fontsize=sizes.title)
        return artists

    def picture(self, index: int) -> Image.Image:
        """The picture of one instant of the tape, in the colours of the last one."""
        return self._drawn(index).quantize(palette=self._palette, dither=Image.Dither.NONE)

    def _drawn(self, index: int) -> Image.Image:
        self._place(index)
        self.canvas.restore_region(self.ground)
        for artist in self.moving.values():
            self.ax.draw_artist(artist)
        pixels = np.asarray(self.canvas.buffer_rgba())[..., :3]
        return Image.fromarray(np.ascontiguousarray(pixels))

    def _place(self, index: int) -> None:
        tape, style, moving = self.tape, self.style, self.moving
        outline = covered_sector(tape, index, SECTOR_RADIUS)
        moving["sector"].set_visible(len(outline) > 0)
        if len(outline):
            moving["sector"].set_xy(np.column_stack(style.place(*outline.T)))
        since = trail_start(tape, index)
        for player in range(len(self.offence)):
            path = tape.positions[since : index + 1, player]
            moving[f"trail {player}"].set_data(*style.place(*path.T))
        for team, chosen in (("offence", self.offence), ("defence", ~self.offence)):
            moving[team].set_data(*style.place(*tape.positions[index, chosen].T))
        for player in np.flatnonzero(self.offence).tolist():
            moving[f"name {player}"].xy = style.place(*tape.positions[index, player])
        x, y, height = tape.disc[index]
        flying, over = tape.holder[index] < 0, index == len(tape.times) - 1
        u, v = style.place(x, y)
        size = style.sizes.marker * (0.5 + 0.12 * max(height, 0.0))
        moving["disc"].set(data=([u], [v]), markersize=size)
        lift = 0.25 * style.length(height)
        moving["shadow"].set(data=([u + lift], [v - lift]), visible=flying)
        for name, shown in (("end", self.end != ""), ("lost", self.end == "lost")):
            moving[name].set(data=([u], [v]), visible=over and shown)
        # On the side where there is room for it.
        side, aside = ("left", 1.0)
        if u >= self.ax.get_xlim()[1] - style.length(5.0):
            side, aside = ("right", -1.0)
        words = f"{style.length(height):.1f} {style.units}"
        moving["height"].set(ha=side, position=(u + aside, v + 0.6), text=words)
        moving["height"].set_visible(flying and height > 0.0)
        moving["state"].set_text(self.words(index))

    def words(self, index: int) -> str:
        """What is said above the field: time, stall, who has the disc, and the end."""
        tape, stall = self.tape, int(self.tape.count[index] + 1e-9)
        flying = tape.holder[index] < 0
        parts = [f"{tape.times[index]:.1f} s"]
        if not flying and stall >= 1:
            parts.append(f"stall {stall}")
        if index == len(tape.times) - 1:
            parts.append(ending(tape))
        elif flying:
            parts.append("in the air")
        return "   ".join(parts)
