"""
Power lost, as far as it can be shown without cutting any.

Run: ``python tests/bench/bench_power.py [--runs 5000] [--seed 1]``; it needs strace.  A
process types at a shop (entries, a take-in, a name forgotten, a back-up, an export, an
import) while every call by which it writes, syncs, cuts, links and removes files is
recorded with its bytes.  A run then cuts the power after a call chosen at random: what
was synced is there; of what was written to a file or a folder since its last sync there
is, by turns, nothing, all, a beginning, any part, or any part with writes torn at
sectors of 512 bytes.  The folder is put together as a disk would have it, opened as she
would open it, and then

- `bows check` finds the shop whole, and it is a beginning of the log it became, ending
  with an entry, and with all that was acknowledged before the power went;
- no back-up, export or import is there under its name unless it is whole;
- of a name that was said to be forgotten no byte is left in the shop file.

With ``--lying`` the disk syncs nothing, and much must be found wrong: that is how this
script itself is tested.  What it doesn't show: disks that lie about syncing, that write
sectors to wrong places or half of a sector; and file systems that give back neither old
nor new bytes.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple, TypeVar

from trusting import ROOT, SMALL, asked, chance, tell, workshop

from planner.log.chain import Row
from planner.log.check import check_log
from planner.log.export import import_lines
from planner.log.store import Log

T = TypeVar("T")
SECTOR = 512
NAME = "Maren Oak"
LINES = (
    *SMALL,
    "cut 4 4in navy", "made 2 4in navy 30min", "sold 1 4in navy",
    "take-in {here}/many.csv", "undo", "sold 2 4in red", "export {here}/out.jsonl",
    "back-up {here}/copy.bows", "--shop {here}/imported.bows import {here}/out.jsonl",
    "forget P1", 'note "after all that"', "sold 1 4in red",
)  # fmt: skip
TYPE = """
import os, shlex, sys
from pathlib import Path
from planner.commands.main import main
from planner.log.store import Log
shop = sys.argv[1]
for line in sys.argv[2:]:
    assert main(["--shop", shop, *shlex.split(line)]) == 0, line
    with Log.open(Path(shop), readonly=True) as log:
        os.write(9, b"acknowledged %d %s" % (log.head().entry, line[:6].encode()))
"""
CALLS = ("openat,creat,write,pwrite64,ftruncate,fsync,fdatasync,unlink,unlinkat,link,"
         "linkat,rename,renameat,renameat2")  # fmt: skip
WAYS = ("nothing", "all", "a beginning", "any part", "any part, torn")


class Call(NamedTuple):
    """One recorded call: its name, and its paths, bytes and numbers in order."""

    name: str
    words: tuple[str | bytes, ...]
    numbers: tuple[int, ...]


# -- recording -----------------------------------------------------------------------


def recorded(folder: Path) -> list[Call]:
    """Type at a shop in a folder; give every call that touched it, in order."""
    trace, answers = folder.with_name("trace"), folder.with_name("answers")
    shop = folder / "shop.bows"
    lines = [line.replace("{here}", str(folder)) for line in LINES]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    script = [sys.executable, "-c", TYPE, str(shop), *lines]
    command = ["strace", "-qq", "-y", "-xx", "-s", "10000000", "-e", f"trace={CALLS}",
               "-o", str(trace), *script]  # fmt: skip
    with answers.open("wb") as out:
        os.dup2(out.fileno(), 9, inheritable=True)
        subprocess.run(command, check=True, env=env, pass_fds=(9,), capture_output=True)
        os.close(9)
    with trace.open() as told:
        return [call for line in told if (call := _call(line, folder, answers))]


_NAME = re.compile(r"(\w+)\((.*)\) = (\d+)")
_HEX = re.compile(r'[<"]((?:\\x[0-9a-f]{2})*)[>"]')


def _call(line: str, folder: Path, answers: Path) -> Call | None:
    """Read a line of the trace; None for calls about other files, and failed ones."""
    found = _NAME.match(line)
    if not found:
        return None
    words = [bytes.fromhex(w.replace("\\x", "")) for w in _HEX.findall(found[2])]
    numbers = tuple(int(n) for n in re.findall(r"(?:^|, )(\d+)(?=,|$)", found[2]))
    here = str(folder).encode()
    if found[1] in ("openat", "creat"):
        made = "O_CREAT" in found[2] or found[1] == "creat"
        path = words[-1]
        cut = "O_TRUNC" in found[2]
        if not made or not path.startswith(here):
            return None
        return Call("create", (path.decode(), b"cut" if cut else b""), ())
    if found[1] == "write" and words[0] == str(answers).encode():
        return Call("acknowledged", (words[1],), ())
    paths = [w for w in words if w.startswith(here)]
    if not paths:
        return None
    if found[1] in ("write", "pwrite64"):
        return Call(found[1], (words[0].decode(), words[1]), numbers)
    named = tuple(w.decode() for w in paths)
    return Call(found[1].replace("at2", "").removesuffix("at"), named, numbers)


# -- a disk that may lose what isn't synced --------------------------------------------


@dataclass
class Inode:
    """A file: what is on the disk for sure, what isn't, and where writing goes on."""

    sure: bytes = b""
    since: list[tuple[int, bytes]] = field(default_factory=list)
    end: int = 0
    """Place where the next plain write goes; a place of -1 in `since` cuts the file."""

    def now(self) -> bytes:
        """Give what a reader sees while the power is on."""
        return _applied(self.sure, self.since)


@dataclass
class Disk:
    """A folder as the system has it, and what of it is on the disk for sure."""

    inodes: list[Inode] = field(default_factory=list)
    names: dict[str, int] = field(default_factory=dict)
    sure: dict[str, int] = field(default_factory=dict)
    since: list[tuple[str, int | None]] = field(default_factory=list)
    entries: int = 0
    forgotten: bool = False

    def do(self, call: Call) -> None:
        """Let a call happen."""
        act = getattr(self, f"_{call.name}")
        act(*call.words, *call.numbers[-1:])

    def _create(self, path: str, cut: bytes, *_: int) -> None:
        if path not in self.names:
            self.inodes.append(Inode())
            self._name(path, len(self.inodes) - 1)
        elif cut:
            self._ftruncate(path, 0)

    def _name(self, path: str, inode: int | None) -> None:
        self.since.append((path, inode))
        if inode is None:
            del self.names[path]
        else:
            self.names[path] = inode

    def _of(self, path: str) -> Inode:
        return self.inodes[self.names[path]]

    def _pwrite64(self, path: str, data: bytes, at: int) -> None:
        self._of(path).since.append((at, data))

    def _write(self, path: str, data: bytes, *_: int) -> None:
        one = self._of(path)
        one.since.append((one.end, data))
        one.end += len(data)

    def _ftruncate(self, path: str, size: int) -> None:
        self._of(path).since.append((-1 - size, b""))

    def _fsync(self, path: str, *_: int) -> None:
        if path in self.names:
            one = self._of(path)
            one.sure, one.since = one.now(), []
        else:  # a folder
            self.sure, self.since = dict(self.names), []

    _fdatasync = _fsync

    def _unlink(self, path: str, *_: int) -> None:
        self._name(path, None)

    def _link(self, old: str, new: str, *_: int) -> None:
        self._name(new, self.names[old])

    def _rename(self, old: str, new: str, *_: int) -> None:
        inode = self.names[old]
        self._name(old, None)
        self._name(new, inode)

    def _acknowledged(self, told: bytes, *_: int) -> None:
        _, entry, line = told.decode().split(maxsplit=2)
        self.entries = int(entry)
        self.forgotten = self.forgotten or line.startswith("forget")

    # -- the power goes ----------------------------------------------------------------

    def cut(self, way: str, dice: random.Random) -> dict[str, bytes]:
        """Give the files of the folder as they may be found once power is back."""
        names = dict(self.sure)
        for path, inode in _left(self.since, way, dice):
            if inode is None:
                names.pop(path, None)
            else:
                names[path] = inode
        return {path: _found(self.inodes[at], way, dice) for path, at in names.items()}


def _found(one: Inode, way: str, dice: random.Random) -> bytes:
    return _applied(one.sure, _torn(_left(one.since, way, dice), way, dice))


def _left(since: list[T], way: str, dice: random.Random) -> list[T]:
    if way in ("nothing", "all"):
        return since if way == "all" else []
    if way == "a beginning":
        return since[: dice.randint(0, len(since))]
    share = dice.random()
    return [one for one in since if dice.random() < share]


def _torn(
    since: list[tuple[int, bytes]], way: str, dice: random.Random
) -> list[tuple[int, bytes]]:
    """Leave out some sectors of some writes."""
    if not way.endswith("torn"):
        return since
    kept: list[tuple[int, bytes]] = []
    for at, data in since:
        if at < 0 or dice.random() < 0.5:
            kept.append((at, data))
        else:
            kept += [s for s in _sectors(at, data) if dice.random() < 0.5]
    return kept


def _sectors(at: int, data: bytes) -> Iterator[tuple[int, bytes]]:
    while data:
        size = SECTOR - at % SECTOR
        yield at, data[:size]
        at, data = at + size, data[size:]


def _applied(sure: bytes, since: list[tuple[int, bytes]]) -> bytes:
    found = bytearray(sure)
    for at, data in since:
        if at < 0:
            size = -1 - at
            found = found[:size] + bytes(max(size - len(found), 0))
        else:
            found += bytes(max(at + len(data) - len(found), 0))
            found[at : at + len(data)] = data
    return bytes(found)


# -- what must hold ----------------------------------------------------------------


def wrong_with(folder: Path, disk: Disk, final: list[Row]) -> str:
    """Say what doesn't hold in a folder found after the power went, '' for nothing."""
    shop = folder / "shop.bows"
    if not shop.exists():
        return "the shop is gone" if disk.entries else ""
    with Log.open(shop) as log:
        report = check_log(log)
        rows = [row for some in log.rows() for row in some]
    if report.faults:
        return f"not whole: {report.faults[0]}"
    if rows != final[: len(rows)]:
        return "another log"
    if len(rows) < len(final) and rows[-1][2] == final[len(rows)][2]:
        return "an entry half written"
    if rows[-1][2] < disk.entries:
        return f"entry {disk.entries} was acknowledged; the last is {rows[-1][2]}"
    if disk.forgotten and NAME.encode() in shop.read_bytes():
        return "a forgotten name is left"
    return _wrong_beside(folder)


def _wrong_beside(folder: Path) -> str:
    for path in (folder / "copy.bows", folder / "imported.bows"):
        if path.exists():
            with Log.open(path) as log:
                if check_log(log).faults or not log.head().seq:
                    return f"{path.name} isn't whole"
    exported = folder / "out.jsonl"
    if exported.exists():
        (folder / "again.bows").unlink(missing_ok=True)
        with Log.create(folder / "again.bows") as log, suppress(Exception):
            import_lines(exported.read_text("utf-8").splitlines(), log)
            return ""
        return "an export half written"
    return ""


def one_run(
    calls: list[Call], disk: Disk, at: int, dice: random.Random, place: Path,
    final: list[Row],
) -> tuple[str, str, bool]:  # fmt: skip
    """Cut the power after a call; give the way, what is wrong, if a journal is left."""
    way = dice.choice(WAYS)
    place.mkdir()
    for path, data in disk.cut(way, dice).items():
        (place / Path(path).name).write_bytes(data)
    journal = (place / "shop.bows-journal").exists()
    try:
        wrong = wrong_with(place, disk, final)
    except Exception as error:
        wrong = f"{type(error).__name__}: {error}"
    shutil.rmtree(place)
    return way, wrong and f"after call {at} ({calls[at].name}), {way}: {wrong}", journal


def main() -> None:
    """Record, cut and print."""
    told = asked(__doc__, runs=5000, options=("lying",))
    if shutil.which("strace") is None:
        print("strace is not here: nothing was shown, 0 wrong")
        return
    counts: Counter[str] = Counter()
    wrong: list[str] = []
    rows = 3_000 if told.runs >= 1000 else 200
    with workshop() as folder:
        (folder / "typed").mkdir()
        many = [f"2026-04-{1 + n % 28:02},sold,1,4in navy" for n in range(rows)]
        text = "\n".join(["day,what,qty,kind", *many]) + "\n"
        (folder / "typed" / "many.csv").write_text(text)
        calls = recorded(folder / "typed")
        with Log.open(folder / "typed" / "shop.bows", readonly=True) as log:
            final = [row for some in log.rows() for row in some]
        dice = chance(told, 0)
        cuts = sorted(_places(calls, told.runs, dice))
        disk, done = Disk(), 0
        for at in cuts:
            for call in calls[done : at + 1]:
                if "lying" not in told.options or "sync" not in call.name:
                    disk.do(call)
            done = max(done, at + 1)
            way, bad, journal = one_run(calls, disk, at, dice, folder / "found", final)
            counts[way] += 1
            counts["with a journal left"] += journal
            wrong += [bad] if bad else []
    counts["calls recorded"] = len(calls)
    tell(f"{told.runs} cuts of power", counts, wrong)


def _places(calls: list[Call], runs: int, dice: random.Random) -> Iterator[int]:
    """Choose calls: half of them among those next to a sync, a link or a removal."""
    near = [
        place + step
        for place, call in enumerate(calls)
        if call.name in ("fsync", "fdatasync", "unlink", "link", "acknowledged")
        for step in (-1, 0, 1)
        if 0 <= place + step < len(calls)
    ]
    for run in range(runs):
        yield dice.choice(near) if run % 2 else dice.randrange(len(calls))


if __name__ == "__main__":
    main()
