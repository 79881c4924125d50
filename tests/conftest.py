"""How hard the laws are tried: the same few examples on each normal run, many random ones when asked.

`HYPOTHESIS_PROFILE=thorough pytest tests/property` tries hundreds. Nothing here is timed: a slow machine is no
fault of the code.
"""

import os

from hypothesis import HealthCheck, settings

# Requests for which nothing fits are drawn too, and some laws can only pass them over.
_SUPPRESSED = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]

settings.register_profile(
    "normal", max_examples=25, deadline=None, derandomize=True, suppress_health_check=_SUPPRESSED
)
settings.register_profile(
    "thorough", max_examples=600, deadline=None, print_blob=True, suppress_health_check=_SUPPRESSED
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "normal"))
