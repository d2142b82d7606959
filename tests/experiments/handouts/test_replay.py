"""The rehearsal that is shown, its animation, and the page, driven in a real browser."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from experiments.charts.style import Style
from experiments.handouts.animation import MOST_FRAMES, Stage, animate
from experiments.handouts.replay import replay_page, tape_data, write_replay
from experiments.tapes.paths import TRAIL
from experiments.tapes.picking import WATCHED, pick_rehearsal
from tests.experiments.chromium import dom_of, requests_of, screenshot
from tests.experiments.fakes import InventedStudy, invented_table, invented_tape, titled

WHY = "rehearsal 4 is the typical one"


def test_the_typical_rehearsal_ends_in_the_most_common_way_near_the_middle() -> None:
    table = invented_table()
    pick = pick_rehearsal(table)
    row = table.loc[table["rehearsal"] == pick.rehearsal].iloc[0]
    assert row["outcome"] == "completed"
    completed = table[table["outcome"] == "completed"]
    for column in WATCHED:
        low, high = completed[column].quantile([0.15, 0.85])
        assert low <= row[column] <= high, column
    assert "typical" in pick.why
    assert "1,011 of 1,200" in pick.why


def test_typical_does_not_hang_on_the_order_of_rows() -> None:
    table = invented_table()
    assert pick_rehearsal(table.sample(frac=1.0, random_state=3)) == pick_rehearsal(table)


def test_typical_is_the_median_row_when_there_is_one() -> None:
    """Five rows on a line: the one in the middle is nearest the median in every column."""
    table = invented_table(2000)
    table = table[table["outcome"] == "completed"].head(5).reset_index(drop=True)
    for column in WATCHED:
        table[column] = [3.0, 1.0, 2.0, 5.0, 4.0]
    assert pick_rehearsal(table).rehearsal == int(table["rehearsal"][0])


def test_best_gains_most_and_a_goal_is_best_of_all() -> None:
    table = invented_table()
    goal = pick_rehearsal(table, "best")
    assert bool(table.loc[goal.rehearsal, "goal"])
    assert "a goal" in goal.why
    plain = table[~table["goal"]]
    best = pick_rehearsal(plain, "best")
    assert plain.loc[best.rehearsal, "gain_m"] == plain["gain_m"].max()


def test_worst_is_the_failure_that_looked_best_to_the_thrower() -> None:
    table = invented_table()
    worst = pick_rehearsal(table, "worst")
    failed = table[~table["completed"]]
    assert failed.loc[worst.rehearsal, "estimate"] == failed["estimate"].max()
    kept = table[table["completed"]]
    least = pick_rehearsal(kept, "worst")
    assert kept.loc[least.rehearsal, "gain_m"] == kept["gain_m"].min()
    assert "nothing failed" in least.why


def test_a_rehearsal_by_number_and_mistakes_in_words() -> None:
    table = invented_table(50)
    assert pick_rehearsal(table, 17).rehearsal == 17
    assert pick_rehearsal(table, "17") == pick_rehearsal(table, 17)
    with pytest.raises(ValueError, match="no rehearsal 50; they run from 0 to 49"):
        pick_rehearsal(table, 50)
    with pytest.raises(ValueError, match="typical, best, worst or a rehearsal number"):
        pick_rehearsal(table, "nicest")
    with pytest.raises(ValueError, match="no rehearsal to show"):
        pick_rehearsal(table.head(0))


def test_nothing_completed_still_has_a_best() -> None:
    table = invented_table()
    failed = table[~table["completed"]]
    assert "nothing was completed" in pick_rehearsal(failed, "best").why


def test_the_animation_lasts_as_long_as_the_play(tmp_path: Path) -> None:
    """4 s of play at 10 pictures a second, and 2 s on the last picture."""
    path = animate(invented_tape(), tmp_path / "play.gif", title="Middle reset")
    with Image.open(path) as gif:
        assert gif.n_frames == 41
        total = 0
        for frame in range(gif.n_frames):
            gif.seek(frame)
            total += gif.info["duration"]
    assert total == pytest.approx(4000 + 2000, abs=20)


def test_a_long_rehearsal_has_a_bounded_number_of_pictures(tmp_path: Path) -> None:
    tape = invented_tape()
    slow = replace(tape, times=tape.times * 10.0)
    slow_path = animate(slow, tmp_path / "slow.gif")
    with Image.open(slow_path) as gif:
        assert gif.n_frames <= MOST_FRAMES


def test_a_picture_shows_the_instant() -> None:
    """Trails reach from the start to now; the disc is where and as high as the tape says."""
    tape = invented_tape()
    stage = Stage(tape, "Middle reset", Style())
    stage.picture(58)
    x, y = stage.moving["trail 1"].get_data()
    np.testing.assert_allclose(np.column_stack([x, y]), tape.positions[:59, 1])
    u, v = stage.moving["disc"].get_data()
    assert (float(u[0]), float(v[0])) == tuple(tape.disc[58, :2])
    assert stage.moving["height"].get_text() == f"{tape.disc[58, 2]:.1f} m"
    assert "in the air" in stage.moving["state"].get_text()
    assert not stage.moving["sector"].get_visible()
    stage.picture(10)
    assert stage.moving["sector"].get_visible()
    assert "stall 4" in stage.moving["state"].get_text()
    low, high = stage.moving["disc"].get_markersize(), stage.style.sizes.marker
    assert low < high
    stage.picture(len(tape.times) - 1)
    assert stage.moving["state"].get_text().endswith("completed: left has it")
    assert stage.moving["end"].get_visible()
    assert not stage.moving["lost"].get_visible()


def test_a_lost_disc_ends_in_a_crossed_ring_and_a_cut_off_one_in_none() -> None:
    for tape, ring, cross in (
        (invented_tape(completed=False), True, True),
        (replace(invented_tape(), outcome="time cap"), False, False),
    ):
        stage = Stage(tape, "Middle reset", Style())
        stage.picture(len(tape.times) - 2)
        assert not stage.moving["end"].get_visible()
        stage.picture(len(tape.times) - 1)
        shown = stage.moving["end"].get_visible(), stage.moving["lost"].get_visible()
        assert shown == (ring, cross)


def test_a_long_way_is_shown_for_its_last_seconds() -> None:
    tape = invented_tape()
    slow = replace(tape, times=tape.times * 10.0)
    stage = Stage(slow, "Middle reset", Style())
    stage.picture(60)
    x, _ = stage.moving["trail 1"].get_data()
    assert len(x) == round(TRAIL / 0.5) + 1


def test_write_replay_says_which_rehearsal_and_why(tmp_path: Path) -> None:
    replay = write_replay(InventedStudy(), tmp_path / "new" / "folder")
    html = replay.html.read_text(encoding="utf-8")
    assert f"Rehearsal {replay.pick.rehearsal} is the typical one" in html
    assert replay.gif.stat().st_size > 1000


def test_the_page_is_complete_in_itself() -> None:
    html = replay_page(invented_tape(), "Middle reset", WHY)
    addresses = re.findall(r"""(?:src|href|url|action|data)\s*[=(]\s*["']?([^"')\s>]+)""", html)
    assert set(addresses) <= {"data:,", "#hatch"}
    assert "@import" not in html
    assert "default-src 'none'" in html


def test_words_of_the_user_are_escaped() -> None:
    """A title or a name can neither end a tag nor end the script that holds the tape."""
    nasty = "</script><script>alert(1)</script><b>&\"'"
    html = replay_page(invented_tape(name=nasty), nasty, f"rehearsal of {nasty}")
    assert "<script>alert" not in html
    assert '<b>&"' not in html
    start = html.index('type="application/json">') + len('type="application/json">')
    tape = json.loads(html[start : html.index("</script>", start)])
    assert tape["players"][1]["name"] == nasty


def test_the_data_of_the_page_are_the_tape() -> None:
    tape = invented_tape()
    data = tape_data(tape, Style(units="yd"))
    np.testing.assert_allclose(data["times"], tape.times, atol=1e-4)
    np.testing.assert_allclose(data["players"][8]["path"], tape.positions[:, 8], atol=0.0051)
    assert data["per_metre"] == pytest.approx(1.0936, abs=1e-4)
    json.dumps(data, allow_nan=False)
    free = replace(tape, mark_reach=np.full_like(tape.mark_reach, np.nan))
    assert set(tape_data(free, Style())["reach"]) == {None}


DRIVE = """
<script>
(async function () {
  const told = {}, byId = (id) => document.getElementById(id);
  const wait = (ms) => new Promise((done) => setTimeout(done, ms));
  const time = () => parseFloat(byId("time").textContent);
  told.start = [time(), byId("stall").textContent, byId("holder").textContent];
  told.ring = byId("ring").style.display;
  told.sector = byId("sector").style.display;
  byId("forward").click(); byId("forward").click(); told.forward = time();
  byId("back").click(); told.back = time();
  byId("play").click(); told.playing = byId("play").textContent;
  await wait(1000); byId("play").click(); told.played = time();
  await wait(300); told.paused = time();
  byId("speed").value = "0.25"; byId("play").click(); await wait(1000); byId("play").click();
  told.slow = time() - told.paused;
  byId("slider").value = 2.9; byId("slider").dispatchEvent(new Event("input"));
  told.air = [time(), byId("stall").textContent, byId("holder").textContent,
    byId("height").textContent, byId("sector").style.display];
  const disc = byId("disc"), shape = byId("field").viewBox.baseVal;
  told.disc = [disc.cx.baseVal.value, disc.cy.baseVal.value, disc.r.baseVal.value];
  told.view = [shape.x, shape.y, shape.width, shape.height];
  const trail = document.querySelectorAll("#trails polyline")[1];
  told.trail = trail.getAttribute("points").split(" ").length;
  byId("slider").value = 99; byId("slider").dispatchEvent(new Event("input"));
  told.end = [time(), byId("outcome").hidden, byId("outcome").textContent];
  told.rings = [told.ring, byId("ring").style.display, byId("end").style.display];
  told.players = document.querySelectorAll("#people g").length;
  const out = document.createElement("pre");
  out.id = "told"; out.textContent = JSON.stringify(told);
  document.body.appendChild(out);
})();
</script>
"""


def test_the_page_plays_pauses_steps_and_slides_in_a_browser(tmp_path: Path) -> None:
    html = replay_page(invented_tape(), "Middle reset", WHY)
    page = tmp_path / "driven.html"
    page.write_text(html.replace("</body>", DRIVE + "</body>"), encoding="utf-8")
    dom = dom_of(page, tmp_path, milliseconds=6000)
    found = re.search(r'<pre id="told">(.*?)</pre>', dom)
    assert found, dom[-1500:]
    told = json.loads(found.group(1))
    assert told["start"] == [0, "4", "middle"]
    assert told["sector"] == ""
    assert told["forward"] == pytest.approx(0.10)
    assert told["back"] == pytest.approx(0.05)
    assert told["playing"] == "Pause"
    assert 0.8 <= told["played"] - told["back"] <= 1.2
    assert told["paused"] == told["played"]
    assert 0.15 <= told["slow"] <= 0.35
    tape = invented_tape()
    index = int(np.searchsorted(tape.times, 2.9))
    x, y, height = tape.disc[index]
    assert told["air"] == [2.9, "-", "in the air", f"{height:.1f} m", "none"]
    assert told["disc"][:2] == pytest.approx([x, -y], abs=0.02)
    left, top, width, tall = told["view"]
    assert left <= told["disc"][0] <= left + width
    assert top <= told["disc"][1] <= top + tall
    assert told["trail"] == index + 2
    assert told["end"] == [4.0, False, "result completed: left has it"]
    assert told["rings"] == ["none", "", "none"]
    assert told["players"] == 14


def test_a_page_that_asks_is_found_out(tmp_path: Path) -> None:
    """The check below would fail for a page with a picture, a script or a style from elsewhere."""
    page = tmp_path / "asks.html"
    page.write_text(
        '<img src="http://127.0.0.1:9/a.png"><script>fetch("http://127.0.0.1:9/b")</script>'
    )
    assert requests_of(page, tmp_path) == ["http://127.0.0.1:9/a.png", "http://127.0.0.1:9/b"]


def test_the_page_asks_for_nothing(tmp_path: Path) -> None:
    page = tmp_path / "replay.html"
    page.write_text(replay_page(invented_tape(), "Middle reset", WHY), encoding="utf-8")
    assert requests_of(page, tmp_path) == []


def test_the_page_shows_the_field_in_a_browser(tmp_path: Path) -> None:
    """Players' colours are where the field is, and the white page is not all there is."""
    page = tmp_path / "replay.html"
    study = InventedStudy(situation=titled("Middle reset"))
    page.write_text(
        replay_page(study.play, study.situation.title, WHY, style=Style(upright=False)),
        encoding="utf-8",
    )
    picture = screenshot(page, tmp_path)
    with Image.open(picture) as image:
        pixels = np.asarray(image.convert("RGB")).astype(int)
    green = np.abs(pixels - [0x00, 0x9E, 0x73]).sum(axis=-1) < 20
    red = np.abs(pixels - [0xD5, 0x5E, 0x00]).sum(axis=-1) < 20
    assert green.sum() > 500
    assert red.sum() > 150
