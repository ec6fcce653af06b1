"""`kerfdraft cuts`: sticks cut into lengths, without a session."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.command_line.files import OK, UNREADABLE
from tui.command_line.parser import JSON, Command, Parser
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.design import Design
    from engine.parts.cutting import Stick

_TIMES = re.compile(r"(.*?)\s*[x×]\s*([0-9]{1,5})", re.IGNORECASE)
_MOST_CUTS = 2000
_MOST_SECONDS = 600.0


class _Lengths(argparse.Action):
    """One word that is no length is a file; else lengths, each with how often it is wanted."""

    def __call__(self, _parser: argparse.ArgumentParser, namespace: argparse.Namespace, values: Any, _option: str | None = None) -> None:
        namespace.file, namespace.lengths = (Path(values[0]), []) if len(values) == 1 and not _is_length(values[0]) else (None, values)


def _is_length(word: str) -> bool:
    return bool(re.match(r"[-+0-9.,½¼¾]", word)) and not Path(word).exists()


_WHAT = Parser(add_help=False)
_WHAT.add_argument(
    "what", nargs="+", action=_Lengths, metavar="FILE|LENGTH",
    help='a design, for what its ducts want cut; or any lengths, xN behind one that is wanted N times: "1.2 m" "0.85 m" x4',
)  # fmt: skip


def _options(parser: Parser) -> None:
    parser.add_argument(
        "--stick", action="append", metavar="LENGTH", help='length of a stick, "3 m", or with its price "3 m @ 12.50"; once for each length sold'
    )
    parser.add_argument("--offcut", action="append", metavar="LENGTH", help='an offcut in hand, "0.8 m" or "0.8 m x3": it costs nothing')
    parser.add_argument("--kerf", metavar="LENGTH", help='what the saw takes between two cuts (default: 3 mm or 1/8 in; "0 mm" for snips)')
    parser.add_argument("--keep", metavar="LENGTH", help="shortest offcut worth keeping (default: 300 mm or 12 in)")
    parser.add_argument("--seconds", type=float, metavar="N", help="search for so many seconds at most for each size (default: 2)")


def _list(options: argparse.Namespace) -> int:
    """Any list of lengths."""
    from engine.catalog.joining import keep_text, kerf_text
    from engine.parts.cutting import SECONDS, Cut, CuttingError, cutting
    from engine.parts.tape import units_of
    from engine.report.cuts import as_json, as_text

    if not options.stick:
        options.parser.error('wanted: --stick LENGTH, how long the sticks are, such as --stick "3 m"')
    try:
        cuts = [Cut(name, length) for name, length, times in _counted(options.lengths) for _ in range(times)]
        if len(cuts) > _MOST_CUTS:
            raise ValueError(f"{len(cuts)} cuts are too many; wanted: at most {_MOST_CUTS}")
        units = units_of([*options.lengths, *options.stick])
        kerf, keep = _length(options.kerf, "kerf", kerf_text(units)), _length(options.keep, "keep", keep_text(units))
        found = cutting(cuts, _sticks(options), kerf, _seconds(options, SECONDS))
    except CuttingError as reason:
        complain(str(reason))
        return UNREADABLE
    except ValueError as reason:
        options.parser.error(str(reason))
    title = f"{len(cuts)} lengths to cut"
    tell(as_json(None, {"": found}) if options.json else as_text(title, {"": found}, units, keep=keep))
    return OK


def _counted(words: Sequence[str]) -> list[tuple[str, float, int]]:
    """Words as lengths: the text, m, how often: "0.85 m" x4, "0.85 m x4". Raises ValueError."""
    from engine.parts.tape import read_length

    found: list[tuple[str, float, int]] = []
    for word in words:
        match = _TIMES.fullmatch(word)
        text, times = (match[1].strip(), int(match[2])) if match else (word, 1)
        if text:
            found.append((text, read_length(text), times))
        elif not found:
            raise ValueError(f"{word!r} stands before every length; wanted: a length, then how often")
        else:
            found[-1] = (*found[-1][:2], found[-1][2] * times)
    if any(times == 0 for *_, times in found):
        raise ValueError("x0 of a length; wanted: 1 or more")
    return found


def _sticks(options: argparse.Namespace) -> list[Stick]:
    """The sticks sold, and the offcuts in hand. Raises ValueError."""
    from engine.parts.cutting import Stick
    from engine.parts.tape import read_length
    from engine.units import parse_number

    sticks = []
    for text in options.stick or ():
        length, at, price = (part.strip() for part in text.partition("@"))
        cost = parse_number(price) if at else None
        if cost is not None and not 0.0 < cost <= 1e6:
            raise ValueError(f"{text!r} has no price; wanted: more than 0, at most 1000000")
        sticks.append(Stick(read_length(length), cost))
    if 0 < sum(stick.price is None for stick in sticks) < len(sticks):
        raise ValueError("one --stick has a price and another has none; wanted: a price for every length, or for none")
    sticks += [Stick(length, None, times) for _, length, times in _counted(options.offcut or ())]
    return sticks


def _length(text: str | None, what: str, usual: str) -> float:
    """An option's length, m, 0 or more; else the usual one. Raises ValueError."""
    from engine.units import parse

    length = parse(text or usual, "length").si
    if not 0.0 <= length <= 100.0:
        raise ValueError(f"--{what} {text!r} is no length; wanted: 0 or more, at most 100 m")
    return length


def _seconds(options: argparse.Namespace, usual: float) -> float:
    seconds = usual if options.seconds is None else options.seconds
    if not 0 < seconds <= _MOST_SECONDS:
        raise ValueError(f"--seconds wants more than 0, at most {_MOST_SECONDS:g}")
    return float(seconds)


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    """What the ducts of a design want."""
    from engine.catalog.joining import keep_text, kerf_text
    from engine.design import system
    from engine.parts.cut_list import cut_list
    from engine.parts.cutting import SECONDS, CuttingError
    from engine.report.cuts import as_json, as_text

    units = system(design)
    try:
        if options.offcut and not options.stick:
            raise ValueError("--offcut wants --stick beside it, how long the sticks are that are sold")
        sticks, kerf, seconds = _sticks(options), _length(options.kerf, "kerf", kerf_text(units)), _seconds(options, SECONDS)
        keep = _length(options.keep, "keep", keep_text(units))
        found = cut_list(design, sticks=sticks, kerf=kerf, before="cut", seconds=seconds)
    except CuttingError as reason:
        complain(f"{options.file}: {reason}")
        return UNREADABLE
    except ValueError as reason:
        options.parser.error(str(reason))
    tell(
        as_json(design, found.cuttings, found.doubts) if options.json else as_text(design.name, found.cuttings, units, keep=keep, notes=found.doubts)
    )
    return OK


COMMAND = Command(
    name="cuts",
    brief="sticks cut into what the ducts want, or any list",
    description="Cut what a design wants, or any list of lengths, from the fewest sticks; of several lengths from the cheapest.",
    statuses="0 done, 2 the file cannot be read, or a length cannot be cut",
    shares=(JSON,),
    options=_options,
    carry_out=_carry_out,
    argument=_WHAT,
    without_design=_list,
)
