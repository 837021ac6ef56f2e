"""roomcheck quote JOB: the price, and what was signed."""

from __future__ import annotations

import argparse
import datetime
from typing import TYPE_CHECKING

import roomcheck
from roomcheck.cli.chain import Chain
from roomcheck.cli.shown import Subparsers, add_command, show_json, show_table
from roomcheck.errors import RoomcheckError
from roomcheck.job import keep_shop, write_signed
from roomcheck.plain import to_plain

if TYPE_CHECKING:
    from roomcheck.job import Job
    from roomcheck.quote import Quote


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "quote",
        run,
        what="the price of a plan; with --sign, keeps plan, promise and price as accepted",
        example='roomcheck quote harbour-room --plan 2 --sign "Client A"',
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("--plan", type=int, metavar="N", help="which plan (default: the signed one, else 2)")
    parser.add_argument("--sign", metavar="NAME", help="who accepts it; kept once and never rebuilt")
    parser.add_argument("--date", metavar="DAY", help="day of signing, such as 2026-05-11 (default: today)")
    parser.add_argument("--shop", action="store_true", help="also show what it costs the shop (not for clients)")


def run(args: argparse.Namespace) -> int:
    chain = Chain.of(args.job, args.plan)
    if args.sign:
        sign(chain, args.sign, _day(args.date))
    if args.json:
        return show_json(chain.quote)
    show_quote(chain.job, chain.quote, shop=args.shop)
    if args.sign:
        print(f"\nSigned by {args.sign}: {chain.job.folder / 'signed' / 'agreement.toml'}")
    return 0


def sign(chain: Chain, name: str, day: str) -> None:
    """Keep plan, promise and price as accepted, with the shop's copy they were priced from."""
    from roomcheck.quote import Agreement

    agreement = Agreement(
        signed_on=day, signed_by=name, method=f"roomcheck {roomcheck.__version__}", plan=chain.plan, quote=chain.quote
    )
    write_signed(chain.job.folder, to_plain(agreement))
    keep_shop(chain.job)


def show_quote(job: Job, quote: Quote, *, shop: bool = False) -> None:
    """The client's lines; with `shop`, the shop's own too."""

    def money(amount: object) -> str:
        return f"{job.currency}{amount:,.2f}"

    rows = [(line.text, money(line.amount)) for line in quote.lines]
    rows += [("net", money(quote.net)), (f"tax {quote.tax_pct} %", money(quote.tax)), ("total", money(quote.total))]
    show_table("Price", ("", "amount"), rows)
    print(f"Due on acceptance {money(quote.deposit)}; valid {quote.valid_days} days.")
    if shop:
        show_table("For the shop alone", ("", "cost"), [(line.text, money(line.amount)) for line in quote.costs])
        print(
            f"Cost {money(quote.cost)}, margin {money(quote.margin)}: {quote.margin_pct:.1f} % of the price, "
            f"{quote.markup_pct:.1f} % on cost."
        )


def _day(text: str | None) -> str:
    if text is None:
        return datetime.date.today().isoformat()
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError as problem:
        raise RoomcheckError(f"--date {text!r} is not a day; write it like 2026-05-11") from problem
