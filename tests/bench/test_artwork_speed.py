"""Coverage of a picture of 36 million pixels.

Not part of the suite: python -m pytest --override-ini addopts= tests/bench
"""

import numpy as np
from PIL import Image

from planner.usage.artwork import read_artwork


def test_six_thousand_pixels_square(benchmark, tmp_path):
    path = tmp_path / "large.png"
    soft = np.random.default_rng(1).integers(0, 256, (60, 60, 4), dtype=np.uint8)
    Image.fromarray(soft).resize((6000, 6000)).save(path, compress_level=1)
    found = benchmark.pedantic(read_artwork, args=(path,), rounds=3)
    assert (found.width, found.height) == (6000, 6000)
