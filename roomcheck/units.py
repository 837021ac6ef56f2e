"""Lengths as people write them, and the bands of the trade.

A length is text with a unit. A bare number is refused: 12 of what?
"""

from __future__ import annotations
