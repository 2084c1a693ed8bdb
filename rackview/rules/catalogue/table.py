"""Every rule: what it looks at, from which threshold on, why it matters, what to do, by when, and where it is from.

`docs/rules.md` is made from this list. A rule without a severity is a state that guides suggestions, not an alarm:
an alarm is only what wants a timely response by a person. Thresholds named here are fields of the strain profile, so
a keeper can change each per rack, per strain and per vessel.
"""

from __future__ import annotations

from rackview.rules.catalogue.care import CARE
from rackview.rules.catalogue.counts import COUNTS
from rackview.rules.catalogue.rule import Rule
from rackview.rules.catalogue.water import WATER

RULES: tuple[Rule, ...] = (*COUNTS, *WATER, *CARE)
BY_CODE = {rule.code: rule for rule in RULES}
