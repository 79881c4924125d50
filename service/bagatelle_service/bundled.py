"""Where the files beside the code are: migrations, contract. One resolver for every mode of installation.

In a checkout they lie in top-level folders; the build hook copies them into wheels and source distributions,
below `_bundled`.
"""

from pathlib import Path
from typing import Literal

PACKAGE = Path(__file__).resolve().parent


def bundled_folder(name: Literal["migrations", "openapi"]) -> Path:
    """Find the folder, whichever way the service was installed.

    :raises FileNotFoundError: where the installation lacks it; the message names the places looked at.
    """
    places = (PACKAGE / "_bundled" / name, PACKAGE.parent.parent / name)
    for place in places:
        if place.is_dir():
            return place
    looked_at = " or ".join(str(place) for place in places)
    raise FileNotFoundError(
        f"This installation of bagatelle-service lacks its {name}: nothing at {looked_at}."
    )
