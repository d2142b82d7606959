"""The animation of one rehearsal as a GIF."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke
from PIL import Image

from experiments.charts.field import around, field_axes
from experiments.charts.panel import Block, Heading, Key, draw_panel
from experiments.charts.style import DEFENCE, HATCHED, INK, OFFENCE, Style
from experiments.charts.tape import CHASE, SECTOR_RADIUS, player_look
from experiments.running import disk
from experiments.tapes.paths import TRAIL, covered_sector, disc_at_end, ending, trail_start

FRAMES_A_SECOND = 10
MOST_FRAMES = 160
PIXELS_AN_INCH = 100


def animate(tape: Any, path: Path, *, title: str = "", style: Style | None = None) -> Path:
    """Write the animation of a tape: runs, covered sector, stall, and the disc with its height.

    It plays in real time at 10 pictures a second; a long rehearsal is shown with fewer pictures a
    second, so that the file stays small. The last picture stays for two seconds.

    Parameters
    ----------
    tape : `sim.record.Tape`.
    path : the file. title : above the field.
    style : units and direction.
    """
    style = style or Style()
    times = np.asarray(tape.times, dtype=float)
    frames = int(min(MOST_FRAMES, np.ceil((times[-1] - times[0]) * FRAMES_A_SECOND) + 1))
    wanted = np.linspace(times[0], times[-1], max(frames, 2))
    indices = np.unique(np.abs(times[:, None] - wanted[None]).argmin(axis=0))
    stage = Stage(tape, title, style)
    pictures = [stage.picture(int(index)) for index in indices]
    # GIF counts in hundredths of a second.
    gaps = np.diff(np.round(times[indices] * 100.0)).astype(int) * 10
    durations = [max(20, int(gap)) for gap in gaps] + [2000]
    whole = io.BytesIO()
    pictures[0].save(
        whole,
        format="GIF",
        save_all=True,
        append_images=pictures[1:],
        duration=durations,
        loop=0,
        optimize=False,
    )
    disk.put(Path(path), whole.getvalue())
    return Path(path)


class Stage:
    """The field drawn once, with the artists that move drawn over it for each picture."""

    def __init__(self, tape: Any, title: str, style: Style) -> None:
        self.tape, self.style = tape, style
        self._palette: Image.Image | None = None
        self.positions = np.asarray(tape.positions, dtype=float)
        self.disc = np.asarray(tape.disc, dtype=float)
        self.offence = np.array([team == "offence" for team in tape.teams])
        window = around(tape.field, [self.positions, self.disc[:, :2]], margin=5.0)
        self.end = disc_at_end(tape)
        with style.in_use():
            self.ax = field_axes(tape.field, None, style, window)
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

    def _key(self, title: str) -> list[Block]:
        white = {"marker": "o", "color": "white", "markeredgecolor": INK}
        teams = {team: player_look(team, self.style) for team in ("offence", "defence")}
        return [
            *([Heading(title)] if title else []),
            *(
                Key(team, "marker", {k: look[k] for k in ("marker", "color")})
                for team, look in teams.items()
            ),
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
        rim = {"markeredgecolor": INK, "markeredgewidth": 1.2 * sizes.line}
        line("disc", color="white", **rim, **point)
        halo = [withStroke(linewidth=2.5 * sizes.line, foreground="white")]
        for player in np.flatnonzero(self.offence).tolist():
            artists[f"name {player}"] = ax.annotate(
                str(self.tape.names[player]),
                xy=(0.0, 0.0),
                xytext=(0.0, -0.6 * sizes.marker),
                textcoords="offset points",
                ha="center",
                va="top",
                fontsize=0.9 * sizes.text,
                path_effects=halo,
            )
        # A ring alone, or with a cross in it: brick marks are crosses without a ring.
        look: dict[str, Any] = {"color": INK, "markeredgewidth": 2.0 * sizes.line}
        look |= {"linestyle": "none", "markerfacecolor": "none"}
        line("end", marker="o", markersize=2.2 * sizes.marker, **look)
        line("lost", marker="x", markersize=1.5 * sizes.marker, **look)
        artists["height"] = ax.text(0, 0, "", weight="bold", va="bottom")
        artists["state"] = ax.text(0.0, 1.015, "", transform=ax.transAxes, fontsize=sizes.title)
        return artists

    def picture(self, index: int) -> Image.Image:
        """The picture of one instant of the tape, in the colours of the last one."""
        if self._palette is None:
            # Finding 64 colours costs more than drawing; the last picture has all of them.
            last = self._drawn(len(self.tape.times) - 1)
            self._palette = last.quantize(colors=64, dither=Image.Dither.NONE)
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
            moving["sector"].set_xy(np.column_stack(style.place(outline[:, 0], outline[:, 1])))
        since = trail_start(tape, index)
        for player in range(len(self.offence)):
            path = self.positions[since : index + 1, player]
            moving[f"trail {player}"].set_data(*style.place(path[:, 0], path[:, 1]))
        for team, chosen in (("offence", self.offence), ("defence", ~self.offence)):
            spots = self.positions[index, chosen]
            moving[team].set_data(*style.place(spots[:, 0], spots[:, 1]))
        for player in np.flatnonzero(self.offence).tolist():
            u, v = style.place(*self.positions[index, player])
            moving[f"name {player}"].xy = (float(u), float(v))
        x, y, height = self.disc[index]
        flying = int(tape.holder[index]) < 0
        u, v = style.place(x, y)
        moving["disc"].set_data([u], [v])
        moving["disc"].set_markersize(style.sizes.marker * (0.5 + 0.12 * max(float(height), 0.0)))
        lift = 0.25 * float(style.length(height))
        moving["shadow"].set_data([u + lift], [v - lift])
        moving["shadow"].set_visible(flying)
        over = index == len(tape.times) - 1
        for name, shown in (("end", bool(self.end)), ("lost", self.end == "lost")):
            moving[name].set_data([u], [v])
            moving[name].set_visible(over and shown)
        # On the side where there is room for it.
        right = float(u) < self.ax.get_xlim()[1] - float(style.length(5.0))
        moving["height"].set_ha("left" if right else "right")
        moving["height"].set_visible(flying and float(height) > 0.0)
        moving["height"].set_position((float(u) + (1.0 if right else -1.0), float(v) + 0.6))
        moving["height"].set_text(f"{float(style.length(height)):.1f} {style.units}")
        moving["state"].set_text(self.words(index))

    def words(self, index: int) -> str:
        """What is said above the field: time, stall, who has the disc, and the end."""
        tape = self.tape
        time = float(np.asarray(tape.times)[index])
        holder = int(tape.holder[index])
        stall = int(np.floor(float(np.asarray(tape.count)[index]) + 1e-9))
        parts = [f"{time:.1f} s"]
        if holder >= 0 and stall >= 1:
            parts.append(f"stall {stall}")
        if index == len(tape.times) - 1:
            parts.append(ending(tape))
        elif holder < 0:
            parts.append("in the air")
        return "   ".join(parts)
