"""Files are written whole or not at all: read-only folders, full disks, an interrupt at any moment."""

import os
import resource
import signal
import stat
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from outboard.cli.program import program
from outboard.files import write_bytes, write_text

ROOT = Path(__file__).resolve().parents[2]
OBSERVATORY = ROOT / "examples" / "observatory.toml"
RAILWAY = ROOT / "examples" / "model-railway.toml"
START = "import sys; from outboard.cli import main; print('ready', flush=True); sys.exit(main(sys.argv[1:]))"

# Every option that writes a file, the words before its name
WRITERS = {
    "expand --output": ["expand", str(OBSERVATORY), "--output"],
    "divide --csv": ["divide", str(OBSERVATORY), "--points", "10", "--csv"],
    "divide --figure": ["divide", str(OBSERVATORY), "--points", "10", "--figure"],
    "verify --reach": ["verify", str(RAILWAY), "--reach"],
}
NAMES = {
    "expand --output": "out.toml", "divide --csv": "out.csv", "divide --figure": "out.svg", "verify --reach": "out.json"
}  # fmt: skip


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(program, [str(argument) for argument in arguments])


def one_clear_line(stderr: str, *pieces: str) -> None:
    assert stderr.count("\n") == 1 and "Traceback" not in stderr, stderr
    for piece in pieces:
        assert piece in stderr


def test_a_new_file_has_the_usual_permissions_and_a_replaced_one_keeps_its_own(tmp_path: Path) -> None:
    path, plain = tmp_path / "new", tmp_path / "plain"
    write_text(path, "µ\n")
    plain.write_text("", encoding="utf-8")
    assert path.read_bytes() == b"\xc2\xb5\n"
    assert stat.S_IMODE(path.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)
    path.chmod(0o640)
    write_text(path, "b")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640 and path.read_text(encoding="utf-8") == "b"
    assert sorted(os.listdir(tmp_path)) == ["new", "plain"]


def test_a_link_is_followed_and_stays(tmp_path: Path) -> None:
    target, link = tmp_path / "target", tmp_path / "link"
    target.write_text("old", encoding="utf-8")
    link.symlink_to(target)
    write_text(link, "new")
    assert link.is_symlink() and target.read_text(encoding="utf-8") == "new"


def test_what_is_no_file_is_written_to(tmp_path: Path) -> None:
    write_text("/dev/null", "gone")
    assert not Path("/dev/null").is_file()


def test_a_new_file_does_not_replace_one_that_comes_in_between(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, fsync = tmp_path / "out", os.fsync

    def slow(handle: int) -> None:
        path.write_text("theirs", encoding="utf-8")
        fsync(handle)

    monkeypatch.setattr(os, "fsync", slow)
    with pytest.raises(FileExistsError):
        write_text(path, "ours", replace=False)
    assert path.read_text(encoding="utf-8") == "theirs" and os.listdir(tmp_path) == ["out"]


@pytest.mark.parametrize("broken", ["fsync", "replace", "fdopen", "chmod"])
@pytest.mark.parametrize("raised", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_whatever_fails_the_old_file_stays_and_nothing_is_left(
    broken: str, raised: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "out"
    path.write_text("old", encoding="utf-8")

    def fail(*_: object, **__: object) -> None:
        raise raised

    with monkeypatch.context() as patched, pytest.raises(type(raised)):
        patched.setattr(os, broken, fail)
        write_bytes(path, b"new")
    assert path.read_text(encoding="utf-8") == "old"
    assert os.listdir(tmp_path) == ["out"]


@pytest.mark.parametrize("writer", WRITERS)
def test_a_folder_that_is_not_there_or_takes_nothing(writer: str, tmp_path: Path) -> None:
    name = NAMES[writer]
    missing = run(*WRITERS[writer], tmp_path / "nowhere" / name)
    assert missing.exit_code == 2
    one_clear_line(missing.stderr, writer.split()[1], "cannot be written")
    (tmp_path / "folder.svg").mkdir()
    assert run(*WRITERS[writer], tmp_path / "folder.svg").exit_code == 2
    assert os.listdir(tmp_path) == ["folder.svg"]


def started(arguments: list[str], folder: Path, **options: object) -> "subprocess.Popen[str]":
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src"), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.Popen([sys.executable, "-c", START, *arguments], cwd=folder, text=True, env=environment,
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, **options)  # type: ignore[call-overload, no-any-return]  # fmt: skip


def allow_nothing_longer_than_a_few_bytes() -> None:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))


def test_a_read_only_folder() -> None:
    with tempfile.TemporaryDirectory() as outer:
        Path(outer).chmod(0o755)
        shut = Path(outer, "shut")
        shut.mkdir(mode=0o555)
        if not (child := os.fork()):  # permissions count for nobody who is root
            if os.geteuid() == 0:
                os.setuid(65534)
            try:
                write_text(shut / "out", "x")
            except PermissionError:
                os._exit(7)
            os._exit(8)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 7
        assert os.listdir(shut) == []


@pytest.mark.parametrize("writer", WRITERS)
def test_a_full_disk_leaves_no_half_file(writer: str, tmp_path: Path) -> None:
    process = started([*WRITERS[writer], NAMES[writer]], tmp_path, preexec_fn=allow_nothing_longer_than_a_few_bytes)
    _, stderr = process.communicate(timeout=60)
    assert process.returncode == 2, stderr
    one_clear_line(stderr, writer.split()[1], "cannot be written (File too large)")
    assert os.listdir(tmp_path) == []


def test_size_write_on_a_full_disk_keeps_the_file(tmp_path: Path) -> None:
    path = tmp_path / "railway.toml"
    path.write_bytes(RAILWAY.read_bytes())
    process = started(["size", str(path), "--write"], tmp_path, preexec_fn=allow_nothing_longer_than_a_few_bytes)
    _, stderr = process.communicate(timeout=60)
    assert process.returncode == 2
    one_clear_line(stderr, str(path), "File too large")
    assert path.read_bytes() == RAILWAY.read_bytes() and os.listdir(tmp_path) == ["railway.toml"]


@pytest.mark.parametrize("seconds", [0.02, 0.1, 0.2, 0.4, 0.8, 1.2])
def test_an_interrupt_at_any_moment_ends_quietly(seconds: float, tmp_path: Path) -> None:
    words = ["divide", str(OBSERVATORY), "--points", "5000", "--csv", "out.csv", "--figure", "out.svg"]
    process = started(words, tmp_path)
    assert process.stdout is not None and process.stdout.readline() == "ready\n"
    time.sleep(seconds)
    process.send_signal(signal.SIGINT)
    _, stderr = process.communicate(timeout=60)
    assert "Traceback" not in stderr, stderr
    assert process.returncode in (130, 0), stderr
    for name in os.listdir(tmp_path):
        assert name in ("out.csv", "out.svg")
        content = (tmp_path / name).read_text(encoding="utf-8")
        assert content.endswith("</svg>\n") if name == "out.svg" else content.count("\n") > 5000


@pytest.mark.parametrize("verb", ["solve", "verify"])
def test_an_interrupt_in_the_middle_of_a_verb_is_130(verb: str, monkeypatch: pytest.MonkeyPatch) -> None:
    import outboard.dossier as dossier

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(dossier, "opened", interrupted)
    result = run(verb, OBSERVATORY)
    assert result.exit_code == 130
    one_clear_line(result.stderr, "interrupted")
