"""The last answer beside the one before: a row a measure, as HTML, everything escaped."""

from __future__ import annotations

from html import escape

from experiments.situations.asks import asked_first
from experiments.statistics.measures import MEASURES, difference, measured
from experiments.studies.rehearse import Study
from experiments.words.looks import looks_in_short, traps
from experiments.words.measured import told, told_difference, words_of
from experiments.words.wording import count, title_of

SHOWN = ("completed", "goal", "gain_m", "off_centre_m", "trapped")


def table_of(now: Study, before: Study | None = None) -> str:
    """What was found, and what was found before with the paired difference.

    The difference is over the rehearsals that both have; without a common seed there is none.
    """
    heads = ["", "now"] if before is None else ["", "before", "now", "difference"]
    rows = [heads]
    for name in asked_first(SHOWN, now.situation.asks):
        measure = MEASURES[name]
        row = [words_of(measure, now.situation)]
        for study in (before, now):
            if study is not None:
                row.append(told(measured(study.rows, measure, level=study.level), measure))
        if before is not None:
            row.append(_difference(now, before, name))
        rows.append(row)
    looks = [looks_in_short(study.looks, 1) for study in (before, now) if study is not None]
    rows.append(["thrown first", *looks, *([""] if before is not None else [])])
    rehearsals = [count(study.n) for study in (before, now) if study is not None]
    rows.append(["rehearsals", *rehearsals, *([""] if before is not None else [])])
    careful = "".join(
        f"<div><b>{escape(line)}</b></div>" for line in traps(now.situation, now.rows)
    )
    title = f"<b>{escape(title_of(now.situation))}</b>"
    return f'<div style="font-size:13px;line-height:1.25">{title}{careful}{_html(rows)}</div>'


def _difference(now: Study, before: Study, name: str) -> str:
    measure = MEASURES[name]
    if now.seed != before.seed:
        return "other luck"
    return told_difference(difference(now.rows, before.rows, measure, level=now.level), measure)


def _html(rows: list[list[str]]) -> str:
    cell = (
        '<td style="padding:0 14px 0 0;white-space:nowrap;font-size:13px;line-height:1.25">{}</td>'
    )
    lines = ("".join(cell.format(escape(text)) for text in row) for row in rows)
    return "<table>" + "".join(f"<tr>{line}</tr>" for line in lines) + "</table>"
