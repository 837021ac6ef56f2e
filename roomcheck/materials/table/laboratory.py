"""How well a reverberation room knows an absorption: ISO 12999-2:2020.

As transcribed in an open measurement library, and held against the worked example of the document
(its Table 4) by a test.
"""

from __future__ import annotations

REPRODUCIBILITY = {
    63.0: (0.450, 0.015),
    125.0: (0.180, 0.015),
    250.0: (0.090, 0.015),
    500.0: (0.050, 0.015),
    1000.0: (0.040, 0.015),
    2000.0: (0.035, 0.021),
    4000.0: (0.030, 0.040),
}
"""m and n of ISO 12999-2:2020, Table 1, in the one-third octave at each octave's middle. [1]"""


def reproducibility_sd(band_hz: float, coefficient: float) -> float:
    r"""Standard deviation between laboratories that measure the same specimen after ISO 354.

    Parameters
    ----------
    band_hz : float
        Octave from 63 Hz to 4 kHz. [Hz]
    coefficient : float
        Sabine absorption coefficient. [1]

    Returns
    -------
    float
        :math:`\sigma_R = m\,\alpha + n`; the document's expanded uncertainty is twice that. [1]

    References
    ----------
    ISO 12999-2:2020, Formula (1) and Table 1.

    >>> round(2 * reproducibility_sd(500, 0.49), 2)
    0.08
    """
    m, n = REPRODUCIBILITY[band_hz]
    return m * coefficient + n
