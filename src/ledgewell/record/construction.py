"""What is in the ground: site, casing, bore, strata, fractures, camera notes, levels, neighbors, photos."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from ledgewell.record import fields
from ledgewell.record.fields import DATUMS, Datum, Item, Part, Since, Until
from ledgewell.record.readings import METHODS
from ledgewell.record.specs import ChoiceSpec, ChoicesSpec, NumberSpec, ZoneSpec

OBSERVED = ("smooth", "rough", "washout", "fracture", "inflow", "stain", "shoe", "debris")
"""What a camera can show."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site(Part):
    """The well and its place: table ``[well]``."""

    name: Annotated[fields.Text, "name of the well"] = None
    owner: Annotated[fields.Text, "who owns it"] = None
    contact: Annotated[fields.Text, "how to reach the owner"] = None
    place: Annotated[fields.Text, "town or address"] = None
    latitude: Annotated[float | None, NumberSpec(-90, 90), "latitude in degrees, north positive"] = None
    longitude: Annotated[float | None, NumberSpec(-180, 180), "longitude in degrees, east positive"] = None
    zone: Annotated[str | None, ZoneSpec(), "IANA time zone of the well"] = None
    permit: Annotated[fields.Text, "permit number"] = None
    driller: Annotated[fields.Text, "who drilled it"] = None
    license: Annotated[fields.Text, "license of the driller"] = None
    completed: Annotated[fields.Day, "day it was completed"] = None
    purpose: Annotated[fields.Text, "what the water is for"] = None
    depths_from: Annotated[str | None, ChoiceSpec(DATUMS), "what depths are measured from"] = None
    stickup: Annotated[fields.Height, "height of the measuring point above ground"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuringPoint(Item):
    """A measuring point that changed: rules over the site's stickup while it lasts."""

    stickup: Annotated[fields.Height, "height of the measuring point above ground"] = None
    since: Since = None
    until: Until = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Casing(Item):
    """A length of casing, liner or screen."""

    top: Annotated[fields.SignedDepth, "depth of its top"] = None
    bottom: Annotated[fields.Depth, "depth of its bottom"] = None
    inside_diameter: Annotated[fields.Diameter, "inside diameter"] = None
    outside_diameter: Annotated[fields.Diameter, "outside diameter"] = None
    wall: Annotated[fields.Diameter, "wall thickness"] = None
    material: Annotated[fields.Text, "material"] = None
    kind: Annotated[str | None, ChoiceSpec(("casing", "liner", "screen")), "casing, liner or screen"] = None
    shoe: Annotated[fields.Flag, "whether it ends in a drive shoe"] = None
    annulus: Annotated[str | None, ChoiceSpec(("sealed", "open")), "whether the space outside is sealed"] = (
        None
    )
    grout: Annotated[fields.Text, "what it is sealed with"] = None
    depths_from: Datum = None
    since: Since = None
    until: Until = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore(Item):
    """A length of drilled hole of one diameter."""

    top: Annotated[fields.SignedDepth, "depth of its top"] = None
    bottom: Annotated[fields.Depth, "depth of its bottom"] = None
    diameter: Annotated[fields.Diameter, "diameter of the bit"] = None
    method: Annotated[fields.Text, "method of drilling"] = None
    depths_from: Datum = None
    since: Since = None
    until: Until = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stratum(Item):
    """A layer drilled through."""

    top: Annotated[fields.SignedDepth, "depth of its top"] = None
    bottom: Annotated[fields.Depth, "depth of its bottom"] = None
    rock: Annotated[fields.Text, "what it is, in the driller's words"] = None
    symbol: Annotated[fields.TextOrNumber, "FGDC pattern code"] = None
    color: Annotated[fields.Text, "color"] = None
    hardness: Annotated[fields.Text, "how hard it drilled"] = None
    penetration: Annotated[fields.Penetration, "rate of penetration"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None
    depths_from: Datum = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fracture(Item):
    """A place where water comes in, and what was blown when the bit was below it."""

    depth: Annotated[fields.Depth, "depth, when it is one place"] = None
    top: Annotated[fields.SignedDepth, "depth of its top, when it is a zone"] = None
    bottom: Annotated[fields.Depth, "depth of its bottom, when it is a zone"] = None
    airlift: Annotated[fields.Flow, "total flow blown when the bit was at bit_depth"] = None
    bit_depth: Annotated[fields.Depth, "where the bit was then"] = None
    minutes: Annotated[fields.Minutes, "how long it was blown"] = None
    static_level: Annotated[fields.SignedDepth, "depth to water at rest then"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None
    depths_from: Datum = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraNote(Item):
    """What a camera showed at a depth."""

    depth: Annotated[fields.Depth, "depth, when it is one place"] = None
    top: Annotated[fields.SignedDepth, "depth of its top, when it is a length"] = None
    bottom: Annotated[fields.Depth, "depth of its bottom, when it is a length"] = None
    observed: Annotated[tuple[str, ...], ChoicesSpec(OBSERVED), "what was seen"] = ()
    diameter: Annotated[fields.Diameter, "diameter there"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None
    photo: Annotated[fields.Text, "file or id of a photo"] = None
    depths_from: Datum = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingLevel(Item):
    """A depth to water at rest: table ``[[level]]``."""

    at: Annotated[fields.Moment, "when"] = None
    depth: Annotated[fields.SignedDepth, "depth to water; below zero it is flowing"] = None
    method: Annotated[str | None, ChoiceSpec(METHODS), "how it was measured"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None
    depths_from: Datum = None


NEIGHBORS = ("well", "septic", "landfill", "fuel", "stream", "other")
"""What may stand near a well."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbor(Item):
    """Something near the well that the work could touch."""

    kind: Annotated[str | None, ChoiceSpec(NEIGHBORS), "what it is"] = None
    distance: Annotated[fields.Length, "how far away"] = None
    depth: Annotated[fields.Depth, "how deep it is"] = None
    note: Annotated[fields.Note, "anything worth saying"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo(Item):
    """A photo kept beside the record."""

    file: Annotated[fields.Text, "name of the file"] = None
    depth: Annotated[fields.Depth, "depth it shows"] = None
    caption: Annotated[fields.Note, "what it shows"] = None
    taken: Annotated[fields.Moment, "when it was taken"] = None
    depths_from: Datum = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure(Part):
    """How a hole was given up and sealed."""

    date: Annotated[fields.Day, "day it was sealed"] = None
    method: Annotated[fields.Note, "how"] = None
    materials: Annotated[fields.Note, "with what"] = None
    by: Annotated[fields.Text, "by whom"] = None
