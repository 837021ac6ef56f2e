"""roomcheck open [FOLDER]: the job in a browser."""

from __future__ import annotations

import argparse
import json
from typing import Any


def add_parser(subparsers: Any) -> None:
    what = "open a job, or a folder of jobs, in a browser on this computer"
    parser = subparsers.add_parser(
        "open",
        help=what,
        description=f"{what[0].upper()}{what[1:]}.\nNothing leaves the computer.",
        epilog="example:\n  roomcheck open harbour-room",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "folder", metavar="FOLDER", nargs="?", default=".", help="(default: where you stand)"
    )
    parser.add_argument("--port", type=int, default=0, help="on 127.0.0.1 (default: any free one)")
    parser.add_argument(
        "--phone",
        action="store_true",
        help="a telephone in the same network may measure, tick and read, after scanning a code",
    )
    parser.add_argument(
        "--no-browser", action="store_true", help="print the address and open nothing"
    )
    parser.add_argument(
        "--json", action="store_true", help="the address as JSON on standard output, nothing else"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    from roomcheck.page.serve import serve

    def tell(address: str, text: str) -> None:
        print(json.dumps({"address": address}) if args.json else text, flush=True)

    serve(args.folder, port=args.port, browser=not args.no_browser, phone=args.phone, tell=tell)
    return 0
