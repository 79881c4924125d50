"""Finds Chromium and lets it load one page, with no way out to the internet."""

import shutil
import subprocess
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome")
PATIENCE_SECONDS = 120
BUDGET_MILLISECONDS = 20_000


def chromium() -> str | None:
    """Find the program; None where there is none."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


def page_as_drawn(url: str, profile: Path) -> str:
    """Load a page, run its scripts, and give the document that came of it. Every host but 127.0.0.1 is unknown."""
    program = chromium()
    assert program is not None, f"Chromium is needed; looked for {', '.join(NAMES)}"
    command = [
        program,
        "--headless=new",
        "--no-sandbox",  # it runs as the superuser in containers
        "--disable-gpu",
        "--disable-dev-shm-usage",
        f"--user-data-dir={profile}",
        "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
        f"--virtual-time-budget={BUDGET_MILLISECONDS}",
        "--dump-dom",
        url,
    ]
    done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_SECONDS, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout
