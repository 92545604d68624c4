"""kill -9 of our own process at random points while it stores and copies: afterwards the remote equals the record."""

from __future__ import annotations

import asyncio
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from server.stores.sqlite_file import FILE_NAME
from tests.faults.copying import Copying, local
from tests.remotes import InfluxServer, own_folder, running

pytestmark = pytest.mark.whole
ROOT = Path(__file__).resolve().parents[2]
KILLS = 20
KILLER = textwrap.dedent("""
    import asyncio, os, random, signal, sys, time
    from pathlib import Path
    from server.reading import Reading
    from server.stores import influx
    from tests.faults.copying import T0, Copying, readings

    class Server:
        url = sys.argv[2]

    async def story(spell):
        chance = random.Random(spell)
        copying = Copying(Path(sys.argv[1]), Server, batch_rows=60)
        async with copying.running():
            os.write(ready, b"r")
            for n in range(10_000):
                rows = readings(spell * 40 + n % 40, 1)
                late = Reading("t1/temperature_c", T0 + chance.randint(0, 60_000 * 40 * (spell + 1)), float(n % 50))
                await copying.store.append([*rows, late])
                await asyncio.sleep(0.002)

    for spell in range(int(sys.argv[3])):
        told, ready = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                asyncio.run(story(spell))
            finally:
                os._exit(1)
        os.close(ready)
        assert os.read(told, 1) == b"r", "the child ended before it began"
        os.close(told)
        time.sleep(random.Random(1000 + spell).uniform(0.0, 0.35))
        os.kill(child, signal.SIGKILL)
        assert os.waitpid(child, 0)[1] == signal.SIGKILL, "the child ended by itself"
""")


async def test_killed_twenty_times(tmp_path: Path):
    """Field pitfall 1: no last points are missing, whenever the process died."""
    with own_folder() as folder, running(InfluxServer(folder / "server")) as server:
        command = [sys.executable, "-c", KILLER, str(tmp_path), server.url, str(KILLS)]
        more = {"cwd": ROOT, "env": {"PYTHONPATH": str(ROOT)}, "capture_output": True, "text": True}
        killed = await asyncio.to_thread(subprocess.run, command, **more)
        assert killed.returncode == 0, killed.stderr
        assert (tmp_path / FILE_NAME).exists()
        assert len(server.kept()) > 100  # it had come some way each time
        copying = Copying(tmp_path, server)
        async with copying.running():
            await copying.equal()
        assert len(local(tmp_path)) > 500
