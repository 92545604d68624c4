## The rack, a lot, and everything that can be told of one.

add-stock = Add stock
filter = Filter
filter-zone = Only of one zone
filter-word = Only of one verdict
filter-show = { $count ->
    [one] Show one lot
   *[other] Show { $count } lots
  }
rack-empty = No stock yet. Touch "Add stock" when the next boards come in.
rack-none-such = No lot is like that. Touch "Filter" for another choice.
being-fetched = Being fetched
being-worked-out = being worked out
not-known = Not known yet: { $reason }
shell-and-core = shell { $shell } · core { $core }
nothing-held-yet = Nothing is held of its moisture yet.
more-deeds = More
what-was-done = What was done with { $lot }?
held-against = Held against
sources = Sources
part-mean = mean
part-shell = shell
part-core = core
days-ago = { $days ->
    [0] today
    [1] yesterday
   *[other] { $days } days ago
  }
next = Next
leave-open = Leave open
form-ready = All is answered. Touch a line to change it.
not-answered = to be answered
decimal-point = .
with-unit = { $number }{ $unit ->
    [mm] {" "}mm
    [in] ″
    [c] {" "}°C
    [f] {" "}°F
    [pct] {" "}%
    [kg] {" "}kg
    [lb] {" "}lb
    [h] {" "}h
    [days] {" "}days
    [m3] {" "}m³
    [ft3] {" "}ft³
    [m3h] {" "}m³/h
    [cfm] {" "}cfm
    [quarters] {"/4"}
   *[none] {""}
  }
unit-mm = mm
unit-in = inch
unit-c = °C
unit-f = °F
unit-pct = %
unit-kg = kg
unit-lb = lb
unit-h = h
unit-quarters = /4
unit-days = days
unit-m3 = m³
unit-ft3 = ft³
unit-m3h = m³/h
unit-cfm = cfm
usual-name = { $species } { $thickness } mm
name-of-part = { $lot }, part

## How a lot lies, how it is sawn

lying-stickered = stickered
lying-wrapped = wrapped
lying-dead-stacked = dead-stacked
lying-one-face = one face open
lying-on-edge = on edge
cut-flat = flat
cut-rift = rift
cut-quarter = quarter

## What a field is, in a row

field-species = Species
field-thickness_mm = Thickness
field-pieces = Pieces
field-cut = Sawn
field-width_mm = Width
field-length_mm = Length
field-start = Came from
field-mc_pct = Metered
field-zone = Zone
field-lying = Lies
field-destination = Meant for
field-checked = Looked over
field-face_checks = Face checks
field-twist = Twist
field-bow = Bow
field-loose_knots = Loose knots
field-bug_holes = Bug holes
field-sapwood = Sapwood
field-stain = Stain
field-damaged_edges = Damaged edges
field-ends_sealed = Ends sealed
field-name = Name
field-size = Size
field-since = Lies so since
field-confirmed = Last seen so
field-rack = Place
field-reading_pct = Reading
field-method = Meter
field-wood_temperature_c = Wood's temperature
field-take_top_mm = Off the top
field-take_bottom_mm = Off the bottom
field-crook_mm = Crook
field-knot = Through a knot
field-kerf_mm = Kerf
field-hollow_mm = Hollow
field-hollow_face = Hollow face
field-kg = Mass
field-prongs = Prongs
field-cover = Finish
field-faces = On
field-to = To

## The question in full

ask-species = Which wood is it?
ask-thickness_mm = How thick is it?
ask-pieces = How many pieces?
ask-cut = How is it sawn?
ask-width_mm = How wide, about?
ask-length_mm = How long, about?
ask-start = Where did it stand before?
ask-mc_pct = What did the meter say?
ask-zone = In which zone?
ask-lying = How does it lie?
ask-destination = Where will it live?
ask-checked = Looked over: anything to note?
ask-face_checks = Checks in the faces?
ask-twist = Twisted?
ask-bow = Bowed?
ask-loose_knots = Loose knots?
ask-bug_holes = Bug holes?
ask-sapwood = Sapwood?
ask-stain = Stain?
ask-damaged_edges = Damaged edges?
ask-ends_sealed = Are the ends sealed?
ask-name = What is it called?
ask-reading_pct = What does the meter show?
ask-method = Which kind of meter?
ask-wood_temperature_c = How warm is the wood?
ask-take_top_mm = How much came off the top?
ask-take_bottom_mm = How much came off the bottom?
ask-crook_mm = How far did the test strip crook?
ask-knot = Did the rip line run through a knot?
ask-kerf_mm = How wide is the kerf?
ask-hollow_mm = How deep is the hollow under the straightedge?
ask-hollow_face = Which face is hollow?
ask-kg = What does the sample board weigh?
ask-prongs = What did the prongs do?
ask-cover = Which finish?
ask-faces = On which faces?
ask-to = To whom, or where?

## Answers

start-kiln-dried-yard = kiln dried, from a yard
start-heated-store = a heated store
start-unheated-shed = an unheated shed
start-metered = I metered it
start-unknown = not known
checked-nothing = nothing to note
checked-some = something
amount-none = none
amount-some = some
amount-many = many
yes-no-yes = yes
yes-no-no = no
method-pins = pins
method-dielectric = without pins
face-top = top
face-bottom = bottom
faces-both = both faces
faces-one = one face
prongs-straight = stayed straight
prongs-pinch = pinch inward
prongs-open = open outward
cover-shellac-3 = shellac, 3 coats
cover-lacquer-3 = lacquer, 3 coats
cover-polyurethane-3 = polyurethane, 3 coats
cover-urethane-varnish-3 = urethane varnish, 3 coats
cover-spar-varnish-3 = spar varnish, 3 coats
cover-tung-oil-3 = tung oil, 3 coats
cover-linseed-oil-3 = linseed oil, 3 coats
cover-furniture-wax = furniture wax
cover-epoxy-3 = epoxy, 3 coats

## Deeds: what a button says, what a form is called and tells, what was done

do-metered = Meter
do-moved = Move
do-milled = Mill
do-stickered = Sticker
do-wrapped = Wrap
do-unwrapped = Unwrap
do-one-face = One face open
do-dead-stacked = Dead-stack
do-on-edge = Stand on edge
do-confirmed = Still so
do-ripped = Rip
do-resawn = Resaw
do-straightedged = Straightedge
do-weighed = Weigh
do-fork-tested = Fork test
do-split = Part it
do-ends-sealed = Ends sealed
do-finished = Finish
do-delivered = Deliver
do-used-up = Used up
form-receive = Stock comes in
form-metered = Metered
form-moved = Moved
form-milled = Milled
form-ripped = Ripped
form-resawn = Resawn
form-straightedged = Under the straightedge
form-weighed = Weighed
form-fork-tested = Fork test
form-split = Parted
form-finished = Finished
form-delivered = Delivered
tell-receive = It is in
tell-metered = Write down
tell-moved = It is there
tell-milled = It is milled
tell-ripped = It is ripped
tell-resawn = It is resawn
tell-straightedged = Write down
tell-weighed = Write down
tell-fork-tested = Write down
tell-split = It is parted
tell-finished = It is finished
tell-delivered = It has left
done-received = Stock came in
done-metered = Metered
done-moved = Moved
done-milled = Milled
done-stickered = Stickered
done-wrapped = Wrapped
done-unwrapped = Unwrapped
done-one-face = One face open
done-dead-stacked = Dead-stacked
done-on-edge = On edge
done-confirmed = Seen so
done-ripped = Ripped
done-resawn = Resawn
done-straightedged = Straightedge
done-weighed = Weighed
done-fork-tested = Fork test
done-split = Parted
done-ends-sealed = Ends sealed
done-finished = Finished
done-delivered = Delivered
done-used-up = Used up

## The journal of a lot

journal = Journal
journal-of-lot = What was told of it, the newest first
was-taken-back = { $done } (taken back)
take-back = Take it back
done-joined = Joined
done-wrap-read = Read in its wrap
done-veneered = Veneered
done-fitted = Fitted
done-crated = Crated
done-customer-read = Read at the customer's
done-away = Away
done-offered = Offered
done-offer-withdrawn = Offer withdrawn
done-undone = Taken back
done-corrected = Put right

## Deeds of which nothing is asked

form-stickered = On stickers
form-wrapped = Wrapped
form-unwrapped = Unwrapped
form-one-face = One face open
form-dead-stacked = Dead-stacked
form-on-edge = On edge
form-confirmed = It lies as it is written
form-ends-sealed = Ends sealed
form-used-up = Used up
tell-stickered = It is on stickers
tell-wrapped = It is wrapped
tell-unwrapped = It is unwrapped
tell-one-face = It lies so
tell-dead-stacked = It is stacked
tell-on-edge = It stands so
tell-confirmed = Yes, still so
tell-ends-sealed = They are sealed
tell-used-up = Nothing is left
field-hour = When
ask-hour = When was it?
hour-0 = now
hour-1 = an hour ago
hour-3 = three hours ago
hour-24 = yesterday at this time
