## Setup: language and units, the wires, the record and its copies, this machine.

setup-language = Language and units
setup-language-note = what is said, °C or °F
setup-sources = Sources and sensors
setup-sources-note = their state, their last words
setup-record = Record and copies
setup-record-note = make a copy now
setup-machine = This machine
setup-machine-note = since when, what is not watched
setup-of-language = Language
setup-of-units = Units
language-name = English
units-metric = °C and mm
units-metric-note = litres, kilograms
units-imperial = °F and inches
units-imperial-note = gallons, pounds
two-parts = { $one } · { $two }
lasts-seconds = { $count } s
lasts-minutes = { $count } min
lasts-hours = { $count } h
lasts-days = { $count } days

no-sources = No source is configured yet.
never-heard = nothing heard yet
heard-at = last word { $at }
heard-ago = last word { $age } ago
wire-serial = serial port
wire-mqtt = broker
wire-modbus = Modbus
state-of-starting = starting
state-of-listening = listening
state-of-lost = lost
state-of-refused = refused
state-of-stopped = stopped
asks-you = is it the right one?
raw-words = Last words, as they came
said-last = What went wrong last
other-device = Another device is there than the first one. Expected: { $expected }. Found: { $found }. Is it the right one?
right-device = It is the right one
source-state = State
source-since = Since
source-kind = Connected by
source-where = Where
source-last = Heard
source-heard = Messages heard
source-refused = Not understood
source-dropped = Dropped
source-reconnects = Connected again

record = The record
record-state = State
record-size = Size
record-log = Not yet merged into it
record-queued = Rows waiting
record-dropped = Rows given up
store-writing = is being written
store-full = cannot be written
copies = Copies
copy-now = Make a copy now
copy-none = Touch "Make a copy now" for a whole copy, checked, beside the record. A disk that fails takes both: carry a copy elsewhere.
copy-made = Copied and checked: { $file }, { $size }
copies-elsewhere = Sent elsewhere
remote-none = No other store is configured: the record is only here.
remote = { $name }: { $state }
remote-is-sending = being sent
remote-is-idle = nothing to send
remote-is-held = waits for the other store
remote-is-refused = refused, needs somebody
remote-lacks = { $rows ->
    [one] lacks one row, { $age } old
   *[other] lacks { $rows } rows, the oldest { $age } old
  }
remote-whole = has everything

machine-runs = Running for
machine-clock = Clock
clock-yes = set
clock-no = not set
machine-jumps = Times the clock jumped
machine-readings = Readings since the start
machine-broker = Own broker
machine-no-broker = none
machine-faults = Faults
machine-not-watched = What is not watched, and why
watched-all = Everything is watched.

setup-zones = Zones and destinations
setup-zones-note = aims, names, a new zone
no-zones = No zone yet. Touch "New zone".
zone-new = New zone
zone-gone = This zone is no longer there.
zone-meant-for = Meant for
zone-aim = { $low }–{ $high } %
zone-no-aim = No aim is held here.
zone-rename = Name it so
zone-other-name = Other name
zone-other-destination = Other destination
zone-name-which = What is the zone called?
zone-destination-which = Where will what is made of its wood live?

setup-ruler = A true length
setup-ruler-note = a line to hold a rule against
ruler-heading = This line is { $mm } mm long
ruler-how = Hold a rule against it. If the rule says otherwise, the window does not know the panel's density: give it the dots per inch at its start (dpi). Until then targets and far letters are not of their true size.
