"""The mean that a report prints is the one that was judged: BB93 means 500, 1000 and 2000 Hz,
others two octaves."""

from __future__ import annotations

import dataclasses

from roomcheck.report.pages.measurement import decay_tables


def test_a_target_over_three_octaves_has_their_mean_in_the_table(story, tmp_path):
    _, known = story(tmp_path)
    before, verdict = known["before"], known["verdict"]
    three = dataclasses.replace(verdict.target, mid_bands_hz=(500.0, 1000.0, 2000.0))
    other = dataclasses.replace(
        verdict,
        target=three,
        mid=dataclasses.replace(verdict.mid, value_s=0.777, bands_hz=three.mid_bands_hz),
    )
    table, _more = decay_tables(before, other)
    assert table.rows[-1][0] == "mean of 500 Hz, 1 kHz and 2 kHz"
    assert table.rows[-1][1].startswith("0.7")
