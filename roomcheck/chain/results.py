"""One job's results, in the order of the stages."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import roomcheck
from roomcheck.chain.inputs import all_of, digest, file_digest, job_inputs, takes_digest
from roomcheck.chain.kept import Results, keeping_takes
from roomcheck.chain.layouts import draw, kept_drawn
from roomcheck.chain.method import method_of
from roomcheck.chain.steps import Activity, Progress, Steps
from roomcheck.chain.two_cores import each
from roomcheck.errors import RoomcheckError
from roomcheck.job import (
    AlreadySigned,
    Job,
    Lesson,
    Placement,
    change_paths,
    has_takes,
    holding,
    load_job,
    own_shop,
    read_changes,
    read_layouts,
    read_signed,
    signed_path,
    write_signed,
)
from roomcheck.plain import to_plain

if TYPE_CHECKING:
    from roomcheck.analyse import Analysis
    from roomcheck.chain.documents import Documents
    from roomcheck.judge import Verdict
    from roomcheck.measure import Measurement, Visited
    from roomcheck.predict import Outlook, Prediction
    from roomcheck.quote import Agreement, ChangeOrder, Offer, Quote
    from roomcheck.recommend import Plan, Site
    from roomcheck.report import Choice
    from roomcheck.verify import Verification
    from roomcheck.workshop import BuildSheet

T = TypeVar("T")


MOST_PLANS = 5
"""No job gets more plans to choose from, what a person placed included: a number beyond is refused
before any is made."""


class NoSuchPlan(RoomcheckError):
    """A plan that was not among those proposed."""

    def __init__(self, number: int, titles: tuple[str, ...]) -> None:
        self.number, self.titles = number, titles
        offered = "; ".join(f"{i}: {title}" for i, title in enumerate(titles, 1))
        among = (
            f"there are {len(titles)} plans ({offered})"
            if titles
            else f"a job has {MOST_PLANS} plans at most, counted from 1"
        )
        super().__init__(f"plan {number}: {among}; choose one by its number")


class NotSigned(RoomcheckError):
    """A promise that was never signed."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"{folder}: nothing is signed yet, so there is no promise to hold the room against; "
            f"keep what the client accepts with: roomcheck quote {folder} --sign NAME"
        )


def open_job(
    folder: Path | str,
    plan: int | None = None,
    *,
    compare_anyway: bool = False,
    speech_snr_db: tuple[float, ...] | None = None,
    on_step: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Chain:
    """Open a job folder; its results are computed when they are asked for, and kept there.

    Parameters
    ----------
    folder : Path or str
    plan : int or None
        Number of the plan to build, from 1; None for the signed one, or the usual one where nothing
        is signed.
    compare_anyway : bool
        Judge the promise although the visits differed in what cannot be taken off.
    speech_snr_db : (7,) or None
        Speech over noise where it is known, octaves 125 Hz to 8 kHz. [dB]
    on_step : callable or None
        Gets a `Step` when a part of the work begins and when it is done.
    stop : callable or None
        Asked between the steps; where it returns True the work ends with `Stopped`.

    Returns
    -------
    Chain

    Raises
    ------
    RoomcheckError
        The job file is missing or holds mistakes, or the plan's number is below 1.
    """
    return Chain(
        job=load_job(folder),
        chosen=plan,
        compare_anyway=compare_anyway,
        speech_snr_db=speech_snr_db,
        steps=Steps(on_step=on_step, stop=stop),
    )


@dataclass(frozen=True, kw_only=True)
class Chain:
    """One job's results: each is computed once, when it is first asked for, and kept in `results/`
    under a digest of the files, settings and source that it was made from."""

    job: Job
    chosen: int | None = None
    """Number of the plan to build, from 1; None for the signed one, else the usual one."""
    compare_anyway: bool = False
    """Judge the promise although the visits differed in what cannot be taken off."""
    speech_snr_db: tuple[float, ...] | None = None
    """Speech over noise where it is known, octaves 125 Hz to 8 kHz; shape (7,) [dB]."""
    steps: Steps = field(default_factory=Steps)

    def __post_init__(self) -> None:
        if self.chosen is not None and not 1 <= self.chosen <= MOST_PLANS:
            raise NoSuchPlan(self.chosen, ())

    def with_job(self, job: Job) -> Chain:
        """The same questions to a changed job."""
        return replace(self, job=job)

    # --- the visits

    def has_takes(self, visit: str) -> bool:
        """Whether anything was recorded at a visit, "before" or "after"."""
        return has_takes(self.job.folder, visit)

    @cached_property
    def before_takes(self) -> tuple[Measurement, ...]:
        """Every response of the visit before the work; with their samples, so never kept."""
        return self._takes("before")

    @cached_property
    def after_takes(self) -> tuple[Measurement, ...]:
        """Every response of the visit after the work; with their samples, so never kept."""
        return self._takes("after")

    @cached_property
    def before(self) -> Analysis:
        """The visit before the work, analysed."""
        return self._analysis("before")

    @cached_property
    def after(self) -> Analysis:
        """The visit after the work, analysed."""
        return self._analysis("after")

    @cached_property
    def verdict(self) -> Verdict:
        """The visit before the work against the target."""
        return self._verdict("before")

    @cached_property
    def verdict_after(self) -> Verdict:
        """The visit after the work against the target."""
        return self._verdict("after")

    def kept_findings(self, visit: str) -> tuple[Analysis, Verdict] | None:
        """Analysis and verdict of a visit as they are kept; None where there are none of today's
        files, and nothing is computed."""
        from roomcheck.analyse import Analysis
        from roomcheck.judge import Verdict

        if not self.has_takes(visit):
            return None
        suffix = "" if self.speech_snr_db is None else "-speech"
        name = "verdict" if visit == "before" else "verdict-after"
        made_from = self.analysis_from(visit)
        analysis = self.results.read(f"analysis-{visit}{suffix}", made_from, Analysis)
        verdict = self.results.read(f"{name}{suffix}", self.verdict_from(visit), Verdict)
        return None if analysis is None or verdict is None else (analysis, verdict)

    def kept_plans(self) -> tuple[Offer, ...] | None:
        """The plans with their prices as they are kept, the signed ones where something is signed;
        None where there are none of today's files, and nothing is computed."""
        from roomcheck.quote import Offer, Quote

        if self.agreement is not None:
            return self.offered
        plans = self.kept_found()
        if plans is None:
            return None
        quotes = self.results.read("quotes", self._quotes_from(digest(plans)), tuple[Quote, ...])
        if quotes is None:
            return None
        found = [Offer(plan=p, quote=q) for p, q in zip(plans, quotes, strict=True)]
        newest = read_layouts(self.job.folder)[-1:]
        placed = [kept_drawn(self, layout) for layout in newest]
        return (*found, *(offer for offer in placed if offer is not None))

    def kept_found(self) -> tuple[Plan, ...] | None:
        """The plan set as it is kept, priced or not; None where there is none of today's files, and
        nothing is computed."""
        from roomcheck.recommend import Plan

        if not self.has_takes("before"):
            return None
        return self.results.read("plans", self._plans_from, tuple[Plan, ...])

    def kept_sheet(self) -> BuildSheet | None:
        """The signed plan's build sheet as it is kept; None where nothing is signed or there is
        none of today's files, and nothing is computed."""
        from roomcheck.workshop import BuildSheet

        if self.agreed is None:
            return None
        made_from = self._sheet_from(self.agreed.plan)
        return self.results.read("build-sheet", made_from, BuildSheet)

    def kept_verification(self) -> Verification | None:
        """The promise against the second visit as it is kept, compared anyway or not; None where
        nothing is signed or there is none of today's files, and nothing is computed."""
        from roomcheck.verify import Verification

        if self.agreement is None or not self.results.path("verification").is_file():
            return None
        for anyway in (False, True):
            made_from = replace(self, compare_anyway=anyway)._verification_from
            found = self.results.read("verification", made_from, Verification)
            if found is not None:
                return found
        return None

    def kept_lesson(self) -> Lesson | None:
        """What this job teaches as it is kept; None where nothing is signed or there is none of
        today's files, and nothing is computed."""
        if self.agreed is None or not self.results.path("lesson").is_file():
            return None
        made_from = self._lesson_from(self.agreed.plan.pieces)
        return self.results.read("lesson", made_from, Lesson)

    # --- plans

    @cached_property
    def site(self) -> Site:
        """The room as the planner sees it, for questions about changes; never kept."""
        from roomcheck.recommend import Site

        job, before, verdict = self.job, self.before, self.verdict
        with self.steps.step(Activity.CALIBRATE):
            return Site.of(job, before, verdict, self.steps.parts(Activity.CALIBRATE))

    def forget_site(self) -> None:
        """Let go of what `site` holds; it is worked out again where it is asked for."""
        self.__dict__.pop("site", None)

    def forget_takes(self) -> None:
        """Let go of the takes that were read; they are read again where they are asked for."""
        self._visits.clear()
        for takes in ("before_takes", "after_takes"):
            self.__dict__.pop(takes, None)

    @cached_property
    def plans(self) -> tuple[Plan, ...]:
        """The plans to choose from: those that were found, and what a person placed."""
        return (*self.found, *(offer.plan for offer in self.placed))

    @cached_property
    def placed(self) -> tuple[Offer, ...]:
        """The newest state of the pieces that a person placed, planned and priced; nothing where
        there is none, or where a piece may no longer hang there."""
        from roomcheck.recommend import CannotHang

        try:
            return tuple(draw(self, layout) for layout in read_layouts(self.job.folder)[-1:])
        except CannotHang:
            return ()

    @cached_property
    def found(self) -> tuple[Plan, ...]:
        """The plan set of the job as it is today, made once."""
        from roomcheck.recommend import Plan

        made_from = self._plans_from
        kept = self.results.read("plans", made_from, tuple[Plan, ...])
        return self._make_plans(made_from) if kept is None else kept

    @cached_property
    def plan(self) -> Plan:
        """The chosen plan, the signed one as its change orders left it, or the usual one, in this
        order."""
        if self.chosen is None and self.agreed is not None:
            return self.agreed.plan
        return self.proposed

    @cached_property
    def proposed(self) -> Plan:
        """The chosen plan or the usual one, whatever is signed."""
        return self.plans[self._number(self.plans) - 1]

    @cached_property
    def prediction(self) -> Prediction:
        """What the plan will measure, band by band."""
        return self.plan.prediction

    @cached_property
    def outlook(self) -> Outlook:
        """All that can be said of the plan before it hangs; of the room as it is where nothing was
        recorded yet."""
        return self.outlook_with(second=False)

    def outlook_with(self, *, second: bool) -> Outlook:
        """As `outlook`; with `second`, checked by another program's ray tracing too."""
        from roomcheck.predict import Outlook

        if second:
            from roomcheck.predict import tracer

            tracer()  # refused before anything is computed where there is none
        analysis = self.before if self.has_takes("before") else None
        pieces = self.plan.pieces if analysis is not None else ()
        seen = self.analysis_from("before") if analysis is not None else ""
        inputs = job_inputs(self.job, ("predict", "analyse"))
        made_from = digest([seen, pieces, inputs, second, method_of("predict")])

        def compute() -> Outlook:
            from roomcheck.predict import outlook

            with self.steps.step(Activity.SIMULATE):
                parts = self.steps.parts(Activity.SIMULATE)
                return outlook(self.job, pieces, analysis, second=second, on_part=parts)

        return self._kept("outlook", made_from, Outlook, compute)

    # --- the shop and the money

    @cached_property
    def sheet(self) -> BuildSheet:
        """What the shop cuts, buys and hangs for the plan."""
        from roomcheck.workshop import BuildSheet

        plan = self.plan
        made_from = self._sheet_from(plan)
        name = "build-sheet" if self.chosen is None else f"build-sheet-plan-{self.chosen}"
        return self._kept(name, made_from, BuildSheet, lambda: self._build(plan))

    @cached_property
    def placed_sheet(self) -> BuildSheet | None:
        """What the shop builds and hangs where a person put it, before anything is measured; None
        where nothing was placed."""
        from roomcheck.workshop import BuildSheet, build_placed

        pieces = self.placed_before
        if not pieces:
            return None
        made_from = digest([pieces, job_inputs(self.job, ("workshop",)), method_of("workshop")])

        def compute() -> BuildSheet:
            with self.steps.step(Activity.BUILD):
                return build_placed(self.job, pieces)

        return self._kept("build-sheet-placed", made_from, BuildSheet, compute)

    @property
    def placed_before(self) -> tuple[Placement, ...]:
        """Pieces as a person placed them last, else those pinned in the job's file."""
        for layout in read_layouts(self.job.folder)[-1:]:
            return layout.pieces
        return tuple(
            Placement(name=f"A{i}", piece=pin.piece, face=pin.face, place=pin.place)
            for i, pin in enumerate(self.job.pins, 1)
        )

    @cached_property
    def quotes(self) -> tuple[Quote, ...]:
        """One price for each of `plans`, at today's prices."""
        from roomcheck.quote import Quote

        made_from = self._quotes_from(digest(self.found))
        found = self._kept("quotes", made_from, tuple[Quote, ...], self._price_all)
        return (*found, *(offer.quote for offer in self.placed))

    @cached_property
    def quote(self) -> Quote:
        """As signed, with its change orders, where the signed plan is asked for; else of the plan,
        at today's prices."""
        if self.chosen is None and self.agreed is not None:
            return self.agreed.quote
        return self.quotes[self._number(self.plans) - 1]

    # --- what was signed, and whether it is kept

    @cached_property
    def agreement(self) -> Agreement | None:
        """What was signed; None where nothing is.

        Raises
        ------
        RoomcheckError
            The file is there and cannot be read.
        """
        from roomcheck.quote import Agreement, flaws

        signed = read_signed(self.job.folder)
        if signed is None:
            return None
        agreement = signed.value(Agreement)
        mistakes = flaws(agreement, self.job.room)
        if mistakes:
            raise signed.mistakes(mistakes)
        return agreement

    @cached_property
    def changes(self) -> tuple[ChangeOrder, ...]:
        """What was signed after the agreement.

        Raises
        ------
        RoomcheckError
            One of the files cannot be read.
        """
        from roomcheck.quote import read_change_orders

        return read_change_orders(self.job.folder, self.job.room)

    @cached_property
    def agreed(self) -> Agreement | None:
        """What holds today: what was signed, with its change orders; None where nothing is."""
        from roomcheck.quote import as_changed

        return None if self.agreement is None else as_changed(self.agreement, self.changes)

    @property
    def standing(self) -> Agreement:
        """The same, where something is signed.

        Raises
        ------
        NotSigned
        """
        if self.agreed is None:
            raise NotSigned(self.job.folder)
        return self.agreed

    @property
    def first_signed(self) -> Agreement:
        """What was signed, before any change order.

        Raises
        ------
        NotSigned
        """
        if self.agreement is None:
            raise NotSigned(self.job.folder)
        return self.agreement

    def forget_changes(self) -> None:
        """Read what is signed again when it is next asked for."""
        for made_before in ("agreement", "changes", "agreed", "offered", "plan", "quote", "sheet"):
            self.__dict__.pop(made_before, None)

    @cached_property
    def changed_by_hand(self) -> tuple[Path, ...]:
        """Signed files that no longer say what was signed, by their own digest."""
        signed = read_signed(self.job.folder)
        papers = (*((signed,) if signed else ()), *read_changes(self.job.folder))
        return tuple(paper.path for paper in papers if paper.by_hand)

    @cached_property
    def offered(self) -> tuple[Offer, ...]:
        """The options that the client chooses among, or chose among.

        After signing they stand as they stood then, and after a change of pieces what was changed
        too; where the agreement is older than that, the signed plan alone. Who chooses a plan by
        its number sees those of today.
        """
        from roomcheck.quote import Offer

        if self.agreed is None or self.agreement is None or self.chosen is not None:
            pairs = zip(self.plans, self.quotes, strict=True)
            return tuple(Offer(plan=plan, quote=quote) for plan, quote in pairs)
        signed = Offer(plan=self.agreement.plan, quote=self.agreement.quote)
        offered = self.agreement.offered or (signed,)
        if self.agreed.plan == self.agreement.plan:
            return offered
        return (*offered, Offer(plan=self.agreed.plan, quote=self.agreed.quote))

    def sign(self, name: str, day: str, signature: str = "") -> Agreement:
        """Keep plan, promise, price and the options beside it as accepted, once.

        Parameters
        ----------
        name : str
            Who accepts it.
        day : str
            ISO 8601.
        signature : str
            As drawn by hand, an SVG path; "" where the name alone was typed.

        Raises
        ------
        AlreadySigned
            Something is signed already; it stays as it is.
        SignatureError
            What was drawn is none.
        """
        from roomcheck.quote import Agreement, Offer
        from roomcheck.typed import parse_signature

        if signed_path(self.job.folder).exists():
            raise AlreadySigned(signed_path(self.job.folder))
        pairs = zip(self.plans, self.quotes, strict=True)
        agreement = Agreement(
            signed_on=day,
            signed_by=name,
            method=f"roomcheck {roomcheck.__version__}",
            plan=self.plan,
            quote=self.quote,
            offered=tuple(Offer(plan=plan, quote=quote) for plan, quote in pairs),
            signature=parse_signature(signature),
        )
        with holding(self.job.folder):
            write_signed(self.job.folder, to_plain(agreement), own_shop(self.job))
        self.forget_changes()
        return agreement

    @cached_property
    def verification(self) -> Verification:
        """Before, after and the signed promise.

        Raises
        ------
        NotSigned
        """
        from roomcheck.verify import Verification

        agreement = self.standing

        def compute() -> Verification:
            from roomcheck.verify import verify

            before, after = self.before, self.after
            with self.steps.step(Activity.VERIFY):
                return verify(
                    self.job, before, after, agreement, compare_anyway=self.compare_anyway
                )

        return self._kept("verification", self._verification_from, Verification, compute)

    @cached_property
    def lesson(self) -> Lesson:
        """What this job says of how the shop's pieces really absorb.

        Raises
        ------
        NotSigned
        """
        from roomcheck.verify import learn

        pieces = self.standing.plan.pieces

        def compute() -> Lesson:
            before, after = self.before, self.after
            with self.steps.step(Activity.LEARN):
                parts = self.steps.parts(Activity.LEARN)
                return learn(self.job, before, after, pieces, on_part=parts)

        return self._kept("lesson", self._lesson_from(pieces), Lesson, compute)

    @cached_property
    def documents(self) -> Documents:
        """Every document that the job allows, set again only where something in it changed."""
        from roomcheck.chain.documents import set_documents

        return set_documents(self)

    def documents_of(self, choice: Choice) -> Documents:
        """The documents that are asked for, set anew; the others stay as they are.

        Raises
        ------
        NoSuchDocument
            The job makes none of that name.
        """
        from roomcheck.chain.documents import set_some

        return set_some(self, choice)

    # --- what each was made from

    @cached_property
    def documents_from(self) -> str:
        """A digest of all that the documents can show."""
        analyses = [self.analysis_from(v) for v in ("before", "after") if self.has_takes(v)]
        plans = ("", "")
        if self._shows_todays_plans:
            plans = (self._plans_from, self._plans_digest)
        return digest(
            [
                all_of(self.job),
                self.chosen,
                analyses,
                *plans,
                *self._signed_from,
                self.compare_anyway,
                method_of("report"),
            ]
        )

    @property
    def _shows_todays_plans(self) -> bool:
        asked = self.chosen is not None or not signed_path(self.job.folder).exists()
        return asked and self.has_takes("before")

    @cached_property
    def results(self) -> Results:
        """Where the job's results are kept."""
        return Results(folder=self.job.folder / "results")

    def analysis_from(self, visit: str) -> str:
        """A digest of all that a visit's analysis depends on."""
        takes = self._takes_from[visit]
        inputs = job_inputs(self.job, ("measure", "analyse"), visit)
        return digest([visit, takes, inputs, self.speech_snr_db, method_of("analyse")])

    @cached_property
    def _takes_from(self) -> dict[str, str]:
        return {visit: takes_digest(self.job, visit) for visit in ("before", "after")}

    def verdict_from(self, visit: str) -> str:
        """A digest of all that a visit's verdict depends on."""
        inputs = job_inputs(self.job, ("judge",), visit)
        return digest([self.analysis_from(visit), inputs, method_of("judge")])

    @cached_property
    def _plans_from(self) -> str:
        inputs = job_inputs(self.job, ("recommend", "predict"))
        return digest([self.verdict_from("before"), inputs, method_of("recommend")])

    @cached_property
    def _plans_digest(self) -> str:
        """Of the set itself: a search that was given a time may end anywhere."""
        return digest(self.plans)

    def _quotes_from(self, plans: str) -> str:
        inputs = job_inputs(self.job, ("workshop", "quote"))
        return digest([self._plans_from, plans, inputs, method_of("quote")])

    @property
    def sheet_from(self) -> str:
        """A digest of all that the build sheet of what is agreed depends on; "" where nothing
        is."""
        return "" if self.agreed is None else self._sheet_from(self.agreed.plan)

    def _sheet_from(self, plan: Plan) -> str:
        return digest([plan, job_inputs(self.job, ("workshop",)), method_of("workshop")])

    @property
    def _verification_from(self) -> str:
        visits = [self.analysis_from("before"), self.analysis_from("after")]
        inputs = job_inputs(self.job, ("verify",))
        signed = self._signed_from
        return digest([visits, inputs, *signed, self.compare_anyway, method_of("verify")])

    @property
    def _signed_from(self) -> list[str]:
        """Digests of the agreement's file and of those of its change orders."""
        paths = (signed_path(self.job.folder), *change_paths(self.job.folder))
        return [file_digest(path) for path in paths]

    def _lesson_from(self, pieces: tuple[Placement, ...]) -> str:
        inputs = job_inputs(self.job, ("verify", "predict"))
        name = self.job.folder.absolute().name
        visits = [self.analysis_from("before"), self.analysis_from("after")]
        return digest([visits, pieces, inputs, name, method_of("verify")])

    # --- how each is made

    def _kept(self, name: str, made_from: str, kind: type[T], compute: Callable[[], T]) -> T:
        kept = self.results.read(name, made_from, kind)
        if kept is not None:
            return kept
        return self.results.write(name, made_from, kind, compute())

    def _takes(self, visit: str) -> tuple[Measurement, ...]:
        return self._visited(visit).measurements

    def _visited(self, visit: str) -> Visited:
        from roomcheck.measure import visited

        if visit not in self._visits:
            with self.steps.step(Activity.READ), keeping_takes(self.job):
                self._visits[visit] = visited(self.job, visit, self.steps.parts(Activity.READ))
        return self._visits[visit]

    @cached_property
    def _visits(self) -> dict[str, Visited]:
        """Visits as they were read, by name."""
        return {}

    def _analysis(self, visit: str) -> Analysis:
        from roomcheck.analyse import Analysis

        made_from = self.analysis_from(visit)
        name = f"analysis-{visit}" if self.speech_snr_db is None else f"analysis-{visit}-speech"
        kept = self.results.read(name, made_from, Analysis)
        if kept is not None:
            return kept
        from roomcheck.analyse import analyse, without
        from roomcheck.measure import noise_takes

        takes = self.before_takes if visit == "before" else self.after_takes
        with self.steps.step(Activity.ANALYSE):
            noise = noise_takes(self.job, visit)
            analysis = analyse(
                takes,
                job=self.job,
                visit=visit,
                noise=noise,
                speech_snr_db=self.speech_snr_db,
                on_part=self.steps.parts(Activity.ANALYSE),
                each=each,
            )
        analysis = without(analysis, self._visited(visit).unread)
        if takes_digest(self.job, visit) != self._takes_from[visit]:
            return analysis  # a take came or went meanwhile: nobody knows what it was made from
        return self.results.write(name, made_from, Analysis, analysis)

    def _verdict(self, visit: str) -> Verdict:
        from roomcheck.judge import Verdict

        def compute() -> Verdict:
            from roomcheck.judge import judge

            analysis = self.before if visit == "before" else self.after
            with self.steps.step(Activity.JUDGE):
                return judge(analysis, self.job)

        name = "verdict" if visit == "before" else "verdict-after"
        name = name if self.speech_snr_db is None else f"{name}-speech"
        return self._kept(name, self.verdict_from(visit), Verdict, compute)

    def _make_plans(self, made_from: str) -> tuple[Plan, ...]:
        from roomcheck.predict import forget_paths
        from roomcheck.recommend import Plan, plans_of

        site = self.site
        with self.steps.step(Activity.PLAN):
            plans = plans_of(site, on_part=self.steps.parts(Activity.PLAN))
        forget_paths()
        return self.results.write("plans", made_from, tuple[Plan, ...], plans)

    def _number(self, plans: tuple[Any, ...]) -> int:
        number = self._usual() if self.chosen is None else self.chosen
        if number > len(plans):
            from roomcheck.words import Reader, plan_title

            reader = Reader(units=self.job.units)
            raise NoSuchPlan(number, tuple(plan_title(plan, reader) for plan in plans))
        return number

    def _usual(self) -> int:
        """Number of the plan that is proposed where nobody chose: what the target needs."""
        from roomcheck.recommend import AIMED

        return next(i for i, plan in enumerate(self.plans, 1) if plan.kind in AIMED)

    def built(self, plan: Plan) -> BuildSheet:
        """The build sheet of any plan; the one that stands as it is kept."""
        from roomcheck.workshop import BuildSheet

        standing = self.agreed is not None and self.agreed.plan == plan
        if standing:
            made_from = self._sheet_from(plan)
            return self._kept("build-sheet", made_from, BuildSheet, lambda: self._build(plan))
        return self._build(plan)

    def _build(self, plan: Plan) -> BuildSheet:
        from roomcheck.workshop import build

        with self.steps.step(Activity.BUILD):
            return build(self.job, plan)

    def _price_all(self) -> tuple[Quote, ...]:
        return tuple(self._price(plan, i) for i, plan in enumerate(self.found))

    def _price(self, plan: Plan, i: int) -> Quote:
        from roomcheck.quote import quote
        from roomcheck.workshop import build

        with self.steps.step(Activity.PRICE, i, len(self.found)):
            return quote(self.job, plan, build(self.job, plan))
