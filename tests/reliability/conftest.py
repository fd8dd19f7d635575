"""Kept work under stress: nothing that was accepted may be lost, and every refusal is a sentence.

Short forms run with all other tests. The full ones take long and run only on request::

    python -m pytest -n 0 -m reliability -s tests/reliability

- `test_kills.py`: a process saves without a break and is killed with -9 at a random moment, 10
  times or 200. All that it had been told was saved is there, and the file passes integrity_check.
  A kill leaves what the system holds in memory; for a power cut the file relies on SQLite's sync at
  each commit, which `tests/kept/test_file.py` checks to be on.
- `test_pulled_away.py`: the file is removed, renamed, emptied, cut or replaced in nine ways while a
  process saves, 40 times a way: told, nothing accepted lost, a copy put there by hand as it was; and the
  same where the process ends before it could tell: the next start tells, and has all of it.
- `test_damage.py`: 40 or 400 damaged files are opened, exported and worked in without a traceback.
- `test_bombs.py`: small files that would unpack into very much are refused; what each costs.
- `test_writers.py`: eight processes at once, on one formula and on many.
- `test_no_room.py`: a full disk and a folder that may not be written.
- `test_fuzz.py`: every reader with 200 inputs made to break it, or 100,000. It prints how many were
  read and how long the slowest took.
"""
