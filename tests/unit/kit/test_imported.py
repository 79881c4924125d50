"""What the plugin's files import is read from them all, and a file that no Python can read imports nothing."""

from pathlib import Path

import pytest
from bagatelle.kit.imported import import_faults


def test_a_file_that_no_python_can_read_hides_no_other(tmp_path: Path) -> None:
    package = tmp_path / "bagatelle_kazoo"
    package.mkdir()
    (package / "old_notes.py").write_text('print "hello"\n')
    (package / "latin.py").write_bytes("NAME = 'Flöte'\n".encode("latin-1"))
    (package / "zero.py").write_bytes(b"NAME = '\0'\n")
    (package / ".#plugin.py").symlink_to("/nonexistent")
    (package / "folder.py").mkdir()
    (package / "plugin.py").write_text("import bagatelle.engine\n")
    assert [str(fault) for fault in import_faults([package])] == [
        "bagatelle_kazoo/plugin.py, line 1: imports bagatelle.engine (accepted: bagatelle.contract)"
    ]


@pytest.mark.filterwarnings("error")
def test_a_file_of_which_python_warns_is_read(tmp_path: Path) -> None:
    file = tmp_path / "plugin.py"
    file.write_text("import bagatelle.engine\n\nDIGITS = '\\d'\n")
    assert len(import_faults([file])) == 1
