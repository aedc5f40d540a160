"""
Programs killed, disks that fail or are full, files that may only be read.

Run: ``python tests/bench/bench_kills.py [--runs 500] [--seed 1]``.  In every run a copy
of a small shop is given to a process that does one thing: an entry, a take-in of 5,000
lines (300 in less than a hundred runs), an export, an import, a back-up, a name
forgotten, or an upgrade from an invented older format.  It meets one trouble:

- kill -9 at a random moment, or (where there is strace) at a random one of the calls by
  which it opens, writes, syncs, cuts, links and removes files;
- where there is strace, one of these calls failing once or from then on, as of a broken
  disk (EIO) or a full one (ENOSPC);
- a disk that is full after so many more bytes: a small file system where root may mount
  one, else a limit on the size of files;
- a shop file and folder that may only be read.

Afterwards the shop opens, `bows check` finds it whole, all that was acknowledged is
there, what was begun is there whole or not at all, no file under a name she gave is
half written, and what was refused was refused in words.  Killing a program doesn't lose
what the system holds in its buffers; for that see bench_power.py.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from trusting import ROOT, asked, chance, small_shop, tell, typed, workshop

from planner.log.check import check_log
from planner.log.export import import_lines
from planner.log.schema import SCHEMA
from planner.log.store import Log

RUN = "from planner.commands.main import run; run()"
UPGRADE = """
import sys
from pathlib import Path
from planner.errors import Trouble
from planner.log.schema import SCHEMA
from planner.log.store import Log
index = next(words for words in SCHEMA if "INDEX correction" in words)
try:
    Log.open(Path(sys.argv[1]), migrations={0: lambda db: db.execute(index)}).close()
except Trouble as trouble:
    print(trouble)
    sys.exit(2)
print("done", flush=True)
"""
CALLS = ("openat", "pwrite64", "write", "fsync", "fdatasync", "ftruncate", "unlink",
         "link", "rename")  # fmt: skip
FAILING = ("pwrite64", "fsync", "fdatasync", "ftruncate", "unlink", "link")
WORDS = re.compile(r"nothing was written|can't be|may only be read|is full|try:", re.I)


@dataclass(frozen=True, slots=True)
class Thing:
    """Something a process does to a shop; what it leaves, when all went well."""

    name: str
    often: int
    words: Callable[[Path], list[str]]
    adds: int = 0
    """Entries that it writes, all or none."""


def bows(*words: str) -> Callable[[Path], list[str]]:
    """Give the command line of `bows`, ``{here}`` standing for the shop's folder."""

    def line(shop: Path) -> list[str]:
        told = [word.format(here=shop.parent) for word in words]
        return [sys.executable, "-c", RUN, "--shop", str(shop), *told]

    return line


def upgrade(shop: Path) -> list[str]:
    """Give the command line of an upgrade."""
    return [sys.executable, "-c", UPGRADE, str(shop)]


def importing(shop: Path) -> list[str]:
    """Give the command line of an import into a new shop."""
    other = shop.with_name("imported.bows")
    return bows("import", "{here}/exported.jsonl")(other)


def things(lines: int) -> list[Thing]:
    """Give all that is tried, with how often."""
    return [
        Thing("entry", 8, bows("sold", "2", "4in", "red"), 1),
        Thing("take-in", 2, bows("take-in", "{here}/many.csv"), lines + 1),
        Thing("export", 2, bows("export", "{here}/out.jsonl")),
        Thing("import", 2, importing),
        Thing("back-up", 2, bows("back-up", "{here}/copy.bows")),
        Thing("forget", 1, bows("forget", "P1"), 1),
        Thing("upgrade", 2, upgrade),
    ]


# -- one folder, as it is before a run ---------------------------------------------


def prepared(folder: Path, lines: int) -> Path:
    """Make a shop, a file of lines for it, and its export."""
    folder.mkdir()
    shop = small_shop(folder)
    words = ("cut", "made", "sold")
    rows = [
        f"2026-04-{1 + n % 28:02},{words[n % 3]},{1 + n % 5},4in navy"
        for n in range(lines)
    ]
    csv = "\n".join(["day,what,qty,kind", *rows]) + "\n"
    (folder / "many.csv").write_text(csv, encoding="utf-8")
    code, said = typed(shop, f"export {folder / 'exported.jsonl'}")
    assert code == 0, said
    return folder


def copied(folder: Path, target: Path, thing: Thing) -> Path:
    """Copy it all; for an upgrade, to an older format."""
    shutil.copytree(folder, target)
    shop = target / "shop.bows"
    if thing.name == "upgrade":
        with Log.open(shop) as log:
            log.db.execute("DROP INDEX correction")
            log.db.execute("PRAGMA user_version = 0")
    return shop


# -- troubles ----------------------------------------------------------------------


@dataclass(slots=True)
class Ended:
    """How a process ended: its code (-9 when killed) and what it said."""

    code: int
    said: str


def ran(command: list[str], *, after: float | None = None, **more: object) -> Ended:
    """Run a process, killed after some seconds where told."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=env,
        **more,  # type: ignore[call-overload]
    ) as process:  # fmt: skip
        if after is not None:
            time.sleep(after)
            process.kill()
        said = process.communicate()[0]
        return Ended(process.returncode, said)


def traced(told: list[str], trace: Path, command: list[str]) -> list[str]:
    """Give a command line under strace."""
    calls = f"trace={','.join(CALLS)}"
    return ["strace", "-f", "-qq", "-e", calls, *told, "-o", str(trace), *command]


class Troubles:
    """The troubles there are here, and how long and by what calls a thing is done."""

    def __init__(self, base: Path, lines: int) -> None:
        self.base, self.lines = base, lines
        self.strace = shutil.which("strace") is not None
        self.root = hasattr(os, "getuid") and os.getuid() == 0
        self.seconds: dict[str, float] = {}
        self.calls: dict[str, Counter[str]] = {}

    def learn(self, thing: Thing, folder: Path) -> None:
        """Do a thing undisturbed: how long it takes, and which calls it makes."""
        trace = folder / "trace"
        command = thing.words(copied(self.base, folder / "learn", thing))
        began = time.perf_counter()
        ended = ran(command)
        self.seconds[thing.name] = time.perf_counter() - began
        assert ended.code == 0, f"{thing.name}: {ended.said}"
        shutil.rmtree(folder / "learn")
        if self.strace:
            command = thing.words(copied(self.base, folder / "learn", thing))
            ran(traced([], trace, command))
            found = re.findall(
                r"^\d+ +(\w+)\(", trace.read_text(errors="replace"), re.M
            )
            self.calls[thing.name] = Counter(found)
            shutil.rmtree(folder / "learn")

    def one(self, thing: Thing, shop: Path, dice: random.Random) -> tuple[str, Ended]:
        """Do a thing with a trouble chosen at random."""
        kinds = ["kill by the clock", "kill by the clock", "full"]
        if not self.root or _can_mount(self.base.parent):
            kinds.append("read only")
        if self.strace:
            kinds += ["kill at a call"] * 4 + ["EIO", "ENOSPC"] * 2
        kind = dice.choice(kinds)
        command = thing.words(shop)
        if kind == "kill by the clock":
            # The second half is when files are written.
            span = self.seconds[thing.name]
            return kind, ran(command, after=dice.uniform(0.2 * span, 1.1 * span))
        if kind == "full":
            return kind, self.full(command, shop, dice)
        if kind == "read only":
            return kind, self.read_only(command, shop)
        return kind, self.at_a_call(kind, thing, command, shop, dice)

    def at_a_call(
        self,
        kind: str,
        thing: Thing,
        command: list[str],
        shop: Path,
        dice: random.Random,
    ) -> Ended:
        """Kill, or let fail, at a random one of the calls that touch files."""
        wanted = CALLS if kind == "kill at a call" else FAILING
        calls = {c: n for c, n in self.calls[thing.name].items() if c in wanted}
        call = dice.choice(sorted(calls))
        number = dice.randint(1, calls[call])
        if call in ("openat", "write"):  # nearly all of these load the program
            number = dice.randint(max(calls[call] - 40, 1), calls[call])
        more = dice.choice(("", "+"))
        what = "signal=KILL" if kind == "kill at a call" else f"error={kind}"
        told = ["-e", f"inject={call}:{what}:when={number}{more}"]
        ended = ran(traced(told, shop.parent / "trace", command))
        return Ended(-9 if ended.code in (-9, 137) else ended.code, ended.said)

    def full(self, command: list[str], shop: Path, dice: random.Random) -> Ended:
        """Let the disk be full after so many more bytes."""
        room = dice.choice((0, 4096, 20_000, 100_000, 1_000_000))
        if self.root and _can_mount(shop.parent.parent):
            with small_disk(shop.parent, room):
                return ran(command)
        largest = max(one.stat().st_size for one in shop.parent.iterdir()) + room
        return ran(command, preexec_fn=lambda: _limit(largest))

    def read_only(self, command: list[str], shop: Path) -> Ended:
        """Let the shop and its folder be read only; for root, their whole disk."""
        if self.root:
            with small_disk(shop.parent, 0, read_only=True):
                return ran(command)
        for one in shop.parent.iterdir():
            one.chmod(0o444)
        shop.parent.chmod(0o555)
        try:
            return ran(command)
        finally:
            shop.parent.chmod(0o755)
            for one in shop.parent.iterdir():
                one.chmod(0o600)


def _limit(largest: int) -> None:
    import resource

    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (largest, largest))


_mountable: list[bool] = []


def _can_mount(folder: Path) -> bool:
    if not _mountable:
        place = folder / "mount"
        place.mkdir()
        done = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)],
            capture_output=True, check=False,
        )  # fmt: skip
        _mountable.append(done.returncode == 0)
        if _mountable[0]:
            subprocess.run(["umount", str(place)], check=True)
    return _mountable[0]


@contextmanager
def small_disk(folder: Path, room: int, *, read_only: bool = False) -> Iterator[None]:
    """Put a folder on a file system with little room left; bring it back afterwards."""
    kept = folder.with_name("kept")
    shutil.copytree(folder, kept)
    needed = sum(-(-one.stat().st_size // 4096) * 4096 + 4096 for one in kept.iterdir())
    size = needed + room + 8192
    command = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)]
    subprocess.run(command, check=True)
    try:
        for one in kept.iterdir():
            shutil.copy(one, folder / one.name)
        if read_only:
            again = ["mount", "-o", "remount,ro", str(folder)]
            subprocess.run(again, check=True)
        yield
        shutil.rmtree(kept)
        shutil.copytree(folder, kept)
    finally:
        subprocess.run(["umount", str(folder)], check=True)
    shutil.rmtree(folder)
    kept.rename(folder)


# -- what must hold afterwards -----------------------------------------------------


def wrong_after(thing: Thing, ended: Ended, shop: Path, before: int) -> str:
    """Say what doesn't hold, '' when all does."""
    if ended.code == 1 or "Traceback" in ended.said:
        return f"a bug of ours: {ended.said[-300:]}"
    if ended.code == 2 and not WORDS.search(ended.said):
        return f"refused without a word to act on: {ended.said[-300:]}"
    return (
        _wrong_in_shop(thing, ended, shop, before)
        or _wrong_beside(thing, ended, shop)
        or _wrong_once_more(thing, shop)
    )


def _wrong_in_shop(thing: Thing, ended: Ended, shop: Path, before: int) -> str:
    index = next(words for words in SCHEMA if "INDEX correction" in words)
    with Log.open(shop, migrations={0: lambda db: db.execute(index)}) as log:
        report = check_log(log)
        done = log.head().entry - before
    acknowledged = bool(re.search(r"entr(y|ies) \d+.* written|taken in;", ended.said))
    if report.faults:
        return f"not whole: {report.faults[0]}"
    if done not in (0, thing.adds):
        return f"half written: {done} of {thing.adds} entries"
    if acknowledged and thing.name != "import" and done != thing.adds:
        return "acknowledged and not there"
    if ended.code == 0 and done != thing.adds:
        return "ended well and is not there"
    if ended.code == 2 and done and "may not last" not in ended.said:
        return f"refused and yet written: {ended.said[-200:]}"
    return ""


def _wrong_beside(thing: Thing, ended: Ended, shop: Path) -> str:
    """Look at the files a thing was to write: there whole, or not there."""
    made = {
        "export": shop.with_name("out.jsonl"),
        "import": shop.with_name("imported.bows"),
        "back-up": shop.with_name("copy.bows"),
    }.get(thing.name)  # fmt: skip
    copies = list(shop.parent.glob("shop-before-format-*.bows"))
    if made is None or not made.exists():
        missing = made is not None and ended.code == 0
        return "ended well and made no file" if missing else _all_whole(copies)
    if made.suffix == ".bows":
        return _all_whole([made])
    lines = made.read_text("utf-8").splitlines()
    with Log.create(shop.with_name("again.bows")) as log, suppress(Exception):
        import_lines(lines, log)
        return ""
    return "a file half written"


def _all_whole(paths: list[Path]) -> str:
    index = next(words for words in SCHEMA if "INDEX correction" in words)
    for path in paths:
        with Log.open(path, migrations={0: lambda db: db.execute(index)}) as log:
            report = check_log(log)
        if report.faults or not report.events:
            return (
                f"{path.name} isn't whole: {report.events} events {report.faults[:1]}"
            )
    return ""


def _wrong_once_more(thing: Thing, shop: Path) -> str:
    """Enter something afterwards, in a process that knows nothing of the trouble."""
    if thing.name not in ("entry", "upgrade"):
        return ""
    code, said = typed(shop, "sold 1 4in red")
    return "" if code == 0 else f"nothing can be entered afterwards: {said[-200:]}"


def main() -> None:
    """Run and print."""
    told = asked(__doc__, runs=500)
    lines = 5000 if told.runs >= 100 else 300
    counts: Counter[str] = Counter()
    wrong: list[str] = []
    with workshop() as folder:
        base = prepared(folder / "base", lines)
        with Log.open(base / "shop.bows", readonly=True) as log:
            before = log.head().entry
        troubles = Troubles(base, lines)
        every = things(lines)
        for thing in every:
            troubles.learn(thing, folder)
        for run in told.each():
            counts["runs"] += 1
            dice = chance(told, run)
            thing = dice.choices(every, [one.often for one in every])[0]
            shop = copied(base, folder / "run" / "shop", thing)
            kind, ended = troubles.one(thing, shop, dice)
            bad = wrong_after(thing, ended, shop, before)
            shutil.rmtree(folder / "run")
            counts[f"of {thing.name}"] += 1
            counts[kind] += 1
            counts[
                {0: "ended well", -9: "killed", 2: "refused"}.get(ended.code, "?")
            ] += 1
            wrong += [f"run {run}, {thing.name}, {kind}: {bad}"] if bad else []
    tell("killed, failing, full, read-only", counts, wrong)


if __name__ == "__main__":
    main()
