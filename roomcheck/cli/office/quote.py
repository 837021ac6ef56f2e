"""roomcheck quote JOB: the price, what was signed, changes after it, and invoices."""

from __future__ import annotations

import argparse
import datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.chain import (
    Chain,
    pieces_after,
    propose_change,
    sign_change,
    write_credit,
    write_invoice,
)
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json, show_line
from roomcheck.errors import RoomcheckError
from roomcheck.job import signed_path
from roomcheck.typed import MoneyError, parse_money
from roomcheck.words import say

if TYPE_CHECKING:
    from roomcheck.quote import ChangeOrder, Invoice


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "quote",
        run,
        what=(
            "the price of a plan; with --sign, keeps plan, promise and price as accepted; then "
            "changes and invoices"
        ),
        example='roomcheck quote harbour-room --plan 2 --sign "Client A"\n'
        '  roomcheck quote harbour-room --change "one more panel" --cost 70 --days 2 '
        '--sign "Client A"\n'
        '  roomcheck quote harbour-room --change "one more, A3 deeper" --exchange A3 "4 in panel" '
        '--add "2 in panel" north "3 ft" "30 in"\n'
        "  roomcheck quote harbour-room --invoice 2026-014 --paid 848.58 --order PO-17",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--plan", type=int, metavar="N", help="(default: the signed one, else the target's)"
    )
    parser.add_argument(
        "--options", action="store_true", help="the prices of all plans side by side"
    )
    parser.add_argument(
        "--sign", metavar="NAME", help="who accepts it; kept once and never rebuilt"
    )
    parser.add_argument(
        "--date",
        metavar="DAY",
        help="day of signing or invoice, such as 2026-05-11 (default: today)",
    )
    parser.add_argument(
        "--shop", action="store_true", help="show what it costs the shop (not for clients)"
    )
    after = parser.add_argument_group("after signing")
    after.add_argument(
        "--change", metavar="TEXT", help="a change order; holds once it is signed with --sign"
    )
    after.add_argument(
        "--cost", metavar="AMOUNT", help="of the change to the shop, pieces apart; - for less"
    )
    after.add_argument("--days", type=int, metavar="N", help="that the change adds to the schedule")
    after.add_argument(
        "--add",
        nargs=4,
        metavar=("STOCK", "FACE", "LEFT", "BOTTOM"),
        action="append",
        default=[],
        help="with --change: one more piece, from the face's left and bottom edge",
    )
    after.add_argument(
        "--remove",
        metavar="PIECE",
        action="append",
        default=[],
        help="with --change: leave this piece out",
    )
    after.add_argument(
        "--exchange",
        nargs=2,
        metavar=("PIECE", "STOCK"),
        action="append",
        default=[],
        help="with --change: another piece of the stock instead, about the same middle",
    )
    after.add_argument(
        "--move",
        nargs=4,
        metavar=("PIECE", "FACE", "LEFT", "BOTTOM"),
        action="append",
        default=[],
        help="with --change: hang this piece there instead",
    )
    after.add_argument("--invoice", metavar="NUMBER", help="write an invoice of what is due")
    after.add_argument(
        "--milestone",
        choices=("deposit", "delivery", "final"),
        help="of an invoice: one step of the agreed payments (default: all that is due)",
    )
    after.add_argument("--paid", metavar="AMOUNT", default="0", help="all payments so far")
    after.add_argument("--order", metavar="TEXT", default="", help="the client's purchase order")
    after.add_argument("--bill-to", metavar="TEXT", default="", help="the client's address")
    after.add_argument(
        "--allowance", metavar="AMOUNT", default="0", help="of the allowance, what was used"
    )
    after.add_argument(
        "--credit", metavar="NUMBER", help="write a credit note of that number, with --against"
    )
    after.add_argument("--against", metavar="INVOICE", help="number of the invoice it takes back")
    after.add_argument(
        "--amount", metavar="AMOUNT", help="of a credit note, tax included (default: all of it)"
    )


def run(args: argparse.Namespace) -> int:
    _only_with(args)
    day = _day(args.date)
    if args.sign is not None and not args.sign.strip():
        raise RoomcheckError("--sign: it needs the name of who accepts")
    chain = opened(args.job, args.plan)
    if args.change is not None:
        return _change(args, chain)
    if args.invoice is not None:
        return _invoice(args, chain)
    if args.credit is not None:
        return _credit(args, chain)
    if args.options:
        return _options(args, chain)
    if args.sign:
        chain.sign(args.sign, day)
    if args.json:
        return show_json(chain.quote)
    from roomcheck.report import quote_blocks

    signed = chain.agreed if args.plan is None and not args.sign else None
    show(quote_blocks(chain.job, chain.quote, signed=signed, shop=args.shop))
    if args.sign:
        file = signed_path(chain.job.folder)
        show_line("\n" + say("signed_by", name=args.sign, file=file))
    elif chain.agreed is None:
        _show_caveats(chain)
    return 0


def _show_caveats(chain: Chain) -> None:
    """What should be said before somebody signs."""
    from roomcheck.quote import Offer, caveats
    from roomcheck.report import Bullets
    from roomcheck.words import Reader, sentences

    job = chain.job
    found = caveats(
        Offer(plan=chain.plan, quote=chain.quote),
        budget=job.budget,
        currency=job.currency,
        planning_values=job.shop.made_up,
    )
    if found:
        show((Bullets(items=sentences(found, Reader(units=job.units))),))


def _only_with(args: argparse.Namespace) -> None:
    """Refuse what would be left unread.

    Raises
    ------
    RoomcheckError
    """
    wants = {"--cost": (args.cost, "--change"), "--days": (args.days, "--change")}
    wants |= {"--add": (args.add, "--change"), "--remove": (args.remove, "--change")}
    wants |= {"--exchange": (args.exchange, "--change"), "--move": (args.move, "--change")}
    wants |= {"--paid": (args.paid, "--invoice"), "--order": (args.order, "--invoice")}
    wants |= {
        "--milestone": (args.milestone, "--invoice"),
        "--bill-to": (args.bill_to, "--invoice"),
    }
    wants |= {"--allowance": (args.allowance, "--invoice"), "--against": (args.against, "--credit")}
    wants |= {"--amount": (args.amount, "--credit")}
    for option, (value, verb) in wants.items():
        if value not in (None, 0, "0", "", []) and getattr(args, verb[2:]) is None:
            raise RoomcheckError(f"{option} goes with {verb}: give both")


def _change(args: argparse.Namespace, chain: Chain) -> int:
    from roomcheck.report import bill_blocks

    if not args.change.strip() or (args.days or 0) < 0:
        raise RoomcheckError("--change: say what changes, and give --days as 0 or more")
    order = _pieces(args, chain) if _wish(args) else _priced(args, chain)
    files: tuple[Path, ...] = ()
    if args.sign:
        order, files = sign_change(chain, order, args.sign, _day(args.date))
    if args.json:
        return show_json(order)
    show(bill_blocks(chain.job, order, files))
    return 0


def _wish(args: argparse.Namespace) -> bool:
    return bool(args.add or args.remove or args.exchange or args.move)


def _pieces(args: argparse.Namespace, chain: Chain) -> ChangeOrder:
    """Work out a change of pieces."""
    from roomcheck.recommend import Exchange

    wish = Exchange(
        remove=tuple(args.remove),
        exchange=tuple(map(tuple, args.exchange)),
        move=tuple(map(tuple, args.move)),
        add=tuple(map(tuple, args.add)),
    )
    more = Decimal(0)
    if args.cost is not None:
        more = _amount("--cost", args.cost, chain.job.currency, below_zero=True)
    pieces = pieces_after(chain, wish)
    return propose_change(chain, pieces, text=args.change, more_cost=more, days=args.days)


def _priced(args: argparse.Namespace, chain: Chain) -> ChangeOrder:
    """Price a change by what it costs.

    Raises
    ------
    RoomcheckError
        No cost, or nobody signs it.
    """
    from roomcheck.quote import change_order

    agreement = chain.first_signed
    if args.cost is None or not args.sign:
        raise RoomcheckError(
            "--change: a change is priced with --cost, or by the pieces that --add, --remove, "
            "--exchange and --move name, and signed with --sign NAME before the work"
        )
    return change_order(
        agreement.quote,
        number=len(chain.changes) + 1,
        text=args.change,
        cost=_amount("--cost", args.cost, chain.job.currency, below_zero=True),
        margin_pct=chain.job.shop.rates.margin_pct,
        signed_on=_day(args.date),
        signed_by=args.sign,
        days=args.days or 0,
    )


def _invoice(args: argparse.Namespace, chain: Chain) -> int:
    from roomcheck.quote import MILESTONES

    if not args.invoice.strip():
        raise RoomcheckError("--invoice: it needs a number, such as 2026-014")
    currency = chain.job.currency
    bill, files = write_invoice(
        chain,
        number=args.invoice.strip(),
        day=_day(args.date),
        paid=_amount("--paid", args.paid, currency, below_zero=False),
        milestone=MILESTONES[args.milestone] if args.milestone else None,
        order=args.order,
        bill_to=args.bill_to,
        allowance_used=_amount("--allowance", args.allowance, currency, below_zero=False),
    )
    return _shown(args, chain, bill, files)


def _credit(args: argparse.Namespace, chain: Chain) -> int:
    amount = None
    if args.amount is not None:
        amount = _amount("--amount", args.amount, chain.job.currency, below_zero=False)
    note, files = write_credit(
        chain,
        number=args.credit.strip(),
        against=args.against or "",
        day=_day(args.date),
        amount=amount,
    )
    return _shown(args, chain, note, files)


def _shown(args: argparse.Namespace, chain: Chain, bill: Invoice, files: tuple[Path, ...]) -> int:
    from roomcheck.report import bill_blocks

    if args.json:
        return show_json(bill)
    show(bill_blocks(chain.job, bill, files))
    return 0


def _options(args: argparse.Namespace, chain: Chain) -> int:
    offered = chain.offered
    if args.json:
        return show_json(tuple(offer.quote for offer in offered))
    from roomcheck.report import option_blocks

    show(option_blocks(chain.job, offered))
    return 0


def _amount(option: str, text: str, currency: str, *, below_zero: bool) -> Decimal:
    try:
        amount = parse_money(text, currency, below_zero=below_zero)
    except MoneyError as problem:
        raise RoomcheckError(f"{option}: {problem}") from problem
    if amount != round(amount, 2) or abs(amount) >= 10**9:
        raise RoomcheckError(f"{option} {text!r}: whole cents, below a thousand million")
    return amount


def _day(text: str | None) -> str:
    if text is None:
        return datetime.date.today().isoformat()
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError as problem:
        raise RoomcheckError(f"--date {text!r} is not a day; write it like 2026-05-11") from problem
