"""Whatever stands in a job file: a job comes out, or an error that a person can put right."""

from __future__ import annotations

import contextlib
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from roomcheck.demo import demo
from roomcheck.errors import RoomcheckError
from roomcheck.job import FileMistakes, load_job
from roomcheck.job.read.shop_file import DEFAULT, read_shop

VALUES = st.sampled_from(
    [
        "1",
        "-1",
        "0",
        "nan",
        "inf",
        "-inf",
        "1e400",
        "0x" + "f" * 5000,
        "true",
        "[]",
        "[[]]",
        "{}",
        '""',
        '" "',
        "1979-05-27",
        "07:32:00",
        '"1/0 in"',
        '"٣ m"',
        '"1/٠ in"',
        '"0 m"',
        '"-1 m"',
        '"1e9 m"',
        f'"{"9" * 400} m"',
        f'"{"9" * 400} ft"',
        f'"{"9" * 5000} in"',
        '"\\u0000"',
        '"\\n"',
        '"north"',
        '"P1"',
        '"S1"',
        '["before", "before"]',
        "[1, 2]",
        '[["1 m"]]',
        "[" * 400 + "]" * 400,
        '[["0 m", "0 m"], ["1 m", "0 m"], ["1 m", "1 m"]]',
        "{ a = 1 }",
        '[{ name = "x" }]',
        '"45 %"',
        '"9e9 %"',
        f'"{"1" * 150} %"',
        f'"{"1" * 150} lb"',
        '"-300 °C"',
        "2026-05-04T00:00:00Z",
    ]
)


@st.composite
def changed(draw, text):
    """A valid file with a few of its lines changed, doubled, dropped or swapped."""
    lines = text.split("\n")
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        how = draw(
            st.sampled_from(["value", "value", "value", "drop", "double", "swap", "sign", "noise"])
        )
        if how == "value":
            lines[at] = re.sub(r"=.*", lambda _: f"= {draw(VALUES)}", lines[at])
        elif how == "drop":
            lines[at] = ""
        elif how == "double":
            lines.insert(at, lines[at])
        elif how == "swap":
            other = draw(st.integers(0, len(lines) - 1))
            lines[at], lines[other] = lines[other], lines[at]
        elif how == "sign" and lines[at]:
            cut = draw(st.integers(0, len(lines[at]) - 1))
            lines[at] = lines[at][:cut] + draw(st.characters(codec="utf-8")) + lines[at][cut + 1 :]
        elif how == "noise":
            lines[at] += draw(st.text(st.characters(codec="utf-8"), max_size=8))
    return "\n".join(lines)


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_a_changed_job_loads_or_says_what_is_wrong(folder, story_text, data):
    (folder / "job.toml").write_bytes(data.draw(changed(story_text)).encode())
    with contextlib.suppress(RoomcheckError):
        load_job(folder)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_a_changed_shop_loads_or_says_what_is_wrong(folder, data):
    path = folder / "shop.toml"
    path.write_bytes(data.draw(changed(DEFAULT.read_text(encoding="utf-8"))).encode())
    with contextlib.suppress(RoomcheckError):
        read_shop(path)


@settings(
    max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(blob=st.binary(max_size=60))
def test_any_bytes_load_or_say_what_is_wrong(folder, blob):
    (folder / "job.toml").write_bytes(blob)
    with pytest.raises(RoomcheckError):
        load_job(folder)


def test_brackets_without_end_are_refused(folder):
    (folder / "job.toml").write_text("a = " + "[" * 100_000, encoding="utf-8")
    with pytest.raises(RoomcheckError):
        load_job(folder)


# TOML 1.0, "Integer": 64 bits are carried; Python does not print more than 4,300 digits.
@pytest.mark.parametrize("key", ["name", "length", "budget"])
def test_a_number_beyond_all_bounds_is_a_mistake_with_its_line(tmp_path, key):
    folder = demo(tmp_path / "room").folder
    file = folder / "job.toml"
    lines = file.read_text(encoding="utf-8").splitlines()
    number = next(i for i, line in enumerate(lines) if line.startswith(f"{key} = "))
    lines[number] = f"{key} = 0x{'f' * 4000}"
    file.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(FileMistakes) as caught:
        load_job(folder)
    assert [mistake.line for mistake in caught.value.mistakes] == [number + 1]
