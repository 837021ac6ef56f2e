"""The line finder agrees with tomllib on what there is, and with the eye on where it stands."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roomcheck.job.read.shop_file import DEFAULT
from roomcheck.job.toml.lines import find_lines

# Forms of TOML 1.0.0 (its published specification): every kind of key, string, array and table.
TEXT = '''# one
a = 1
"b c".d = "x # no comment"   # comment
'e' = { f = 1, g.h = [1,
  2], i = "]" }
j = """
two
"""
k = [ # first
  """q""""", '#',

  [ { l = 1 }, { l = 2 } ],
]

[m.n]
o = 1979-05-27 07:32:00
[[p]]
q = 1
[[p.r]]
s = 1
[[p.r]]
[[p]]
[p.t]
u.v = \'\'\'
z\'\'\'
'''
LINES = {
    ("a",): 2,
    ("b c",): 3,
    ("b c", "d"): 3,
    ("e", "f"): 4,
    ("e", "g", "h", 0): 4,
    ("e", "g", "h", 1): 5,
    ("e", "i"): 5,
    ("j",): 6,
    ("k",): 9,
    ("k", 0): 10,
    ("k", 1): 10,
    ("k", 2): 12,
    ("k", 2, 1, "l"): 12,
    ("m",): 15,
    ("m", "n", "o"): 16,
    ("p",): 17,
    ("p", 0): 17,
    ("p", 0, "q"): 18,
    ("p", 0, "r", 0, "s"): 20,
    ("p", 0, "r", 1): 21,
    ("p", 1): 22,
    ("p", 1, "t"): 23,
    ("p", 1, "t", "u", "v"): 24,
}


def ways(value, way=()):
    """Every way through what tomllib read."""
    inner = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    )
    for key, item in inner:
        yield (*way, key)
        yield from ways(item, (*way, key))


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_every_form_has_its_line(end):
    text = TEXT.replace("\n", end)
    lines = find_lines(text)
    assert {way: lines[way] for way in LINES} == LINES
    assert set(lines) == set(ways(tomllib.loads(text)))


def test_every_value_of_real_files_has_a_line(story_text):
    for text in (story_text, DEFAULT.read_text(encoding="utf-8")):
        data = tomllib.loads(text)
        lines = find_lines(text)
        assert set(lines) == set(ways(data))
        for way, line in lines.items():
            if isinstance(way[-1], str):
                assert way[-1] in text.splitlines()[line - 1]


leaves = (
    st.booleans() | st.integers(-(10**9), 10**9) | st.text(st.characters(codec="utf-8"), max_size=8)
)
keys = st.text(st.characters(codec="utf-8"), max_size=6)
trees = st.dictionaries(
    keys,
    st.recursive(leaves, lambda s: st.lists(s, max_size=3) | st.dictionaries(keys, s, max_size=3)),
)


@given(trees)
def test_whatever_toml_can_hold_is_found(tree):
    import tomlkit

    text = tomlkit.dumps(tree)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return  # what wrote it knows more than the standard
    assert set(find_lines(text)) == set(ways(data))
