# The page, first part: the answer.
page-title = Run-on of lot { $lot }
answer-none = Over the present surface no water from outside reaches lot { $lot }.
answer-none-incomplete = Within the data no water from outside was found to reach lot { $lot }; the data do not reach far enough to say that there is none.
answer-area = Rain on { $area } outside lot { $lot } reaches it over the present surface.
answer-sure = On nine in ten of { $surfaces } equally plausible surfaces it is { $low } to { $high }.
answer-area-incomplete = Rain on at least { $area } outside lot { $lot } reaches it over the present surface; the data do not reach far enough to tell how much more.
answer-from = { $share } of it falls on { $names }.
answer-flow = At the peak of the { $years }-year storm all of it together is { $flow }.
answer-flow-typed = At the peak of the storm that was given all of it together is { $flow }.
list-last = { $rest } and { $last }

# The map.
map-caption = The ground is shaded as if lit from the north-west. Circled numbers are rows of the table below, squares are crossings, diamonds parts of the proposed line.
legend-relief = shape of the ground
legend-contributors = parcels that drain onto the lot, darker with their share (up to { $limits } %, more)
legend-catchment = ground of which at least half the water reaches the lot
legend-ponds = hollows that hold water until they spill
legend-lots = lot lines; the lot itself
legend-buildings = buildings
legend-paths = main ways of the water, wider with more of it
legend-crossings = where it crosses the lot line, wider with its share
legend-works = proposed line and the way to its outlet (ring); let-out water dotted
legend-inlets = storm inlets

# Whose water.
whose-heading = Whose water
whose-note = Shares are of all water that reaches the lot. Handed over: rain of so much ground crosses from that parcel onto the lot, wherever it fell.
others = { $count } more, each with less
stacked = { $name } ({ $count ->
    [one] and one more with the same outline
   *[other] and { $count } more with the same outline
})
verdict-contributes = contributes
verdict-does-not = does not contribute
verdict-cannot-tell = cannot tell
column-number = No.
column-parcel = Where the rain falls
column-share = Share
column-area = Area
column-flow = Peak flow
column-handed = Handed over
column-likelihood = How sure

# What is proposed.
proposed-heading = What is proposed
proposed-line = A line of { $length }{ $count ->
    [one] {""}
   *[other] {" "}in { $count } parts
} along the uphill side of the lot.
proposed-caught = It catches { $caught } of the run-on; { $left } stays on the lot.
proposed-outlet = Outlet of the largest part: { $outlet }.
proposed-no-outlet = No outlet was found that serves: see the parts below for what is missing.
more-warnings = and { $count } more that was noted, below
not-seen-heading = What this cannot show, and what to know

# Crossings.
crossings-heading = Where it crosses the lot line
crossings-note = Measured clockwise along the lot line from its northernmost corner; it is { $around } around.
column-stretch = Stretch
column-manner = Manner
column-width = 80 % within
column-from = From
manner-sheet = sheet
manner-concentrated = concentrated
manner-along = along the lot line
at-least = at least
and-more = { $list }, and { $count } more

# The line.
line-heading = The proposed line
part-heading = Part { $part }
part-where = { $length } long, along { $stretch } of the lot line.
part-flow = Flow in the design storm: { $flow }.
part-outlet = Outlet: { $outlet }.
part-no-outlet = No outlet serves it.
part-stone = The voids of its stone hold { $voids }, and where it stands full { $flow } run through it; neither is counted as carried.
part-catches = It catches { $share } of the run-on, the rain of { $area }.
part-keeps = In the design storm it keeps { $flow } off the lot.
part-takes = For that it takes { $line } of line, { $lead } of way from its end to the outlet, and { $dug } dug.
part-takes-undug = For that it takes { $line } of line and { $lead } of way from its end to the outlet.
part-takes-line = For that it takes { $line } of line.
part-price = Built alone it costs { $price } by the price list.
part-of-all = Of all parts together that is { $catch } of what they catch and { $length } of their length.
part-of-all-priced = Of all parts together that is { $catch } of what they catch, { $length } of their length and { $price } of their price.
pipe-line = { $way }: { $pipe } at { $grade }, { $flow } of { $full }
profile-label = Profile of part { $part }
profile-caption = Part { $part } from its upper end down to the outlet: ground, bottom of the trench, pipe. Heights are drawn { $times } times as large as lengths. Below: depth to dig at the stakes.
profile-line = line
profile-lead = lead
section-label = Section of part { $part }
section-caption = Across the trench of part { $part } where it is deepest, at { $station }. To scale.
section-caption-swale = Across the trench of part { $part } where it is deepest, at { $station }; depths are from the bed of the swale over it. To scale.
section-caption-lead = Across the trench of the way to the outlet of part { $part } where it is deepest, at { $station }. To scale.
swale-label = Section of the swale of part { $part }
swale-caption = Across the swale of part { $part } where it is deepest, at { $station }; sides { $side }, grassed. To scale.
section-pipe = pipe { $size } outside
section-depth = depth { $depth }
column-way = Along the way
column-pipe = Pipe
column-grade = Grade
column-capacity = Full
column-velocity = Velocity
reach-too-small = too small
reach-too-slow = too slow to keep clean
reach-too-fast = too fast
needs-heading = What it needs, or what must be heeded
arrangements-heading = Arrangements side by side
column-arrangement = Arrangement
column-keeps = Keeps off the lot
column-dug = Dug
column-stone = Stone
column-price = Price
column-why-not = Why not
arrangements-note = Star: the arrangement that is built. The others are reckoned on its way to the outlet; named for all parts one may do otherwise.
keeps-range = { $least } to { $most }
arrangement-not-built = cannot be built: { $why }
storms-heading = Storms it carries
storms-note = Star: the arrangement that is built. What is not carried runs over the line.
column-storm = Storm
storm-years = { $years } years
storm-typed = as given
storm-design = (design)
storm-not-built = can't be built
storm-carries = carries
storm-over = { $share } runs over

# Storm inlets.
inlets-heading = Whether surface water gets to the storm inlets

# Quantities.
bill-heading = Quantities
bill-total = Total: { $amount }
bill-unpriced = Without a price: { $items }.
bill-not-in-it = Not in it:
column-item = Item
column-quantity = Quantity
column-unit = Unit
column-waste = Waste
column-amount = Amount
column-note = Note

# The crew's list.
checks-heading = What to hold a crew to
checks-all-parts = All parts

# What it rests on.
data-heading = The data
data-elevation = Elevations: cells of { $cell }, in { $crs }, heights in { $unit }.
data-holes = { $count ->
    [one] One hole
   *[other] { $count } holes
} in the elevations.
doubts-heading = Reasons to doubt the answer
doubts-note = Each stands with the water whose way passes such places; the same water may count for several.
warnings-heading = What was noted
methods-heading = Methods and sources
column-gives = Gives
column-equation = Equation
column-source = Source
cautions-heading = Bear in mind
provenance-heading = Where this comes from
made-with = Made with { $program } { $version } from these files; summary.json has every setting.
column-file = File

# With the line in place.
changes-heading = With the line in place
changes-note = The water was followed once more over the ground, with the line taking what it can carry.
changes-caught = caught by the line
changes-left = left on the lot
changes-elsewhere = off the lot again in front of the line
changes-left-from = What is left comes from { $list }.
changes-others = Who receives more or less of that water
changes-nobody = No other parcel or inlet receives more or less of that water.
column-receiver = Parcel or inlet
column-without = Without the line
column-with = With it
column-change = Change

# How sure.
certainty-heading = How sure that is
certainty-note = Taken are elevations off by { $rmse } (RMSE, root mean square error) and { $lots }. The water was followed over many surfaces that are as plausible as the one that was measured.

# Why.
why-heading = Why a parcel is in or out
why-note = The least change of elevation is told that would turn most of the water, and where: a cut through the deciding place, or a dam below the place named. Smaller changes at many places, and works below ground, are not looked for.
legend-why = Asked for: way of the water, what decides (cross), and the way over it
