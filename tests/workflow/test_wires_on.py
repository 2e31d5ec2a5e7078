"""The side of the posts on which wires hang: said on the command line and kept in the job."""

from pathlib import Path

import pytest
from command_line import command

from planner.files.job_file import read_job

LINE = '{"type":"Feature","properties":{"name":"%s"},"geometry":{"type":"LineString","coordinates":[[147.0,-36.0],' \
       '[147.004,-36.0]]}}'


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_side_that_is_said_is_kept_for_the_lines_that_were_read(tmp_path: Path, side: str):
    job = tmp_path / "it.job.gpkg"
    for name, words in (("First", ()), ("Second", ("--wires-on", side))):
        source = tmp_path / f"{name}.geojson"
        source.write_text(LINE % name, encoding="utf-8")
        ran = command("plan", source, "--job", job, "--crs", "EPSG:7855", "--fence", "cattle-barbed-4", "--quiet",
                      *words)
        assert ran.status == 0, ran.err
    assert [line.wires_on for line in read_job(job).lines] == ["", side]
