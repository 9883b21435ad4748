"""What a well is: the record, its three faces, what is doubtful in it, and the hole as it stood on a day.

No input or output beyond text. Everything readable from outside is listed here.
"""

from __future__ import annotations

from ledgewell.record.company import (
    Company,
    CompanyRecord,
    Equipment,
    Price,
    company_from_json,
    company_to_json,
    read_company,
    write_company,
)
from ledgewell.record.construction import (
    NEIGHBORS,
    OBSERVED,
    Bore,
    CameraNote,
    Casing,
    Closure,
    Fracture,
    MeasuringPoint,
    Neighbor,
    Photo,
    Site,
    StandingLevel,
    Stratum,
)
from ledgewell.record.correct import with_start
from ledgewell.record.datum import Datum, in_effect, local_time
from ledgewell.record.doubt import Doubt
from ledgewell.record.faces import (
    canonical_bytes,
    read_well,
    record_mark,
    well_from_json,
    well_to_json,
    write_well,
)
from ledgewell.record.fold import Conflict, Folded, entries_from_well, fold
from ledgewell.record.hole import (
    DropPipe,
    HoleFracture,
    HoleLevel,
    HoleOnDay,
    hole_at_test,
    hole_on,
    inside_diameter_m,
    outside_diameter_m,
)
from ledgewell.record.journal import Entry, check_entry, entry_from_json, entry_to_json, id_at, new_id
from ledgewell.record.laboratory import LaboratoryResult, laboratory_result
from ledgewell.record.lining import HoleInterval
from ledgewell.record.paths import Place, document_from_values, locate, values_by_path
from ledgewell.record.plausible import implausible, quantities_of
from ledgewell.record.plausible_water import stored_m3
from ledgewell.record.readings import (
    METHODS,
    EarlierReading,
    EventReading,
    FlowReading,
    LevelReading,
    MeterReading,
    RateReading,
    Reading,
    StageReading,
    VolumeReading,
)
from ledgewell.record.schema import company_schema, schema
from ledgewell.record.supply import Dosing, Need, Pipe, Pump, Sample, Tank, Wire
from ledgewell.record.times import ReadingTime
from ledgewell.record.trials import OCCASIONS, STIMULATIONS, Ratings, Stage, Stimulation, Test
from ledgewell.record.well import FORMAT, Well, upgrade

__all__ = [
    "FORMAT",
    "METHODS",
    "NEIGHBORS",
    "OBSERVED",
    "OCCASIONS",
    "STIMULATIONS",
    "Bore",
    "CameraNote",
    "Casing",
    "Closure",
    "Company",
    "CompanyRecord",
    "Conflict",
    "Datum",
    "Dosing",
    "Doubt",
    "DropPipe",
    "EarlierReading",
    "Entry",
    "Equipment",
    "EventReading",
    "FlowReading",
    "Folded",
    "Fracture",
    "HoleFracture",
    "HoleInterval",
    "HoleLevel",
    "HoleOnDay",
    "LaboratoryResult",
    "LevelReading",
    "MeasuringPoint",
    "MeterReading",
    "Need",
    "Neighbor",
    "Photo",
    "Pipe",
    "Place",
    "Price",
    "Pump",
    "RateReading",
    "Ratings",
    "Reading",
    "ReadingTime",
    "Sample",
    "Site",
    "Stage",
    "StageReading",
    "StandingLevel",
    "Stimulation",
    "Stratum",
    "Tank",
    "Test",
    "VolumeReading",
    "Well",
    "Wire",
    "canonical_bytes",
    "check_entry",
    "company_from_json",
    "company_schema",
    "company_to_json",
    "document_from_values",
    "entries_from_well",
    "entry_from_json",
    "entry_to_json",
    "fold",
    "hole_at_test",
    "hole_on",
    "id_at",
    "implausible",
    "in_effect",
    "inside_diameter_m",
    "laboratory_result",
    "local_time",
    "locate",
    "new_id",
    "outside_diameter_m",
    "quantities_of",
    "read_company",
    "read_well",
    "record_mark",
    "schema",
    "stored_m3",
    "upgrade",
    "values_by_path",
    "well_from_json",
    "well_to_json",
    "with_start",
    "write_company",
    "write_well",
]
