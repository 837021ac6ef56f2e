"""The chain of stages for one job, each computed when it is first asked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import step
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, Lesson, load_job, read_signed
from roomcheck.plain import from_plain

if TYPE_CHECKING:
    from roomcheck.analyse import Analysis
    from roomcheck.judge import Verdict
    from roomcheck.measure import Measurement
    from roomcheck.quote import Agreement, Quote
    from roomcheck.recommend import Plan, Site
    from roomcheck.verify import Verification
    from roomcheck.workshop import BuildSheet


class NoSuchPlan(RoomcheckError):
    """A plan that was not among those proposed."""

    def __init__(self, number: int, titles: tuple[str, ...]) -> None:
        self.number, self.titles = number, titles
        offered = "; ".join(f"{i}: {title}" for i, title in enumerate(titles, 1))
        super().__init__(
            f"plan {number}: there are {len(titles)} plans ({offered}); choose one by its number"
        )


class NotSigned(RoomcheckError):
    """A promise that was never signed."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"{folder}: nothing is signed yet, so there is no promise to hold the room against; "
            f"keep what the client accepts with: roomcheck quote {folder} --sign NAME"
        )


@dataclass(frozen=True)
class Chain:
    """One job's results.

    Attributes
    ----------
    job : Job
    chosen : int or None
        Number of the plan to build, from 1; the signed one where None and something is signed, else
        what the target needs.
    compare_anyway : bool
        Judge the promise although the visits differed in what cannot be taken off.
    speech_snr_db : (7,) or None
        Speech over noise where it is known, octaves 125 Hz to 8 kHz. [dB]
    """

    job: Job
    chosen: int | None = None
    compare_anyway: bool = False
    speech_snr_db: tuple[float, ...] | None = None

    @classmethod
    def of(
        cls,
        folder: str,
        chosen: int | None = None,
        *,
        speech_snr_db: tuple[float, ...] | None = None,
    ) -> Chain:
        return cls(load_job(folder), chosen, speech_snr_db=speech_snr_db)

    def has_takes(self, visit: str) -> bool:
        return any((self.job.folder / "takes" / visit).glob("*.toml"))

    @cached_property
    def before_takes(self) -> tuple[Measurement, ...]:
        return self._measured("before")

    @cached_property
    def after_takes(self) -> tuple[Measurement, ...]:
        return self._measured("after")

    @cached_property
    def before(self) -> Analysis:
        return self._analysed("before", self.before_takes)

    @cached_property
    def after(self) -> Analysis:
        return self._analysed("after", self.after_takes)

    @cached_property
    def verdict(self) -> Verdict:
        from roomcheck.judge import judge

        return judge(self.before, self.job)

    @cached_property
    def verdict_after(self) -> Verdict:
        from roomcheck.judge import judge

        return judge(self.after, self.job)

    @cached_property
    def site(self) -> Site:
        from roomcheck.recommend import Site

        job, before, verdict = self.job, self.before, self.verdict
        with step("Calibrating the room and listing places"):
            return Site.of(job, before, verdict)

    @cached_property
    def plans(self) -> tuple[Plan, ...]:
        from roomcheck.recommend import plans_of

        site = self.site
        with step("Choosing and placing pieces"):
            return plans_of(site)

    @cached_property
    def plan(self) -> Plan:
        if self.chosen is None and self.agreement is not None:
            return self.agreement.plan
        number = 2 if self.chosen is None else self.chosen
        if not 1 <= number <= len(self.plans):
            raise NoSuchPlan(number, tuple(str(plan.kind) for plan in self.plans))
        return self.plans[number - 1]

    @cached_property
    def sheet(self) -> BuildSheet:
        return self.sheet_of(self.plan)

    def sheet_of(self, plan: Plan) -> BuildSheet:
        from roomcheck.workshop import build

        return build(self.job, plan)

    @cached_property
    def quote(self) -> Quote:
        """As signed where the signed plan is asked for; else of the plan, at today's prices."""
        if self.chosen is None and self.agreement is not None:
            return self.agreement.quote
        return self.quote_of(self.plan)

    def quote_of(self, plan: Plan) -> Quote:
        from roomcheck.quote import quote

        return quote(self.job, plan, self.sheet_of(plan))

    @cached_property
    def agreement(self) -> Agreement | None:
        plain = read_signed(self.job.folder)
        if plain is None:
            return None
        from roomcheck.quote import Agreement

        try:
            return from_plain(Agreement, plain)
        except ValueError as problem:
            raise RoomcheckError(
                f"{self.job.folder / 'signed' / 'agreement.toml'}: {problem}; restore it from a "
                "copy"
            ) from problem

    @cached_property
    def verification(self) -> Verification:
        from roomcheck.verify import verify

        if self.agreement is None:
            raise NotSigned(self.job.folder)
        return verify(
            self.job, self.before, self.after, self.agreement, compare_anyway=self.compare_anyway
        )

    @cached_property
    def lesson(self) -> Lesson:
        from roomcheck.verify import learn

        if self.agreement is None:
            raise NotSigned(self.job.folder)
        with step("Comparing with the prediction"):
            return learn(self.job, self.before, self.after, self.agreement.plan.pieces)

    def _measured(self, visit: str) -> tuple[Measurement, ...]:
        from roomcheck.measure import measure

        with step(f"Reading the recordings of the visit {visit!r}"):
            return measure(self.job, visit)

    def _analysed(self, visit: str, takes: tuple[Measurement, ...]) -> Analysis:
        from roomcheck.analyse import analyse
        from roomcheck.measure import noise_takes

        with step(f"Analysing {len(takes)} responses of the visit {visit!r}"):
            noise = noise_takes(self.job, visit)
            return analyse(
                takes, job=self.job, visit=visit, noise=noise, speech_snr_db=self.speech_snr_db
            )
