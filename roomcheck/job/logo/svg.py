"""A shop's own drawing, read into the few things that the typesetter draws.

What a program only keeps for itself is left out; what could reach outside of the drawing, run, or
grow without end (links, scripts, entities, copies of parts) is refused with its name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape
from xml.parsers import expat

SVG = "http://www.w3.org/2000/svg"
MOST_ELEMENTS, MOST_DEPTH = 20_000, 40

DRAWN = {
    "svg", "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "defs",
    "linearGradient", "radialGradient", "stop", "clipPath", "style", "title", "desc",
    "text", "tspan",
}  # fmt: skip
REFUSED = {
    "script": "a script",
    "image": "another picture inside it",
    "feImage": "another picture inside it",
    "foreignObject": "a page inside it",
    "iframe": "a page inside it",
    "a": "a link",
    "use": "copies of its own parts; convert them to paths",
    "pattern": "a pattern; convert it to paths",
    "filter": "a filter; flatten it",
    "marker": "markers; convert them to paths",
    "mask": "a mask; use a clipping path",
    "symbol": "symbols; convert them to paths",
    "animate": "an animation",
    "animateTransform": "an animation",
    "animateMotion": "an animation",
    "set": "an animation",
}
_KEPT = {
    "id", "class", "style", "transform", "gradientTransform", "gradientUnits", "spreadMethod",
    "clipPathUnits", "offset", "d", "points", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r",
    "rx", "ry", "fx", "fy", "dx", "dy", "width", "height", "viewBox", "preserveAspectRatio",
    "version", "fill", "fill-rule", "fill-opacity", "stroke", "stroke-width", "stroke-opacity",
    "stroke-linecap", "stroke-linejoin", "stroke-miterlimit", "stroke-dasharray",
    "stroke-dashoffset", "opacity", "color", "display", "visibility", "clip-path", "clip-rule",
    "stop-color", "stop-opacity", "font-family", "font-size", "font-weight", "font-style",
    "text-anchor", "letter-spacing",
}  # fmt: skip
_OWN_PART = re.compile(r"""url\(\s*["']?#[\w.-]+["']?\s*\)""")
_REACHES_OUT = re.compile(r"url\s*\(|@|expression\s*\(|javascript:|\\", re.I)
_SIZE = re.compile(r"\s*(\d+(?:\.\d+)?|\.\d+)(?:px|pt|pc|mm|cm|in|em|ex|%)?\s*")


class NotDrawn(Exception):
    """Why a drawing is not taken."""


def safe_svg(data: bytes) -> bytes:
    """The drawing with what the typesetter draws, and nothing else.

    Raises
    ------
    NotDrawn
    """
    reader = _Reader()
    try:
        reader.parser.Parse(data, True)
    except expat.ExpatError as problem:
        text = expat.errors.messages.get(problem.code, "") or str(problem)
        raise NotDrawn(f"line {problem.lineno}: it is not well-formed XML ({text})") from problem
    except (LookupError, ValueError) as problem:
        raise NotDrawn("its encoding is not known; save it as UTF-8") from problem
    return "".join(reader.written).encode("utf-8")


class _Reader:
    """Writes the drawing again while it is read."""

    def __init__(self) -> None:
        self.written: list[str] = []
        self.open: list[str | None] = []
        """Names of what is open; None for what is left out."""
        self.count = 0
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.EntityDeclHandler = self._entity
        self.parser.ExternalEntityRefHandler = self._entity
        self.parser.SkippedEntityHandler = self._entity

    def _doctype(
        self, name: str, system: str | None, public: str | None, has_internal: bool
    ) -> None:
        if has_internal:
            raise NotDrawn("it defines entities of its own; save it as plain SVG")

    def _entity(self, *_: object) -> int:
        raise NotDrawn("it uses entities of its own; save it as plain SVG")

    def _start(self, name: str, attributes: Mapping[str, str]) -> None:
        space, _, local = name.rpartition(" ")
        self.count += 1
        if self.count > MOST_ELEMENTS or len(self.open) > MOST_DEPTH:
            raise NotDrawn("it has more parts than a logo needs")
        if not self.open and (local != "svg" or space not in (SVG, "")):
            raise NotDrawn("it is no SVG drawing")
        if local in REFUSED:
            raise NotDrawn(f"it holds {REFUSED[local]} (<{local}>)")
        left_out = local not in DRAWN or space not in (SVG, "")
        if left_out or None in self.open:
            self.open.append(None)
            return
        kept = _attributes(local, attributes)
        if not self.open:
            _check_size(kept)
            kept = {"xmlns": SVG, **kept}
        self.open.append(local)
        self.written.append(f"<{local}{''.join(f' {k}={_quoted(v)}' for k, v in kept.items())}>")

    def _end(self, name: str) -> None:
        local = self.open.pop()
        if local is not None:
            self.written.append(f"</{local}>")

    def _text(self, text: str) -> None:
        inside = self.open[-1] if self.open else None
        if inside == "style":
            _check_value("style", text)
        if inside in ("style", "text", "tspan", "title", "desc"):
            self.written.append(escape(text, quote=False))


def _quoted(value: str) -> str:
    """An attribute's value as XML writes it: line ends and tabs would be read as spaces."""
    text = escape(value)
    for sign in "\n\r\t":
        text = text.replace(sign, f"&#{ord(sign)};")
    return f'"{text}"'


def _attributes(element: str, attributes: Mapping[str, str]) -> dict[str, str]:
    kept = {}
    for name, value in attributes.items():
        local = name.rpartition(" ")[2]
        if local.lower().startswith("on"):
            raise NotDrawn(f"it holds a script (`{local}` of <{element}>)")
        if local == "href" and not (element.endswith("Gradient") and value.startswith("#")):
            raise NotDrawn(f"it holds a link (`{local}` of <{element}>)")
        if name in _KEPT:
            _check_value(name, value)
            kept[name] = value
    return kept


def _check_value(name: str, value: str) -> None:
    if _REACHES_OUT.search(_OWN_PART.sub("", value)):
        raise NotDrawn(f"its `{name}` reaches outside of the drawing: {value.strip()[:40]!r}")


def _check_size(attributes: Mapping[str, str]) -> None:
    """A drawing of no size cannot be set."""
    for side in ("width", "height"):
        found = _SIZE.fullmatch(attributes.get(side, "1"))
        if found is None or not _above_zero(found[1]):
            raise NotDrawn(
                f"its `{side}` is {attributes[side]!r}; it must be above 0, such as 40mm"
            )


def _above_zero(text: str) -> bool:
    try:
        return 0 < float(text) < 1e6
    except ValueError:
        return False
