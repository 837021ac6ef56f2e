"""Recording from the page: one take at a time, with the recorder of `roomcheck measure`.

The card is worked in a thread of its own. What it says goes to every window of the job; what it
asks waits for the first answer from any of them; *stop* ends the sound at once.
"""

from __future__ import annotations

import queue
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from roomcheck.analyse import looking
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, Kind
from roomcheck.job import Job, load_job
from roomcheck.measure import (
    PRE_ROLL_S,
    Added,
    Choice,
    Event,
    Levels,
    PortAudioCard,
    Sweep,
    Take,
    Walk,
    add_calibrator,
    add_noise,
    bring_in_waiting,
    find_level,
    meter,
    only_one,
    settings_so_far,
    walk,
    wav,
)
from roomcheck.page.places.uploads import decibels, noise_text, sensitivity
from roomcheck.report import calibrator_blocks, text_of
from roomcheck.words import Reader, sentence

Tell = Callable[[str, dict[str, Any]], None]

FIRST_DBFS = -30.0
"""The most that a first take plays where no level was found yet. [dB re full scale]"""

MOST_DBFS = -6.0
"""The most that is ever played from the page; every rise is asked for. [dB re full scale]"""

TAIL_S, NOISE_S, CALIBRATOR_S, METER_S = 2.0, 30.0, 7.0, 60
"""Recorded after a sweep; of background noise; of a calibrator; how long the level is shown. [s]"""
STOPPED = "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Devices:
    """Which devices a person chose; None is the system's own."""

    input: int | str | None = None
    output: int | str | None = None
    input_channel: int = 1
    output_channel: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """How takes are played: level and length of the sweep."""

    level_dbfs: float = FIRST_DBFS
    seconds: float = 10.0


@dataclass
class Session:
    """One take, or one search for the level, under way."""

    what: str
    visit: str
    source: str = ""
    microphone: str = ""
    said: list[str] = field(default_factory=list)
    question: str = ""
    choices: tuple[str, ...] = ()
    answers: queue.Queue[str] = field(default_factory=queue.Queue)
    stopped: threading.Event = field(default_factory=threading.Event)
    thread: threading.Thread | None = None

    ended: bool = False

    @property
    def alive(self) -> bool:
        return self.thread is not None and self.thread.is_alive() and not self.ended


class Busy(RoomcheckError):
    """A take is being recorded already."""

    def __init__(self) -> None:
        super().__init__("a take is being recorded; wait for it, or stop it first")


@dataclass
class Recorder:
    """The sound card, for all jobs of a server: one take at a time."""

    tell: Tell
    devices: Devices = field(default_factory=Devices)
    played: dict[str, Played] = field(default_factory=dict)
    session: Session | None = None
    last: dict[str, Session] = field(default_factory=dict)
    """What was said last, by the name of the job."""
    lock: threading.Lock = field(default_factory=threading.Lock)

    def how(self, job: Job, name: str, visit: str) -> Played:
        """Level and length: as chosen here, as the visit began, or quietly."""
        if name in self.played:
            return self.played[name]
        earlier = settings_so_far(job, visit)
        if earlier is None:
            return Played()
        sweep, level_dbfs = earlier
        return Played(level_dbfs=level_dbfs, seconds=sweep.seconds)

    def record(
        self, name: str, folder: Path, visit: str, source: str, microphone: str, wait_s: float
    ) -> None:
        """Record one take at one pair.

        Raises
        ------
        Busy
        """
        session = Session("take", visit, source, microphone)
        self._start(name, session, lambda: self._take(name, folder, session, wait_s))

    def find(self, name: str, folder: Path, visit: str) -> None:
        """Find the level: quiet test sweeps first, every rise asked for.

        Raises
        ------
        Busy
        """
        session = Session("level", visit)
        self._start(name, session, lambda: self._level(name, folder, session))

    def noise(self, name: str, folder: Path, visit: str, form: Mapping[str, str]) -> None:
        """Record the background noise; nothing is played. The form says what is on or off, and
        perhaps what 94 dB leaves in a recording.

        Raises
        ------
        Busy
        RoomcheckError
        """
        sensitivity_dbfs = sensitivity(form)
        conditions = form.get("conditions", "").strip() or "as during the sweeps"
        session = Session("noise", visit)

        def work() -> None:
            job = load_job(folder)
            with self._silence(name, job, session, NOISE_S) as (path, faults):
                take = add_noise(
                    job,
                    path,
                    visit=visit,
                    conditions=conditions,
                    channel=self.devices.input_channel,
                    sensitivity_dbfs=sensitivity_dbfs,
                    faults=faults,
                )
            self._say(name, session, noise_text(job, visit, take))

        self._start(name, session, work)

    def calibrate(self, name: str, folder: Path, visit: str, form: Mapping[str, str]) -> None:
        """Record a sound calibrator on the microphone: the visit's noise becomes absolute.

        Raises
        ------
        Busy
        RoomcheckError
        """
        level_db = decibels(form.get("level", "94"), "the calibrator's level")
        session = Session("calibrator", visit)

        def work() -> None:
            job = load_job(folder)
            with self._silence(name, job, session, CALIBRATOR_S) as (path, _):
                take = add_calibrator(
                    job,
                    path,
                    visit=visit,
                    level_db=level_db,
                    channel=self.devices.input_channel,
                )
            self._say(name, session, text_of(calibrator_blocks(take)))

        self._start(name, session, work)

    def levels(self) -> Iterator[Levels]:
        """Peak and root mean square at the input, ten times a second, for a minute at most.

        Raises
        ------
        Busy
        CardError
        """
        if self.session is not None and self.session.alive:
            raise Busy
        chosen = self.devices
        with meter(chosen.input, channel=chosen.input_channel) as look:
            for _ in range(METER_S * 10):
                time.sleep(0.1)
                if self.session is not None and self.session.alive:
                    return
                yield look()

    def answer(self, choice: str, *, phone: bool = False) -> None:
        """Answer the question that is open; anything else is nothing, and so is a telephone that
        wants it louder."""
        session = self.session
        if phone and choice == "louder":
            return
        if session is not None and choice in session.choices:
            session.question, session.choices = "", ()
            session.answers.put(choice)

    def stop(self) -> None:
        """End the sound at once; nothing is kept of the take under way."""
        session = self.session
        if session is not None:
            session.stopped.set()
            session.answers.put(STOPPED)

    # --- in the card's own thread

    def _start(self, name: str, session: Session, work: Callable[[], None]) -> None:
        with self.lock:
            if self.session is not None and self.session.alive:
                raise Busy
            self.session = self.last[name] = session

            def run() -> None:
                try:
                    work()
                except RoomcheckError as problem:
                    self._say(name, session, str(problem))
                finally:
                    session.question, session.choices = "", ()
                    session.ended = True
                    self.tell(name, {"recorder": "ended"})

            session.thread = threading.Thread(target=run, name="recorder", daemon=True)
            session.thread.start()

    def _say(self, name: str, session: Session, text: str) -> None:
        if text:
            session.said.append(text)
            self.tell(name, {"recorder": "said", "text": text})

    def _ask(self, name: str, session: Session, question: str, choices: tuple[str, ...]) -> str:
        if session.stopped.is_set():
            return STOPPED
        session.question, session.choices = question, choices
        self.tell(name, {"recorder": "asks", "text": question, "choices": choices})
        answer = session.answers.get()
        session.question, session.choices = "", ()
        return answer

    def _card(self, session: Session) -> PortAudioCard:
        chosen = self.devices
        return PortAudioCard(
            output=chosen.output,
            input=chosen.input,
            output_channel=chosen.output_channel,
            input_channels=chosen.input_channel,
            stop=session.stopped.is_set,
        )

    def _take(self, name: str, folder: Path, session: Session, wait_s: float) -> None:
        job = load_job(folder)
        how = self.how(job, name, session.visit)
        reader = Reader(units=job.units)

        def say(event: Event) -> None:
            if isinstance(event, Added):
                self._say(name, session, _verdict(event, reader))
            elif event.kind is Walk.RECORDING:
                said = {"wait_s": wait_s, "seconds": event["seconds"]}
                self.tell(name, {"recorder": "records", **said})
            elif event.kind not in (Walk.SPEAKER_TO, Walk.MICROPHONE_TO, Walk.STEP_BACK):
                self._say(name, session, sentence(event, reader))

        def ask(facts: tuple[Fact[Any], ...], choices: tuple[Choice, ...]) -> Choice:
            if any(fact.kind is Walk.GOOD for fact in facts):
                return "keep"
            if all(fact.kind not in _QUESTIONS for fact in facts):
                return choices[0]
            question = " ".join(sentence(fact, reader) for fact in facts)
            answer = self._ask(name, session, question, choices)
            return next((choice for choice in choices if choice == answer), "stop")

        with only_one(job.folder):
            bring_in_waiting(job, session.visit, say)
            walk(
                one_pair(job, session.source, session.microphone),
                session.visit,
                self._card(session),
                Sweep(low_hz=40, high_hz=20_000, seconds=how.seconds, rate_hz=48_000),
                ask=ask,
                tell=say,
                level_dbfs=how.level_dbfs,
                tail_s=TAIL_S,
                channel=self.devices.input_channel,
                more={"level_dbfs": how.level_dbfs},
                wait_s=wait_s,
                again=True,
                look=looking(job),
            )

    @contextmanager
    def _silence(
        self, name: str, job: Job, session: Session, seconds: float
    ) -> Iterator[tuple[Path, tuple[Fact[Take], ...]]]:
        """What comes in while nothing is played, as a file; and what the card reported."""
        card, rate = self._card(session), 48_000
        self.tell(name, {"recorder": "records", "wait_s": 0, "seconds": seconds})
        with only_one(job.folder), tempfile.TemporaryDirectory() as draft:
            recorded = card.play_and_record(np.zeros(round(seconds * rate)), rate)
            path = Path(draft) / "recorded.wav"
            path.write_bytes(wav(recorded.samples[round(PRE_ROLL_S * rate) :], rate))
            yield path, recorded.faults

    def _level(self, name: str, folder: Path, session: Session) -> None:
        reader = Reader(units=load_job(folder).units)

        def confirm(now_dbfs: float, next_dbfs: float) -> bool:
            question = f"Louder, from {now_dbfs:.0f} to {next_dbfs:.0f} dB?"
            return self._ask(name, session, question, ("louder", "enough", "stop")) == "louder"

        found = find_level(
            self._card(session),
            rate_hz=48_000,
            low_hz=40,
            high_hz=20_000,
            ceiling_dbfs=MOST_DBFS,
            confirm=confirm,
            tell=lambda fact: self._say(name, session, sentence(fact, reader)),
            channel=self.devices.input_channel,
        )
        if session.stopped.is_set():
            return
        self.played[name] = Played(level_dbfs=found.level_dbfs, seconds=found.seconds)
        self._say(name, session, sentence(found.remark, reader))


_QUESTIONS: tuple[Kind, ...] = (
    Walk.NOT_GOOD,
    Walk.NOT_OF_PLACE,
    Walk.NOTHING_KEPT,
    Walk.IN_MEMORY,
)


def one_pair(job: Job, source: str, microphone: str) -> Job:
    """The job with one pair of places."""
    return replace(
        job,
        sources=tuple(place for place in job.sources if place.name == source),
        microphones=tuple(place for place in job.microphones if place.name == microphone),
    )


def _verdict(added: Added, reader: Reader) -> str:
    """The verdict on a take in one line: keep, or repeat, because …"""
    if added.check.keep:
        return f"{added.source} to {added.microphone}: keep."
    reasons = "; ".join(sentence(reason, reader) for reason in added.check.reasons)
    return f"{added.source} to {added.microphone}: repeat, because {reasons}"
