"""The drawing that pieces are placed on, and what they do: at once by the fast formula, then with
the range of the whole prediction."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from roomcheck.chain import Chain, kept_drawn
from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face
from roomcheck.job import Job, Layout, Placement, read_layouts
from roomcheck.page.planning.by_hand import State
from roomcheck.page.planning.plan import PlanPage
from roomcheck.quote import Offer
from roomcheck.recommend import Plan, QuickAnswer, Refused, Site, quick, refusals
from roomcheck.report import html_blocks, plan_sketch, plans_blocks, wall_sketch
from roomcheck.units import band_name, format_length
from roomcheck.words import Reader, limits, money, seconds, sentence


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One piece, as its fields have it."""

    name: str
    piece: str
    face: str
    left: str
    bottom: str
    turns: bool
    pinned: bool


@dataclass(frozen=True, slots=True)
class BandRow:
    """One octave: what is asked, what is likely."""

    title: str
    likely: str
    range: str
    """With 95 % from the whole prediction; empty where that is not worked out."""
    limits: str
    over: bool
    share_pct: float
    """Of the widest bar, for the drawing. [%]"""
    limit_pct: float | None
    """Where the upper limit stands on it. [%]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What the pieces do."""

    refused: tuple[Refused, ...]
    rows: tuple[BandRow, ...] = ()
    mean: str = ""
    price: str = ""
    loud: int = 0
    """First reflections at the seat that stay above their limit."""
    reflections: int = 0
    """So many first reflections there are."""
    waits: bool = False
    """Nothing is known yet: the room is being read."""


@dataclass(frozen=True, slots=True)
class StateRow:
    """One earlier state."""

    number: int
    what: str
    pieces: int
    price: str
    mean: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """All that is shown of pieces that are placed by hand."""

    face: Face
    plan: str
    wall: str
    rows: tuple[PieceRow, ...]
    """Of the pieces on that face first."""
    stock: tuple[str, ...]
    faces: tuple[str, ...]
    effect: Effect
    states: tuple[StateRow, ...]
    forbidden: int
    compared: str = ""
    """Two states side by side."""


def drawing(
    chain: Chain, page: PlanPage, face: str, site: Site | None, aimed: Plan | None = None
) -> Drawing:
    """The drawing of a page's state.

    Parameters
    ----------
    page : PlanPage
        With pieces that may be changed.
    face : str
        Name of the face to look at; one that something hangs on where it is none.
    site : Site or None
        None while the room is being read.
    aimed : Plan or None
        A plan for another budget or target, in place of the page's own.
    """
    job, state = chain.job, page.state
    assert state is not None
    hung = [f for f in job.room.faces if any(p.face == f.name for p in state.pieces)]
    names = [f.name for f in job.room.faces if f.kind != "floor"]
    looked_at = job.room.face(face) if face in names else (hung or list(job.room.faces))[0]
    here = f"?plan={page.number}&face="
    link = f"{here}{quote(looked_at.name, safe='')}&piece="
    return Drawing(
        face=looked_at,
        plan=plan_sketch(job, chosen=looked_at.name, link=here, pieces=state.pieces),
        wall=wall_sketch(job, looked_at, pieces=state.pieces, piece_link=link),
        rows=tuple(
            _piece(job, state, placed)
            for placed in sorted(state.pieces, key=lambda p: p.face != looked_at.name)
        ),
        stock=tuple(piece.name for piece in job.shop.stock),
        faces=tuple(names),
        effect=effect(job, state.pieces, site, page.whole, aimed=aimed),
        states=tuple(_state(chain, layout) for layout in reversed(read_layouts(job.folder))),
        forbidden=len(state.forbidden),
    )


def effect(
    job: Job,
    pieces: tuple[Placement, ...],
    site: Site | None,
    like: Offer | None,
    aimed: Plan | None = None,
) -> Effect:
    """What pieces do; where one may not hang, that alone is said and nothing is priced.

    Parameters
    ----------
    like : Offer or None
        A plan near by with its quote, which the fast formula and the estimate are moved to; these
        very pieces where they are just those.
    aimed : Plan or None
        Just these pieces, predicted in full and not quoted.
    """
    refused = refusals(job, pieces)
    if refused:
        return Effect(refused=refused)
    if site is None:
        return Effect(refused=(), waits=True)
    near = None if like is None else like.plan
    whole = aimed
    if near is not None and _same(near.pieces, pieces):
        whole = near
    found = quick(site, pieces, near)
    price = found.price
    if like is not None and like.plan.price is not None:
        price += like.quote.total - like.plan.price
    asked = bool(site.early)
    mean = f"{seconds(found.mid_s)} s"
    if whole is not None:
        low, high = whole.prediction.mid_low_s, whole.prediction.mid_high_s
        mean = f"{seconds(whole.prediction.mid_likely_s)} s ({limits(low, high)} s)"
    return Effect(
        refused=(),
        rows=_rows(found, whole),
        mean=mean,
        price=money(price, job),
        loud=sum(one.after_db > one.limit_db for one in found.reflections),
        reflections=len(found.reflections) if asked else 0,
    )


def _same(one: tuple[Placement, ...], two: tuple[Placement, ...]) -> bool:
    """Whether the same pieces hang at the same places."""
    return {(p.piece, p.face, p.place) for p in one} == {(p.piece, p.face, p.place) for p in two}


def undrawn(chain: Chain) -> str:
    """The newest state that is not worked out yet, as a base; "" where all are."""
    for layout in reversed(read_layouts(chain.job.folder)):
        if kept_drawn(chain, layout) is None and not refusals(chain.job, layout.pieces):
            return f"state:{layout.number}"
    return ""


def compared(chain: Chain, asked: tuple[int, ...]) -> str:
    """Two states side by side, from kept results; "" where one is not worked out yet.

    Raises
    ------
    RoomcheckError
        There are no two such states.
    """
    layouts = {layout.number: layout for layout in read_layouts(chain.job.folder)}
    if len(asked) != 2 or not set(asked) <= set(layouts):
        raise RoomcheckError("choose two of the states to compare")
    offers = [kept_drawn(chain, layouts[number]) for number in asked]
    there = [offer for offer in offers if offer is not None]
    if len(there) < 2:
        return ""
    plans, totals = [o.plan for o in there], [o.quote.total for o in there]
    return html_blocks(plans_blocks(chain.job, plans, totals)[:2])


def _piece(job: Job, state: State, placed: Placement) -> PieceRow:
    return PieceRow(
        name=placed.name,
        piece=placed.piece,
        face=placed.face,
        left=format_length(placed.place.u_m, job.units),
        bottom=format_length(placed.place.v_m, job.units),
        turns=job.shop.piece(placed.piece).turns,
        pinned=placed.name in state.pinned,
    )


def _state(chain: Chain, layout: Layout) -> StateRow:
    job = chain.job
    what = sentence(layout.act, Reader(units=job.units))
    offer = kept_drawn(chain, layout)
    if offer is None:
        return StateRow(layout.number, what, len(layout.pieces), "", "")
    likely_s = offer.plan.prediction.mid_likely_s
    price = money(offer.quote.total, job)
    return StateRow(layout.number, what, len(layout.pieces), price, f"{seconds(likely_s)} s")


def _rows(found: QuickAnswer, whole: Plan | None) -> tuple[BandRow, ...]:
    ranges = {} if whole is None else {band.band_hz: band for band in whole.prediction.after}
    ends = [value for band in found.bands for value in (band.decay_s, band.high_s) if value]
    widest_s = max(ends, default=1.0)
    rows = []
    for band in found.bands:
        full = ranges.get(band.band_hz)
        low_s, high_s = (None, None) if full is None else (full.low_s, full.high_s)
        known = low_s is not None and high_s is not None
        over = band.decay_s is not None and band.high_s is not None and band.decay_s > band.high_s
        rows.append(
            BandRow(
                title=band_name(band.band_hz),
                likely=seconds(band.decay_s, band.low_s, band.high_s),
                range=limits(low_s, high_s) if known else "",
                limits=limits(band.low_s, band.high_s),
                over=over,
                share_pct=100 * (band.decay_s or 0.0) / widest_s,
                limit_pct=None if band.high_s is None else 100 * band.high_s / widest_s,
            )
        )
    return tuple(rows)
