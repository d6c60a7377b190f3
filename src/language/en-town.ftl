
# The page of a town.
town-title = { $count ->
    [one] One lot screened
   *[other] { $count } lots screened
}
town-answer = By the same rules for every lot, { $first } { $count ->
    [one] is in the class "{ $class }".
   *[other] are in the class "{ $class }".
} Half of the lots listed get the rain of no more than { $median } outside them.
town-of-complaints = Only the lots of complaints are listed; the water was followed on all ground.
town-incomplete = { $count ->
    [one] Of one lot not all run-on is known
   *[other] Of { $count } lots not all run-on is known
}, because the elevations end in its catchment: figures marked "at least" are lower bounds.
town-map-label = Map of the lots by class
town-map-caption = The ground is shaded as if lit from the north-west. Darker lots are of a more pressing class; circled numbers are the first rows of the list below.
town-classes-heading = Classes
town-classes-note = A lot gets the first class of which a rule holds. The rules measure water on the present surface; they say nothing of who has to do anything about it.
town-column-class = Class
town-column-lots = Lots
town-column-median = Run-on of the middle lot
town-column-rules = Rules
town-rule-otherwise = no rule holds
town-spread-heading = How much run-on the lots get
town-spread-note = Ground outside whose rain comes onto the lot, by the area of the lot.
town-spread-label = Bars: number of lots by run-on per lot area
town-list-heading = First on the list
town-list-note = By class, then by run-on, with the rules that put a lot into its class. All rules that hold, and all lots, stand in lots.csv, lots.geojson and lots.gpkg; who drains onto whom is in pairs.csv.
town-column-lot = Lot
town-column-run-on = Run-on
town-column-how = How it enters
town-column-from = From
town-column-why = Why
town-at-least = at least
town-times-lot = { $times } times the lot
town-enters-place = { $area } in one place
town-enters-sheet = { $area } spread out
town-enters-along = { $area } along the lot line
town-from-most = { $count ->
    [0] { $name }
    [one] one parcel: { $name }
   *[other] { $count } parcels, most from { $name }
} ({ $share })
town-from-land = land without a parcel
town-ponds = hollow up to { $depth } deep
town-flow = { $flow } in the storm given
town-groups-heading = Complaints with the same ground upstream
town-groups-note = Two lots belong together when one parcel gives at least a tenth of the run-on of both, or one of them gives it to the other. Land without a parcel joins none, since streets join a whole town.
town-groups-alone = { $count ->
    [one] One lot shares its ground upstream with no other complaint.
   *[other] { $count } lots share their ground upstream with no other complaint.
}
town-group = { $count } lots: { $names }
town-group-common = { $lots } of them have { $name } upstream ({ $area } of it in all).
town-shed-heading = Where the lots' own rain goes first
town-shed-note = All that falls on the lots with elevations leaves them somewhere. Hollows are taken as full: they pass on what they get.
town-shed-parcels = onto other parcels
town-shed-unparcelled = onto land without a parcel
town-shed-inlets = into storm inlets
town-shed-edge = over the edge of the elevations
town-column-where = Where to
town-column-area = Area
town-data-heading = What it rests on
town-data-routing = Every cell hands its water to one neighbour (single routing), so that all lots are booked at once; a single lot is assessed with shared flow unless told otherwise, which spreads thin flows better.
town-open-heading = To open one lot
town-open-note = With the same inputs, for a lot of the list:
