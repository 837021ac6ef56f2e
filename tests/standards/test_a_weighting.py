"""A-weighting against the printed table."""

from __future__ import annotations

import pytest

from roomcheck.standards.iec_61672_1_2013 import a_weighting_db

# IEC 61672-1, Table 3, A-weighting at the exact base-ten frequencies (memory; the same in every
# acoustics handbook).
TABLE_3 = {
    1.5: -39.4,
    1.8: -26.2,
    2.1: -16.1,
    2.4: -8.6,
    2.7: -3.2,
    3.0: 0.0,
    3.3: 1.2,
    3.6: 1.0,
    3.9: -1.1,
    4.2: -6.6,
}


@pytest.mark.parametrize(("exponent", "printed_db"), TABLE_3.items())
def test_a_weighting_agrees_with_the_table(exponent, printed_db):
    assert float(a_weighting_db(10**exponent)) == pytest.approx(printed_db, abs=0.05001)
