"""Takes the pictures of sheets that README.md shows: ``python tests/take_sheet_pictures.py [FOLDER]``."""

from __future__ import annotations

import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
WANTED = {"Straining sheet, section A7": "sheet-straining", "Long section": "sheet-long-section",
          "Plan, map 1": "sheet-plan", "Roll": "sheet-rolls"}


def main(folder: Path) -> int:
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from planner.files.sample_farm import sample_job
    from planner.job.derive import plan_job
    from planner.jobpack.basis import basis_of
    from planner.jobpack.job_pack_pdf import job_pack_pages, straining_sheet_pages
    from planner.render.pdf import need_application, write_png

    need_application()
    folder.mkdir(parents=True, exist_ok=True)
    basis = basis_of(plan_job(sample_job()))
    left = dict(WANTED)
    for page in (*straining_sheet_pages(basis), *job_pack_pages(basis)):
        for start in [key for key in left if page.title.startswith(key)]:
            write_png(folder / f"{left.pop(start)}.png", page, dpi=88.0)
    if left:
        print("not found:", *left)
    return len(left)


if __name__ == "__main__":
    standard = Path(__file__).resolve().parents[1] / "resources" / "pictures"
    raise SystemExit(main(Path(sys.argv[1]) if len(sys.argv) > 1 else standard))
