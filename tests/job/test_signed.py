"""What was signed is written once and read back as it was."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

import pytest

from roomcheck.geometry import Rectangle
from roomcheck.job import AlreadySigned, FileMistakes, Placement, read_signed, write_signed
from roomcheck.plain import to_plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """Stands for an agreement."""

    signed_by: str
    total: Decimal
    low_s: float | None
    places: tuple[Placement, ...]
    pairs: tuple[tuple[float, float], ...]
    reached: bool


PAPER = Paper(
    signed_by='Client "A"\\ – 70 °F\n',
    total=Decimal("4199.90"),
    low_s=None,
    places=(
        Placement(
            name="A1", piece="4 in panel", face="south", place=Rectangle(0.1, 1 / 3, math.pi, 2.0)
        ),
    ),
    pairs=((125.0, 0.1 + 0.2), (1e-9, 4000.0)),
    reached=True,
)


def test_nothing_signed_is_none(folder):
    assert read_signed(folder) is None


def test_what_was_signed_comes_back_to_the_last_digit(folder):
    path = write_signed(folder, to_plain(PAPER))
    assert path == folder / "signed" / "agreement.toml"
    assert "low_s" not in read_signed(folder).plain
    assert read_signed(folder).value(Paper) == PAPER


def test_nothing_is_signed_twice(folder):
    path = write_signed(folder, to_plain(PAPER))
    before = path.read_bytes()
    with pytest.raises(AlreadySigned, match=r"never overwritten.*move this file"):
        write_signed(folder, {"signed_by": "another"})
    assert path.read_bytes() == before and list(path.parent.iterdir()) == [path]


def test_none_inside_a_list_has_no_place_in_toml(folder):
    with pytest.raises(ValueError, match=r"plain\.a holds None"):
        write_signed(folder, {"a": [1.0, None]})
    assert not (folder / "signed").exists()


def test_a_spoilt_file_says_so(folder):
    (folder / "signed").mkdir()
    (folder / "signed" / "agreement.toml").write_text("signed_by = ", encoding="utf-8")
    with pytest.raises(FileMistakes, match=r"agreement\.toml, line 1: not TOML"):
        read_signed(folder)
