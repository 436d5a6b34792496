"""Take the pictures of docs/images as Chromium shows the pages (`make image`): report, sheets."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).parent
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
# file of docs/images: width and height of the window
WINDOWS = {"report": (1180, 1500), "clipboard": (860, 760), "numbers": (860, 700)}


def main() -> int:
    """Grade the demo run, write the sheets, keep the pictures; return the exit status."""
    browser = next(filter(None, map(shutil.which, BROWSERS)), None)
    if browser is None:
        print(f"None of {', '.join(BROWSERS)} is installed.", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        walkgrade("demo", "--out", folder / "report")
        walkgrade("paper", "--write", "html", "--out", folder / "paper")
        pages = {path.stem.split("-")[-1]: path for path in (folder / "paper").iterdir()}
        pages["report"] = sorted((folder / "report").glob("demo-*.html"))[0]
        for picture, window in WINDOWS.items():
            shoot(browser, pages[picture], HERE / f"{picture}.png", folder, window)
            print(HERE / f"{picture}.png")
        for picture in ("clipboard", "numbers"):
            lighten(HERE / f"{picture}.png")
    return 0


def lighten(picture: Path) -> None:
    """Keep sixteen greys of a picture that has no colour."""
    from PIL import Image

    with Image.open(picture) as image:
        grey = image.convert("L").quantize(16)
    grey.save(picture, optimize=True)


def walkgrade(*words: str | Path) -> None:
    """Run the program of this source tree."""
    subprocess.run([sys.executable, "-m", "walkgrade", *words], check=True, cwd=ROOT)


def shoot(browser: str, page: Path, picture: Path, folder: Path, window: tuple[int, int]) -> None:
    """Screenshot `page` to `picture`; `folder` holds the browser's throw-away profile."""
    command = [
        browser,
        "--headless",
        "--disable-gpu",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
        "--hide-scrollbars",
        f"--user-data-dir={folder / 'browser'}",
        f"--window-size={window[0]},{window[1]}",
        f"--screenshot={picture}",
        page.as_uri(),
    ]
    if _is_root():
        command.insert(1, "--no-sandbox")
    subprocess.run(command, check=True, capture_output=True, timeout=120)


def _is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


if __name__ == "__main__":
    sys.exit(main())
