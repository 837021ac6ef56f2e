"""Every word that the documents say: another language is another set of tables.

`say("kept")` gives the text; names in braces are filled in.
"""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.units import band_name
from roomcheck.words.documents.all_jobs import ALL_JOBS
from roomcheck.words.documents.certificate import CERTIFICATE
from roomcheck.words.documents.every_page import EVERY_PAGE
from roomcheck.words.documents.figures import FIGURES
from roomcheck.words.documents.listening import LISTENING
from roomcheck.words.documents.measurement import MEASUREMENT
from roomcheck.words.documents.progress import PROGRESS
from roomcheck.words.documents.proposal import PROPOSAL
from roomcheck.words.documents.screens import SCREENS
from roomcheck.words.documents.shop_sheets import SHOP_SHEETS
from roomcheck.words.documents.site import SITE
from roomcheck.words.numbers import NONE

LANGUAGE = "en"

ENGLISH: dict[str, str] = (
    EVERY_PAGE
    | FIGURES
    | MEASUREMENT
    | PROPOSAL
    | SHOP_SHEETS
    | CERTIFICATE
    | LISTENING
    | SCREENS
    | SITE
    | ALL_JOBS
    | PROGRESS
)


def say(key: str, **values: object) -> str:
    """Return a text of the documents.

    Raises
    ------
    KeyError
        No such text.

    >>> say("scale", scale="1:50")
    'Scale 1:50 when printed at 100 %.'
    """
    text = ENGLISH[key]
    return text.format(**values) if values else text


def mean_name(bands_hz: Sequence[float]) -> str:
    """Return the name of a mean decay by its octaves; of a single octave, its own.

    >>> mean_name((500.0, 1000.0)), mean_name((500.0,))
    ('mean of 500 Hz and 1 kHz', '500 Hz')
    """
    names = [band_name(hz) for hz in bands_hz]
    if len(names) == 1:
        return names[0]
    return say("mean_of", bands=f"{', '.join(names[:-1])} and {names[-1]}")


def yes_no(answer: bool | None) -> str:
    """Return an answer in a word; a dash where it is not known."""
    if answer is None:
        return NONE
    return say("yes" if answer else "no")


def items(key: str) -> tuple[str, ...]:
    """Return a text that is a list."""
    return tuple(ENGLISH[key].split("|"))
