"""`kerfdraft remedies` and `kerfdraft throttle`: what would help a design, found and written without a session."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from tui.command_line.files import FAULTS, OK, UNREADABLE, complain, loaded, written

if TYPE_CHECKING:
    from engine.design import Design

NAMES = ("remedies", "throttle")


def run(name: str, arguments: Sequence[str], parser_class: type[argparse.ArgumentParser]) -> int:
    """Carry out one of NAMES; the exit status."""
    parser = parser_class(prog=f"kerfdraft {name}")
    {"remedies": _remedies_options, "throttle": _throttle_options}[name](parser)
    options = parser.parse_args(arguments)
    design = loaded(options.file)
    if design is None:
        return UNREADABLE
    return {"remedies": _remedies, "throttle": _throttle}[name](parser, options, design)


def _remedies_options(parser: argparse.ArgumentParser) -> None:
    parser.description = "Try every sensible single change of a design and list those that help, best first."
    parser.epilog = "exit status: 0 the design has no faults, 1 it has, 2 the file cannot be read or written"
    parser.add_argument("file", type=Path, metavar="FILE", help="design to look at")
    parser.add_argument("--pairs", action="store_true", help="try pairs of the best too")
    parser.add_argument("--json", action="store_true", help="print the results in SI base units as JSON")
    parser.add_argument("--take", type=int, metavar="N", help="number of the remedy to write (default: 1)")
    parser.add_argument("--write", type=Path, metavar="OUT", help="write the design with that remedy to OUT")


def _throttle_options(parser: argparse.ArgumentParser) -> None:
    parser.description = "Tell which gates to leave part open so that each machine at work gets the air it needs."
    parser.epilog = "exit status: 0 every machine gets its need, 1 some does not, 2 the file cannot be read or written"
    parser.add_argument("file", type=Path, metavar="FILE", help="design to look at")
    parser.add_argument("set", nargs="?", metavar="SET", help="a gate set by its name (default: all of several machines)")
    parser.add_argument("--even", action="store_true", help="divide the air as evenly as can be, even where all needs are met")
    parser.add_argument("--json", action="store_true", help="print the results in SI base units as JSON")
    parser.add_argument("--write", type=Path, metavar="OUT", help="write the design with the gates so to OUT")


def _remedies(parser: argparse.ArgumentParser, options: argparse.Namespace, design: Design) -> int:
    from engine.checks.assess import assess
    from engine.report.remedies import as_json, as_text
    from engine.search.proposals import standing
    from engine.search.remedies import remedies

    if options.take is not None and options.write is None:
        parser.error("--take says which remedy --write OUT writes")
    assessment = assess(design)
    for step in remedies(design, assessment, pairs=options.pairs):
        found = step.proposals
    take = 1 if options.take is None else options.take
    if options.write and not 1 <= take <= len(found):
        parser.error(f"there is no remedy {take}: {len(found)} {'was' if len(found) == 1 else 'were'} found")
    print((as_json if options.json else as_text)(design, standing(assessment), found))
    if options.write and not _wrote(found[take - 1].design, options.write, f"remedy {take}", quiet=options.json):
        return UNREADABLE
    return FAULTS if assessment.count("fault") else OK


def _throttle(parser: argparse.ArgumentParser, options: argparse.Namespace, design: Design) -> int:
    from engine.checks.assess import assess
    from engine.design import gate_sets_of
    from engine.design.consistency import nearest_word
    from engine.report.throttling import as_json, as_text
    from engine.search.throttling import all_throttled, throttling

    names = [gate_set.name for gate_set in gate_sets_of(design)]
    if options.set is not None and options.set not in names:
        near = nearest_word(options.set, names)
        parser.error(f"{options.file} has no gate set '{options.set}'" + (f", only '{near}'" if near else ""))
    wanted = [options.set] if options.set else [one.name for one in gate_sets_of(design) if len(one.open) > 1]
    assessment = assess(design)
    found = [throttling(design, name, assessment, even=options.even) for name in wanted]
    print((as_json if options.json else as_text)(design, found))
    if options.write:
        changed = all_throttled(design, found)
        if changed == design:
            complain(f"{options.write} is not written: no gate would stand otherwise")
        elif not _wrote(changed, options.write, "the throttled gates", quiet=options.json):
            return UNREADABLE
    return OK if all(one.met for one in found) else FAULTS


def _wrote(design: Design, path: Path, what: str, *, quiet: bool) -> bool:
    if not written(design, path):
        return False
    if not quiet:
        print(f"\nwritten to {path}: the design with {what}")
    return True
