"""What the shelf loads: numpy at most until something heavier is asked for."""

import subprocess
import sys

HEAVY = ("scipy", "gsw", "pandas", "statsmodels", "sqlite3", "PySide6")
EARLY = """
import sys
from rackview.science import ammonia, counts, development, disinfection, feeding, growth
from rackview.science import larvae, mixing, oxygen, seawater, transfer, units
counts.count_density([12, 15, 9], 1.0)
counts.more_aliquots([12, 15, 9], 0.2)
counts.negbin_k([3, 9, 0, 14, 2])
seawater.salinity_from_sg(1.022, "25/25", equation="EOS-80")
ammonia.unionised_mg_l(1.0, 8.0, 25.0, 25.0)
oxygen.saturation_mg_l(25.0, 25.0)
growth.poisson_fit([0, 1, 2], [3, 5, 9], [1, 1, 1])
print(*sorted({name.split(".")[0] for name in sys.modules}))
"""


def test_counts_growth_ammonia_and_oxygen_need_numpy_only():
    done = subprocess.run([sys.executable, "-c", EARLY], capture_output=True, text=True, check=True, timeout=120)
    loaded = set(done.stdout.split())
    assert "numpy" in loaded
    assert not loaded & set(HEAVY)
