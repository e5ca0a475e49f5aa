"""Files that cannot be read, or not as text: told at once, in words that say which; never waited for."""

import errno
import os
import time
from pathlib import Path

import pytest
from damaged_lines import PARTS, with_line

from outboard.brief import read
from outboard.errors import Mistake, WrongInput


def refusal(path: Path | str) -> Mistake:
    start = time.perf_counter()
    with pytest.raises(WrongInput) as caught:
        read(path)
    assert time.perf_counter() - start < 0.3
    (mistake,) = caught.value.mistakes
    assert mistake.file == str(path)
    return mistake


def test_a_missing_file_names_its_likely_neighbour(tmp_path: Path) -> None:
    (tmp_path / "supply.toml").write_text(PARTS, encoding="utf-8")
    mistake = refusal(tmp_path / "suply.toml")
    assert mistake.what == "there is no such file"
    assert mistake.write == str(tmp_path / "supply.toml")


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    assert refusal(tmp_path).what == "this is a folder"
    assert refusal(tmp_path / "nothing" / "there.toml").what == "there is no such file"


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "closed.toml"
    path.write_text(PARTS, encoding="utf-8")
    path.chmod(0)

    def closed(*_: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    if os.geteuid() == 0:  # root may read everything
        monkeypatch.setattr(Path, "open", closed)
    assert refusal(path).what == "this file may not be read"


def test_a_link_to_itself(tmp_path: Path) -> None:
    path = tmp_path / "loop.toml"
    path.symlink_to(path)
    assert refusal(path).what == "this link leads back to itself"


def test_a_pipe_and_a_device_are_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    assert refusal(pipe).what == "this is no ordinary file"
    assert refusal("/dev/zero").what == "this is no ordinary file"


def test_odd_names(tmp_path: Path) -> None:
    assert refusal("\0").what == "this is no name of a file"
    assert refusal(tmp_path / ("n" * 5000)).what == "the name is too long for a file"


def test_a_file_that_is_not_text_names_the_first_bad_place(tmp_path: Path) -> None:
    path = tmp_path / "latin.toml"
    path.write_bytes(b'title = "a"\nx = "47 ' + "µ".encode("latin-1") + b'F"\n')
    mistake = refusal(path)
    assert mistake.what == "this is not text in UTF-8"
    assert (mistake.line, mistake.column) == (2, 9)
    path.write_bytes(PARTS.encode("utf-16"))
    assert refusal(path).line == 1
    path.write_bytes(bytes(range(256)) * 20)
    refusal(path)


def test_a_file_of_more_than_a_megabyte(tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * 1_000_001)
    assert refusal(path).what == "this file is larger than 1 MB"


def test_line_ends_and_a_byte_order_mark_of_other_systems(tmp_path: Path) -> None:
    path = tmp_path / "other.toml"
    path.write_bytes(b"\xef\xbb\xbf" + PARTS.replace("\n", "\r\n").encode())
    assert len(read(path).parts) == 4
    path.write_bytes(with_line(PARTS, 5, 'resistance = "4k7 V"').replace("\n", "\r\n").encode())
    mistake = refusal(path)
    assert (mistake.line, mistake.column) == (5, 14)
