"""All kinds of record, by the word that names them."""

from fea.measurement.cut_kind import CUT
from fea.measurement.push_kind import PUSH
from fea.measurement.spring_kind import SPRING
from fea.measurement.tap_kind import TAP

KINDS = {kind.name: kind for kind in (PUSH, SPRING, CUT, TAP)}
