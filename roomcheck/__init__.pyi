"""The public names for type checkers; `__init__.py` finds them when they are asked for."""

from roomcheck.analyse import Analysis as Analysis
from roomcheck.analyse import BandDecay as BandDecay
from roomcheck.analyse import BandMean as BandMean
from roomcheck.analyse import analyse as analyse
from roomcheck.analyse import band_means as band_means
from roomcheck.analyse import decays as decays
from roomcheck.chain import Chain as Chain
from roomcheck.chain import Progress as Progress
from roomcheck.chain import Stopped as Stopped
from roomcheck.chain import open_job as open_job
from roomcheck.errors import RoomcheckError as RoomcheckError
from roomcheck.job import Job as Job
from roomcheck.job import load_job as load_job
from roomcheck.judge import Verdict as Verdict
from roomcheck.judge import judge as judge
from roomcheck.measure import ImpulseResponse as ImpulseResponse
from roomcheck.measure import Measurement as Measurement
from roomcheck.measure import Sweep as Sweep
from roomcheck.measure import impulse_response as impulse_response
from roomcheck.measure import load_impulse_response as load_impulse_response
from roomcheck.measure import measure as measure
from roomcheck.plain import from_plain as from_plain
from roomcheck.plain import to_plain as to_plain
from roomcheck.predict import Outlook as Outlook
from roomcheck.predict import Prediction as Prediction
from roomcheck.predict import outlook as outlook
from roomcheck.predict import predict as predict
from roomcheck.quote import Agreement as Agreement
from roomcheck.quote import Quote as Quote
from roomcheck.quote import quote as quote
from roomcheck.recommend import Plan as Plan
from roomcheck.recommend import recommend as recommend
from roomcheck.report import report as report
from roomcheck.verify import Verification as Verification
from roomcheck.verify import verify as verify
from roomcheck.workshop import BuildSheet as BuildSheet
from roomcheck.workshop import block_diffuser as block_diffuser
from roomcheck.workshop import build as build

__version__: str
