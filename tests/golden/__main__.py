"""Write the digests again, after answers were changed on purpose; `--show` prints them instead."""

import sys

from bagatelle import load_instruments

from tests.golden.answers import DIGESTS, digests_text

if sys.argv[1:] == ["--show"]:
    sys.stdout.write(digests_text(load_instruments()))
else:
    DIGESTS.write_text(digests_text(load_instruments()))
    print("Written:", DIGESTS)
