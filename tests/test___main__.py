"""The program as a process: exit status and the last catch."""

import os
import re
import subprocess
import sys
from pathlib import Path


def run(*arguments, **environment):
    command = [sys.executable, "-m", "signplan", *map(str, arguments)]
    return subprocess.run(
        command, capture_output=True, text=True, check=False, env={**os.environ, **environment}
    )


def test_the_exit_status_reaches_the_shell(tmp_path):
    assert run("check", tmp_path).returncode == 2
    assert run("new", tmp_path).returncode == 0
    job = tmp_path / "job.toml"
    job.write_text(job.read_text().replace('"1/32"', "0"))
    assert run("check", tmp_path).returncode == 1
    assert run("stock", "pipe 1").returncode == 0


def test_an_internal_fault_leaves_a_log_and_exits_3(tmp_path):
    code = (
        "import sys, signplan.job.starter as starter\n"
        "from signplan.__main__ import main\n"
        "del starter.starter_files\n"  # the command that needs it meets a fault of ours
        "sys.argv = ['signplan', 'new', 'sign']\n"
        "main()\n"
    )
    result = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        env={**os.environ, "TMPDIR": str(tmp_path)},
    )
    assert result.returncode == 3
    assert result.stdout == ""
    said = re.fullmatch(
        r"signplan: an internal fault \(ImportError\)\. This is our mistake, not yours; the log is (.*)\n",
        result.stderr,
    )
    assert said
    log = Path(said[1])
    assert log.parent == tmp_path
    assert "Traceback" in log.read_text()
    assert "'new', 'sign'" in log.read_text()


def test_a_console_that_lacks_letters_is_no_fault(tmp_path):
    result = run("new", tmp_path / "Bäcker-½", PYTHONIOENCODING="iso8859-5")
    assert result.returncode == 0
    assert "B\\xe4cker-\\xbd/job.toml" in result.stdout
