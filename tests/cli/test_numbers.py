"""Whole numbers as somebody types them: signs that only look like digits are no number."""

from __future__ import annotations

import pytest

from roomcheck.cli.site.onsite import _people
from roomcheck.errors import RoomcheckError


@pytest.mark.parametrize("said", ["²", "①", "-1", "1.5", "", "two", "1 2"])
def test_people_are_counted_in_whole_numbers(said):
    with pytest.raises(RoomcheckError):
        _people(said, None)


def test_a_count_is_read():
    assert (_people("0", None), _people("12", None)) == (0, 12)
