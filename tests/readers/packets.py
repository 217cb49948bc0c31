"""What readers of whole packets share: the packets that are named, what is wrong with each, the exit code; the
plates that a report tells of."""

import sys
from pathlib import Path


def plates(report):
    """The parts of flanges' plates and the plugs of merges: what each belongs to, its thickness, its numbers."""
    for flange in report.get("flanges", []):
        plate = flange.get("plate", {})
        for part in plate.get("parts", []):
            yield f"flange.{flange['name']}", plate["thickness"], part
    for merge in report.get("merges", []):
        if "plug" in merge:
            yield f"merge.{merge['name']}", merge["plug"]["thickness"], merge["plug"]


def run(name, check):
    """Prints the faults that `check` finds in each packet named on the command line. Exit 1 on any fault, 2
    without a packet."""
    packets = [Path(argument) for argument in sys.argv[1:]]
    if not packets or not all((packet / "report.json").is_file() for packet in packets):
        print(f"usage: {name} PACKET_DIR...", file=sys.stderr)
        sys.exit(2)
    bad = 0
    for packet in packets:
        faults = check(packet)
        for fault in faults:
            print(f"{packet}: {fault}")
        bad += len(faults)
        print(f"{packet}: {'ok' if not faults else f'{len(faults)} faults'}")
    sys.exit(1 if bad else 0)
