"""Facts to sentences, for a client, a contractor or an acoustician; no other stage makes any."""

from __future__ import annotations

from roomcheck.words.reader import Reader
from roomcheck.words.saying import sentence, sentences

__all__ = ["Reader", "sentence", "sentences"]
