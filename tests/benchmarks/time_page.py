"""How soon ``whirlwise page`` answers, against importing its server library alone, and how large a view is.

``python -m tests.benchmarks.time_page`` prints medians over several starts: from the command to the whole
first view, with its style sheet, drawings and scripts.
"""

import re
import statistics
import subprocess
import sys
import tempfile
import time
from http.cookiejar import CookieJar
from urllib.request import HTTPCookieProcessor, build_opener

STARTS = 7
ADDRESS = re.compile(r"http://127\S+")
ASKED = re.compile(r'(?:href|src)="(/static/[\w.-]+)"')


def main() -> None:
    """Print the medians."""
    views = [_first_view() for _ in range(STARTS)]
    yardsticks = [_seconds_to_import() for _ in range(STARTS)]
    page_s, yardstick_s = statistics.median(s for s, _ in views), statistics.median(yardsticks)
    times = page_s / yardstick_s
    print(f"first view after {page_s:.2f} s, {times:.1f} times 'import starlette' ({yardstick_s:.2f} s)")
    print(f"first view of {views[0][1] / 1000:.0f} kB")


def _first_view() -> tuple[float, int]:
    """Seconds from the command to the view, and its bytes."""
    run = "from whirlwise.cli.app import main; main()"
    began_s = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-c", run, "page", "--no-browser", "--folder", folder]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout is not None
            entrance = next(found[0] for line in process.stdout if (found := ADDRESS.search(line)))
            opener = build_opener(HTTPCookieProcessor(CookieJar()))
            here = entrance.partition("/enter/")[0]
            opener.open(entrance, timeout=60).read()
            view = opener.open(here, timeout=60).read()
            parts = [
                opener.open(here + each, timeout=60).read() for each in set(ASKED.findall(view.decode()))
            ]
            taken_s = time.monotonic() - began_s
            process.terminate()
    return taken_s, len(view) + sum(map(len, parts))


def _seconds_to_import() -> float:
    began_s = time.monotonic()
    subprocess.run([sys.executable, "-c", "import starlette"], check=True)
    return time.monotonic() - began_s


if __name__ == "__main__":
    main()
