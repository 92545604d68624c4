# Every sentence about air and wood, in English. The catalogue of keys and their values is keys.py.
# Air "draws wood to" a figure; that figure is never called the wood's moisture.
# FIGURE() shows one decimal and a true minus sign, GIVEN() the same of a length somebody gave, without a nought behind the point; THE() sets an English article before a zone's name, TEMPERATURE() follows the units asked for; SPAN() says how long something lasted.

## When

weekday = { $day ->
    [1] Monday
    [2] Tuesday
    [3] Wednesday
    [4] Thursday
    [5] Friday
    [6] Saturday
   *[7] Sunday
  }
weekday-short = { $day ->
    [1] Mon
    [2] Tue
    [3] Wed
    [4] Thu
    [5] Fri
    [6] Sat
   *[7] Sun
  }
month-short = { $month ->
    [1] Jan
    [2] Feb
    [3] Mar
    [4] Apr
    [5] May
    [6] Jun
    [7] Jul
    [8] Aug
    [9] Sep
    [10] Oct
    [11] Nov
   *[12] Dec
  }
when-date = { $date } { $month }
when-stamp = { $weekday } { $date } { $month } · { $clock }
when-tomorrow = { $clock } tomorrow
when-yesterday = { $clock } yesterday
when-other = { $clock } on { $weekday } { $date } { $month }

## A zone

zone-age = { $minutes } min ago
zone-age-hours = { $hours } h ago
zone-age-days = { $days ->
    [one] 1 day ago
   *[other] { $days } days ago
  }
zone-heard = last heard { $at }
zone-never = not heard yet
zone-last-known = last known { TEMPERATURE($temperature_c) } · { $humidity_pct } %
aim-line = aim { $low }–{ $high } %: work for { PLAIN($destination) }
outlook-note = Expected to draw to { NUMBER($emc_pct, minimumFractionDigits: 1) } % by { $day }.
outlook-rises = Expected to rise to { NUMBER($emc_pct, minimumFractionDigits: 1) } % by { $day }.
outlook-stays = Expected to stay near { NUMBER($emc_pct, minimumFractionDigits: 1) } % until { $day }.
outlook-silent = No outlook while the sensors are silent.

## The band: what to do, then why. A "far" is read across the shop: at most 30 letters, names up to 15 among them.

band-store-title = The record cannot be written
band-store-why = Make room on the disk now, or free it for writing: what is not written is held for a while only.
band-store-far = Record cannot be written

band-dry-title = { THE($zone, at: "start") } is too dry
band-dry-why = The air there draws wood to { NUMBER($emc_pct, minimumFractionDigits: 1) } %; the aim begins at { $limit_pct } %. Wrap stock that is milled, or bring the heating down.
band-dry-far = { $zone } is too dry
band-dry-far-short = A room is too dry
band-dry-seen-title = { THE($zone, at: "start") } is still too dry

band-damp-title = { THE($zone, at: "start") } is too damp
band-damp-why = The air there draws wood to { NUMBER($emc_pct, minimumFractionDigits: 1) } %; the aim ends at { $limit_pct } %. Wrap stock that is milled, or let drier air in.
band-damp-far = { $zone } is too damp
band-damp-far-short = A room is too damp
band-damp-seen-title = { THE($zone, at: "start") } is still too damp

band-inside-title = { THE($zone, at: "start") } is back inside its aim
band-inside-why = The air there draws wood to { NUMBER($emc_pct, minimumFractionDigits: 1) } %; the limit is { $limit_pct } %. It is over once it has stayed well inside for some hours.
band-inside-far = { $zone } is back inside
band-inside-far-short = A room is back inside
band-inside-seen-title = { THE($zone, at: "start") } is back inside its aim

band-falling-title = { THE($zone, at: "start") } is drying out
band-falling-why = At this pace the air there draws wood below { $limit_pct } % by { $at }. Wrap stock that is milled, or bring the heating down.
band-falling-far = { $zone } is drying out
band-falling-far-short = A room is drying out
band-falling-seen-title = { THE($zone, at: "start") } is still drying out

band-outlook-dry-far = { $zone } may dry out
band-outlook-dry-far-short = A room may dry out
band-outlook-damp-far = { $zone } may get damp
band-outlook-damp-far-short = A room may get damp
band-extractor-far = { $zone }: extractor
band-extractor-far-short = The extractor dries a room
band-shelf-far = { $zone }: cold shelf
band-shelf-far-short = A shelf grows cold
band-iron-far = { $zone }: iron rusts
band-iron-far-short = Iron rusts
band-mould-far = { $zone }: mould
band-mould-far-short = Mould can grow

band-silent-title = A sensor in { THE($zone) } is silent
band-silent-why = { $sensor } was last heard at { $at }. Look at its plug, battery and network.
band-silent-never-why = { $sensor } has not been heard yet. Look at its plug, battery and network.
band-silent-far = { $zone }: sensor silent
band-silent-far-short = A sensor is silent
band-silent-seen-title = A sensor in { THE($zone) } is still silent
band-all-silent-title = No sensor in { THE($zone) } is heard
band-all-silent-why = None of its { $count } sensors was heard since { $at }. Look at what they share: mains, gateway, network.
band-all-silent-never-why = None of its { $count } sensors has been heard yet. Look at what they share: mains, gateway, network.
band-all-silent-far = { $zone }: none heard
band-all-silent-far-short = No sensor is heard
band-all-silent-seen-title = Still no sensor in { THE($zone) } is heard

band-talking-title = A sensor in { THE($zone) } is not believed
band-talking-far = { $zone }: sensor fault
band-talking-far-short = A sensor is at fault
band-talking-seen-title = A sensor in { THE($zone) } is still not believed

band-seen-why = Seen at { $at }. It is said again if it gets { $worse_pct } % worse.
band-seen-plain-why = Seen at { $at }; it still stands.
band-shelved-title = { $zone }: put off until { $at }
band-shelved-why = It is said again then if it still stands.
band-shelved-far = { $zone }: put off
band-shelved-far-short = Put off for a while

band-put-off-why = Put off until { $at }. It is said again then if it still stands.
band-source-far = A wire to the sensors is down
band-source-back-far = A wire is back
band-remote-far = The copy is behind
band-record-far = Look after the record
band-clock-far = The clock is not set
band-sensor-far = A sensor needs a look

band-outside-title = Watch { THE($zone) } for a while
band-outside-why = Its air draws wood to { NUMBER($emc_pct, minimumFractionDigits: 1) } %, where the aim is { $low }–{ $high } %. It is said louder if that lasts.
band-outside-far = { $zone } left its aim
band-outside-far-short = A room left its aim

band-ready-title = Work on: the air is inside its aim
band-ready-why = Nearest to a limit is { THE($zone) }: its air draws wood to { NUMBER($emc_pct, minimumFractionDigits: 1) } %, aim { $low }–{ $high } %.
band-ready-far = The air is inside its aim

band-empty-title = No sensor yet
band-empty-why = Add the first one in stillstack.toml; the steps are below.
band-empty-far = No sensor yet

band-waiting-title = Waiting for the first readings
band-waiting-why = Nothing has been heard yet. A sensor that stays quiet is named after ten minutes.
band-waiting-far = Waiting for first readings

band-quiet-title = Waiting for the sensors
band-quiet-why = No zone has been heard lately, so nothing is said about the air.
band-quiet-far = Waiting for the sensors

band-off-title = No aim is watched now
band-off-why = Every zone is outdoors or off for the season. What is heard is kept all the same.
band-off-far = No aim is watched now

## Alerts

alert-since = since { $at }
alert-dry-title = { $zone }: too dry
alert-dry-why = The air draws wood to { NUMBER($emc_pct, minimumFractionDigits: 1) } %; the aim begins at { $limit_pct } %.
alert-damp-title = { $zone }: too damp
alert-damp-why = The air draws wood to { NUMBER($emc_pct, minimumFractionDigits: 1) } %; the aim ends at { $limit_pct } %.
alert-inside-title = { $zone }: back inside its aim
alert-inside-why = The air draws wood to { NUMBER($emc_pct, minimumFractionDigits: 1) } %; the limit is { $limit_pct } %. It is over once it has stayed well inside for some hours.
alert-falling-title = { $zone }: falling fast
alert-falling-why = From { NUMBER($from_pct, minimumFractionDigits: 1) } to { NUMBER($to_pct, minimumFractionDigits: 1) } % in six hours; at this pace below { $limit_pct } % by { $at }.
alert-outlook-dry-title = { $zone }: dry-out ahead
alert-outlook-dry-why = { $how ->
    [sure] By { $at } the air there is expected to draw wood below { $limit_pct } %
   *[end] By { $at } the air there may draw wood below { $limit_pct } %, one time in ten or oftener
}; now it is { FIGURE($emc_pct) } %. Wrap stock that is milled, and heat less tonight.
alert-outlook-damp-title = { $zone }: damp ahead
alert-outlook-damp-why = { $how ->
    [sure] By { $at } the air there is expected to draw wood above { $limit_pct } %
   *[end] By { $at } the air there may draw wood above { $limit_pct } %, one time in ten or oftener
}; now it is { FIGURE($emc_pct) } %. Wrap stock that is milled, and keep damp air out.
alert-extractor-title = { $zone }: extractor dries it
alert-extractor-hours-why = It is { TEMPERATURE($outdoor_c) } outdoors: what comes in for the air that the extractor blows out draws wood to { FIGURE($incoming_pct) } %; the room is at { FIGURE($emc_pct) } %, its aim begins at { $limit_pct } %. Its hours end at { $at }: stop it as soon as no dust is made.
alert-extractor-why = The room's air goes outdoors fast, and it is { TEMPERATURE($outdoor_c) } there: what comes in draws wood to { FIGURE($incoming_pct) } %; the room is at { FIGURE($emc_pct) } %, its aim begins at { $limit_pct } %. Shut the door, or stop the extractor as soon as no dust is made.
alert-extractor-rests-why = The extractor rests now. It is { TEMPERATURE($outdoor_c) } outdoors: what comes in while it blows draws wood to { FIGURE($incoming_pct) } %; the room is at { FIGURE($emc_pct) } %, its aim begins at { $limit_pct } %. While it stays that cold, run it only as long as dust is made.
alert-shelf-title = { $zone }: shelf grows cold
alert-shelf-why = The shelf is at { TEMPERATURE($temperature_c) }. What is water-based spoils for good when it freezes, and is to be kept above { TEMPERATURE($least_c) }: bring glue and finishes in.
alert-shelf-ahead-why = The shelf is at { TEMPERATURE($temperature_c) } and falls to { TEMPERATURE($least_c) } within { GIVEN($in_h) } h. What is water-based spoils for good when it freezes: bring glue and finishes in.
alert-iron-title = { $zone }: iron rusts
alert-iron-why = The iron there is at { TEMPERATURE($metal_c) } and has { $metal_rh_pct } % RH at its skin. Wipe it dry, oil or wax it, and warm the room slowly.
alert-iron-sweats-why = The iron there is at { TEMPERATURE($metal_c) }, colder than the air's dew point: water stands on it. Wipe it dry, oil or wax it, and keep damp air out until it is warm.
alert-mould-title = { $zone }: mould can grow
alert-mould-why = Its coldest wall had { $surface_rh_pct } % RH at { TEMPERATURE($surface_c) } over the last week; from { $limit_pct } % on mould can grow, to be seen after about { $weeks ->
    [one] a week
   *[other] { $weeks } weeks
} of it. Move stock away from outside walls, look behind it, and let damp air out or warm the room.
alert-silent-title = { $zone }: sensor silent
alert-silent-why = { $sensor } was last heard at { $at }. Look at its plug, battery and network.
alert-silent-never-why = { $sensor } has not been heard since the start. Look at its plug, battery and network.
alert-all-silent-title = { $zone }: no sensor is heard
alert-all-silent-why = None of its { $count } sensors was heard since { $at }. Look at what they share: mains, gateway, network.
alert-all-silent-never-why = None of its { $count } sensors has been heard since the start. Look at what they share: mains, gateway, network.
alert-talking-title = { $zone }: sensor not believed
alert-talking-why = { $sensor } talks, but what it says is no air: it was last believed at { $at }. Look at its wires; if it stays so, replace it.
alert-talking-never-why = { $sensor } talks, but what it says is no air. Look at its wires and its type; if it stays so, replace it.
alert-unheard-why = No sensor there is heard now; it stood when one last was, at { $at }.
alert-unheard-never-why = No sensor there has been heard since the start; it stood before.
alert-returned-why = Over since { $at }. Acknowledge it to put it away.
alert-back-why = Back at { $at }, after { SPAN($stood_s) }. Acknowledge it to put it away.
alert-while-away-why = While you were away: it stood for { SPAN($stood_s) }, and was over at { $at }. Acknowledge it to put it away.
alert-stale = It has stood for more than a day: mend what it is about, or change its limit.
alert-chattering = It came { $times } times in a day: it sits on its limit, or something switches on and off.
suppressed-over-salt = Kept back while { $sensor } hangs over a salt.
suppressed-off-season = Kept back until { $date }: { THE($zone) } is off for the season.
suppressed-away = Kept back until { $at }: nobody is in the shop, and all that lies there is wrapped.
suppressed-nobody = Kept back until { $at }: nobody is in the shop, and this wants hands.
suppressed-over-why = Over since { $at }, after { SPAN($stood_s) }, while nobody was there. It is told when somebody is.
suppressed-source-lost = Kept back while { $source } is lost, or only just back: first it is to be heard again.
suppressed-all-silent = Kept back while none of the sensors there is heard, which is said once.
suppressed-dry-limit = Kept back while the alert stands that says it is too dry already.
suppressed-damp-limit = Kept back while the alert stands that says it is too damp already.
measure-alarms-per-day = Alarms a day, on average
measure-alarms-per-hour = Alarms an hour, on average
measure-alarms-per-10-min = Alarms in ten minutes, on average
measure-most-in-10-min = Most alarms in any ten minutes
measure-ten-minutes-over-10-pct = Ten-minute periods with more than 10 alarms
measure-hours-over-30-pct = Hours with more than 30 alarms
measure-flood-pct = Time in alarm flood
measure-top-ten-share-pct = Share of the ten most frequent alarms
measure-chattering = Chattering alarms
measure-stale-on-worst-day = Stale alarms on the worst day
measure-stale = Stale alarms in all
measure-asking-nothing-per-week = Alerts a week that ask for nothing
change-seen = Seen by somebody.
change-shelved = Put aside until { $at }.
change-back = Back after { SPAN($stood_s) }.
change-put-away = Put away; it had stood for { SPAN($stood_s) }.
change-unwatched = Watched no longer; it had stood for { SPAN($stood_s) }.
change-over = Over.
alert-stuck-title = { $zone }: sensor stuck
alert-stuck-why = { $sensor } has sent the same figures for too long to be measuring. Unplug it for a minute; if it stays so, replace it.
alert-wet-title = { $zone }: sensor wet
alert-wet-why = { $sensor } has said 100 % for hours: it is wet itself, or has failed. Let it dry in the room; if it stays so, replace it.
alert-parting-title = { $zone }: two sensors part
alert-parting-why = { $sensor } and { $mate } agree less from week to week: by their airs, wood would end up { NUMBER($month_pct, minimumFractionDigits: 2) } % further apart each month. Check both over a salt.
alert-check-due-title = { $zone }: salt check due
alert-check-due-why = The last salt check of { $sensor } has grown old. Check it again.
alert-remote-title = { $remote }: copy behind
alert-remote-why = The oldest reading has waited { $behind_h } h for its copy. Nothing is lost here; look whether the remote runs and can be reached.
alert-remote-refused-why = It says: { $reason }. Nothing is lost here; it is tried again by itself.
alert-record-given-up-why = The disk is full or read-only, and memory too: { $count } readings were given up. Make room now.
alert-disk-title = The disk is nearly full
alert-disk-why = { $free_mb } MB are left for the record. Move away what is not needed on this disk.
alert-log-title = The record's log grows
alert-log-why = It holds { $log_mb } MB and does not shrink: a program may be reading the record all the time. Stop that program.
alert-backup-title = No fresh backup
alert-backup-why = The newest is of { $at }. Look whether its folder can be written and has room.
alert-backup-failed-why = It says: { $reason }. Tried again tomorrow, or at once by hand: stillstack store backup.
alert-check-title = The record fails its check
alert-check-why = It says: { $reason }. Start the server again: what can be read goes into a new record. Think of a new disk or card.
alert-salvage-title = The record was damaged
alert-salvage-why = At { $at } what could be read of it went into a new one. The damaged file and a report lie beside it; think of a new disk or card.

## Cautions, always beside what they belong to

caution-heater = A heater or humidifier near dust or solvent vapour burns: follow its maker and the local code.
caution-extractor = Wood dust harms the lungs and its clouds explode: the extractor runs whenever dust is made. Follow its maker and the local code.
caution-oily-rags = Rags with oil in them catch fire by themselves: spread them out to dry outdoors, or keep them under water in a closed tin. Switch a machine off at the mains before you reach into it.
caution-mould = Mould harms the lungs: mask and gloves on, never brush it dry, and ask a professional where it is more than a hand wide.
caution-unvented = An unvented heater gives off carbon monoxide and water; any heater near dust or solvent vapour burns. Follow its maker and the local code.

caution-adhesive = The maker's sheet comes first. Wear gloves, keep the air fresh: hardeners and isocyanates can make you allergic for good, and solvent vapours burn near a heater: follow its maker and the local code.
caution-lumber = Prices of usable wood suppose flat, dry boards: look at the stack. Never plane or joint cupped or twisted stock unsupported, and keep clear of the dust.
caution-resaw = Cut a fork test before resawing: wood under stress closes behind the blade and kicks back. Riving knife in, stop when the kerf closes; the halves may cup, so leave more than these figures where you can.
caution-salt = Salts and their brine irritate skin and eyes and rust steel: wear gloves, keep the jar from food, tools and children, let no brine creep onto a bare circuit, and follow the salt's safety sheet.

## Notices: the instrument about itself

notice-source-lost-title = Broker { $source } not reached
notice-source-lost-why = Since { $at }; trying again. What sensors sent meanwhile comes when it is back.
notice-port-lost-title = Serial port lost
notice-port-lost-why = { $source } since { $at }; trying again. Look at its plug: what is sent meanwhile is lost.
notice-wire-lost-title = { $source } not reached
notice-wire-lost-why = Since { $at }; trying again. Look at its plug and its network.
notice-source-back-title = { $source } is back since { $at }
notice-source-back-kept-why = It was away for a while. What was kept meanwhile is in the record, and counts where it says its own time.
notice-source-back-why = It was away for a while. What was sent meanwhile is missing from the record.
notice-source-refused-title = { $source } is refused
notice-source-refused-why = It says: { $reason }. Put that right; it is tried again by itself.
notice-server-restarted-title = Started again at { $at }
notice-server-restarted-why = The record from before is kept. What sensors could not send meanwhile is missing from it.
notice-clock-not-set-title = The clock is not set
notice-clock-not-set-why = Readings are kept and marked until it is. Look at the network, or set it by hand.
notice-store-full-title = The record cannot be written
notice-store-full-why = The disk is full or read-only. Make room now: what is not written is held for a while only.
notice-outside-fit-title = { $zone }: unusual air
notice-outside-fit-why = The equation was not made for air so cold, hot or damp: take what it draws wood to as a direction, not as a number.
notice-sensors-apart-title = { $zone }: its sensors disagree
notice-sensors-apart-why = They are more than 1 % apart in what this air draws wood to. Hang them side by side for a few hours and compare.

## The empty wall

empty-title = Add the first sensor
empty-line-1 = Open { $path }.
empty-line-2 = Name a zone, then a source: a serial port or a broker. Each has an example there to uncomment.
empty-line-3 = Say which zone each sensor hangs in, away from the heater, the door and the sun.
empty-line-4 = Start deploy/run again. Mistakes are listed with file, line and what would be right.

## The bench book

book-emc = Air at { TEMPERATURE($temperature_c) } and { FIGURE($humidity_pct) } % RH draws wood to { FIGURE($emc_pct) } % MC.
book-emc-rest = Wood that is drying comes to rest somewhat above that, wood taking up water somewhat below.
book-emc-dew = Its dew point is { TEMPERATURE($dew_point_c) }.
book-emc-spread = Eight times in ten a sensor that good means { FIGURE($emc_low_pct) } to { FIGURE($emc_high_pct) } %; the wood's own scatter comes on top.
book-humidity = At { TEMPERATURE($temperature_c) } air of { FIGURE($humidity_pct) } % RH draws wood to { FIGURE($emc_pct) } % MC.
book-salt = Over wet { $salt } at { TEMPERATURE($temperature_c) } the air has { NUMBER($humidity_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } % RH, give or take { NUMBER($uncertainty_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } %.
book-price = { $label }: { FIGURE($board_feet) } board feet for { NUMBER($cost, minimumFractionDigits: 2, maximumFractionDigits: 2) }, { $pieces ->
        [one] one piece
       *[other] { $pieces } pieces
    } of { FIGURE($piece_mm) } mm when planed: { NUMBER($per_usable, minimumFractionDigits: 2, maximumFractionDigits: 2) } a usable board foot{ $settles ->
        [known] ; it settles { book-after }
        [already] ; it has settled
       *[unknown] {""}
    }.
book-price-planed-too-thin = { $label }: { FIGURE($board_feet) } board feet for { NUMBER($cost, minimumFractionDigits: 2, maximumFractionDigits: 2) }, but planing leaves { FIGURE($piece_mm) } mm where { GIVEN($need_mm) } mm are needed.
book-price-resawn-too-thin = { $label }: { FIGURE($board_feet) } board feet for { NUMBER($cost, minimumFractionDigits: 2, maximumFractionDigits: 2) }, but resawn in two and planed it leaves { FIGURE($piece_mm) } mm where { GIVEN($need_mm) } mm are needed.
book-price-least = { $label } costs the least by what is usable.
book-price-air = Settling is on stickers, from { GIVEN($from_pct) } % MC in air of { GIVEN($temperature_c) } °C and { GIVEN($humidity_pct) } % RH.
book-price-none = No offer gives the thickness that is needed.
book-movement-shrinks = { GIVEN($width_mm) } mm shrink by { MM($change_mm) } mm from { FIGURE($from_pct) } to { FIGURE($to_pct) } % MC.
book-movement-swells = { GIVEN($width_mm) } mm swell by { MM($change_mm) } mm from { FIGURE($from_pct) } to { FIGURE($to_pct) } % MC.
book-movement-still = { GIVEN($width_mm) } mm do not move from { FIGURE($from_pct) } to { FIGURE($to_pct) } % MC.
book-movement-diamond = A square of this cut goes diamond: its corners leave the right angle by { NUMBER($diamond_deg, minimumFractionDigits: 2, maximumFractionDigits: 2) }°.
book-after = { $unit ->
        [h] after { NUMBER($count, maximumFractionDigits: 0) } h
        [late] later than this season
       *[days] after { NUMBER($count, maximumFractionDigits: 0) } { book-unit }
    }
book-cup-hollow = The top face goes hollow, by { MM($cup_mm) } mm over { GIVEN($width_mm) } mm at the worst, { book-after }.
book-cup-round = The top face goes round and the bottom hollow, by { MM($cup_mm) } mm over { GIVEN($width_mm) } mm at the worst, { book-after }.
book-cup-flat = Across { GIVEN($width_mm) } mm it stays flat as far as the air is concerned: both faces settle alike.
book-cup-ring = { $side ->
        [bark] Once all of it has followed the air its rings cup it by { MM($cup_mm) } mm over { GIVEN($width_mm) } mm, the side towards the bark hollow.
        [pith] Once all of it has followed the air its rings cup it by { MM($cup_mm) } mm over { GIVEN($width_mm) } mm, the side towards the pith hollow.
       *[none] Its rings cup it too little to see.
    }
book-cup-tension = The shell is stretched most { book-after }: tension index { NUMBER($index, minimumFractionDigits: 2, maximumFractionDigits: 2) }, reckoned for a board held flat whose wood never gives way. It sets one way of drying a board beside another, not one cut beside another: the lower the better.
book-cup-tension-none = The shell is under no tension.
book-cup-ends = { $ends ->
        [open] Ends check before faces do: seal them.
       *[unknown] Ends check before faces do: are they sealed?
    }
book-caution-cup = At most: wood gives way with time and a bench passes some vapour. What growth and kiln left in the board shows only when it is cut. Never mill cupped or twisted stock unsupported.
book-meter = The wood there holds { FIGURE($mc_pct) } % MC, give or take { FIGURE($spread_pct) } %.
book-meter-low = { NUMBER($mc_pct, maximumFractionDigits: 1) } % or less: pins cannot tell how much less.
book-meter-high = { NUMBER($mc_pct, maximumFractionDigits: 1) } % or more: from there on pins only say that it is wet.
book-meter-row = { $stands ->
        [group] The resistance table has one row for the whole group: { $name }.
       *[genus] The resistance table has no row of its own for it; that of another of its genus stands in: { $name }.
    }
book-caution-meter = Bare pins read the wettest wood they touch. Driven a fifth to a quarter of the thickness deep they read about the mean of a board that is drying. A meter that is set to species and temperature is not corrected again.
book-mill-cup = It goes { MM($peak_mm) } mm out of flat over { GIVEN($width_mm) } mm at the worst, the { $face ->
        [top] top
       *[bottom] bottom
    } face hollow, { book-after }.
book-mill-flat = It stays flat over { GIVEN($width_mm) } mm as far as the air is concerned.
book-mill-first = As soon as it is milled it is { MM($at_once_mm) } mm out of flat, the { $face ->
        [top] top
       *[bottom] bottom
    } face hollow.
book-mill-at-once = It is { MM($peak_mm) } mm out of flat over { GIVEN($width_mm) } mm as soon as it is milled, the { $face ->
        [top] top
       *[bottom] bottom
    } face hollow, and moves no further out as it settles.
book-mill-stood = Before it is milled it is taken to have stood { GIVEN($stood_days) } { $stood_days ->
        [one] day
       *[other] days
    } { $stood ->
        [one] flat on the bench
       *[both] on stickers
    } in this air.
book-mill-settled = Once it is even inside it stays { MM($settled_mm) } mm out of flat, the { $face ->
        [top] top
       *[bottom] bottom
    } face hollow: it was cut flat while it stood bent.
book-mill-advice = { $advice ->
        [even-faces] Take the same from both faces: { MM($peak_mm) } mm at the most.
        [stickers] Lay it on stickers afterwards: { MM($peak_mm) } mm at the most.
        [wrapped] Wrap it afterwards: { MM($peak_mm) } mm at the most.
        [even-faces-and-stickers] Take the same from both faces and lay it on stickers afterwards: { MM($peak_mm) } mm at the most.
        [even-faces-and-wrapped] Take the same from both faces and wrap it afterwards: { MM($peak_mm) } mm at the most.
       *[as-planned] No other way of taking this much does noticeably better.
    }
book-mill-extra = Done so, leave it { MM($extra_mm) } mm over at first, { FIGURE($first_mm) } mm in all; { book-after } take the rest evenly: it ends up { MM($left_mm) } mm out of flat.
book-mill-extra-not-this-season = Done so, leave it { MM($extra_mm) } mm over at first; it is not even enough inside for the last pass this season.
book-mill-extra-none = This board has not enough to spare for being flattened at that size after it has moved: let it settle first, or take less.
book-mill-extra-nothing = Done so, nothing has to be left over for cup; twist and bow are yours to add.
book-mill-compare = { $faces ->
        [even] The same off both faces
       *[uneven] As planned
    }: { MM($stickers_mm) } mm at the most on stickers, { MM($wrapped_mm) } mm wrapped, { MM($bench_mm) } mm flat on the bench.
book-caution-mill = At most: wood gives way with time and a bench passes some vapour. What growth and kiln left in the board, twist and bow do not come from the air: cut a fork test before milling unevenly, and never mill cupped or twisted stock unsupported. The machine's manual comes first. Dust: extraction and a mask.
book-resaw-half = { $half ->
        [top] The top half
        [bottom] The bottom half
       *[each] Each half
    }, { GIVEN($thickness_mm) } mm thick, goes { MM($peak_mm) } mm out of flat over { GIVEN($width_mm) } mm at the worst, the { $face ->
        [sawn] sawn
       *[outer] outer
    } face hollow, { book-after }: a flat piece of { FIGURE($flat_mm) } mm is in it.
book-resaw-first = As soon as it is sawn it is { MM($at_once_mm) } mm out of flat, the { $face ->
        [sawn] sawn
       *[outer] outer
    } face hollow.
book-resaw-half-at-once = { $half ->
        [top] The top half
        [bottom] The bottom half
       *[each] Each half
    }, { GIVEN($thickness_mm) } mm thick, is { MM($peak_mm) } mm out of flat over { GIVEN($width_mm) } mm as soon as it is sawn, the { $face ->
        [sawn] sawn
       *[outer] outer
    } face hollow, and moves no further out as it settles: a flat piece of { FIGURE($flat_mm) } mm is in it.
book-resaw-flat = { $half ->
        [top] The top half
        [bottom] The bottom half
       *[each] Each half
    }, { GIVEN($thickness_mm) } mm thick, stays flat over { GIVEN($width_mm) } mm as far as the air is concerned.
book-resaw-rest = { $lying ->
        [wrapped] Wrapped,
       *[stickers] On stickers,
    } shell and core of the halves are within 1 % of each other { book-after }: rest them so long before they are planed.
book-resaw-rest-none = { $lying ->
        [wrapped] Wrapped,
       *[stickers] On stickers,
    } shell and core of the halves are within 1 % of each other from the start.
book-resaw-rest-not-this-season = { $lying ->
        [wrapped] Wrapped,
       *[stickers] On stickers,
    } shell and core of the halves do not come within 1 % of each other this season: they are not ready to be planed.
book-caution-resaw = At most: wood gives way with time. Growth stress and case-hardening cannot be seen from the air: cut a fork test first, and leave the board whole if its prongs pinch or spread. Wood that closes behind the blade kicks back: riving knife in, stop when the kerf closes. Never saw cupped or twisted stock unsupported. The saw's manual comes first. Dust: extraction and a mask.
book-rip-crook = Going by the test strip, a rip of { GIVEN($length_mm) } mm crooks by { MM($crook_mm) } mm.
book-rip-leave = Rip it { GIVEN($rip_width_mm) } mm wide, { GIVEN($oversize_mm) } mm over: a pass and twice the crook on each edge, as the second cut frees more. Let it lie before the last cut.
book-rip-strips = Three strips straight within half a millimetre release the lot from this.
book-rip-released = The last three strips came off straight within half a millimetre: rip { GIVEN($rip_width_mm) } mm wide, { GIVEN($oversize_mm) } mm over, a pass on each edge.
book-caution-rip = A knot in the rip line voids the test. Wood that closes behind the blade kicks back: riving knife in, stop when the kerf closes. Never rip cupped or twisted stock unsupported, nor against a fence without a straight edge. The saw's manual comes first. Dust: extraction and a mask.
book-layers-cup = Over { GIVEN($width_mm) } mm the panel cups by { MM($cup_mm) } mm, the { $face ->
        [top] top
       *[bottom] bottom
    } face hollow.
book-layers-flat = Over { GIVEN($width_mm) } mm the panel stays flat: its faces pull alike.
book-layers-width = { GIVEN($width_mm) } mm of it { $way ->
        [shrinks] shrink
       *[swells] swell
    } by { MM($change_mm) } mm.
book-layers-stretched = { $what } is stretched most across its grain: tension index { NUMBER($index, minimumFractionDigits: 2, maximumFractionDigits: 2) }, reckoned for wood that never gives way. It sets one construction beside another: the lower the better.
book-layers-balance = What is on one face belongs on the other, too: the same wood, thickness and grain, and as dry.
book-caution-layers = At most: glue lines are taken to hold at once and to bring no water, and wood never to give way. Water-borne glue wets the layers it joins: let a panel rest before it is flattened. Adhesive: the maker's sheet, gloves, ventilation.
book-gap = { $fit ->
        [groove] Leave { MM($gap_today_mm) } mm at the bottom of each groove today
        [door] Leave { MM($gap_today_mm) } mm in all beside the door today
       *[drawer] Leave { MM($gap_today_mm) } mm in all above and below the drawer front today
    }: { MM($gap_dry_mm) } mm when it is driest, { MM($gap_damp_mm) } mm when it is dampest.
book-gap-slot = A slot { MM($slot_mm) } mm long takes the { GIVEN($screw_mm) } mm screw: from today leave { MM($shrinks_mm) } mm of it for the wood to shrink and { MM($swells_mm) } mm to swell.
book-panel = It moves { MM($swing_mm) } mm through the year, eight times in ten between { MM($swing_mm_low) } and { MM($swing_mm_high) } mm: { MM($width_driest_mm) } mm wide about { $narrowest }, { MM($width_dampest_mm) } mm about { $widest }.
book-panel-follows-bare = Wood as moist as the air draws it would move { MM($air_swing_mm) } mm; this panel turns { $lag_days ->
        [one] 1 day
       *[other] { NUMBER($lag_days, maximumFractionDigits: 0) } days
    } after the air does.
book-panel-follows = Wood as moist as the air draws it would move { MM($air_swing_mm) } mm, this panel without a finish { MM($bare_swing_mm) } mm; it turns { $lag_days ->
        [one] 1 day
       *[other] { NUMBER($lag_days, maximumFractionDigits: 0) } days
    } after the air does.
book-panel-in-step = From what it is made at it takes { NUMBER($months, maximumFractionDigits: 0) } months to get there.
book-panel-slow = It moves { MM($swing_mm) } mm through a year, eight times in ten between { MM($swing_mm_low) } and { MM($swing_mm_high) } mm, and for ten years and more stays near the { GIVEN($width_mm) } mm it is made to.
book-panel-still = It does not move through the year: it comes to be { MM($width_mm) } mm wide and stays so.
book-panel-room = In a frame, give it grooves { MM($groove_depth_mm) } mm deep and leave { MM($groove_gap_today_mm) } mm at the bottom of each today. Screwed down it needs slots { MM($slot_mm) } mm long if the opposite edge is fixed, { MM($slot_from_middle_mm) } mm at both edges if its middle is.
book-panel-cups = As its faces are not closed alike it also cups, the { $face ->
        [front] front
       *[back] back
    } hollow by { MM($cup_mm) } mm over { GIVEN($width_mm) } mm at the worst: finish both faces alike.
book-panel-held = Glued or nailed fast across its width it would be stretched by { NUMBER($stretch_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } % at its driest, { $rank ->
        [within] short of the { NUMBER($yields_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % at which strips of wood began to give in tests.
        [yields] past the { NUMBER($yields_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % at which strips of wood began to give in tests, short of the { NUMBER($fails_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % from which on they broke.
       *[fails] past the { NUMBER($fails_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % from which on strips of wood broke in tests.
    }
book-panel-held-set = At its dampest it would be squeezed by { NUMBER($squeeze_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } %, and past { NUMBER($set_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % it keeps that as a set: the next dry time then opens it further.
book-caution-panel = Reckoned for the middle of a panel in a year that goes evenly. Left out: bare ends, which breathe many times as fast; spells of days, which thin bare wood follows; wear of a finish; what breadboard ends and frames hold back; hysteresis, which takes some of the swing away; creep. The strain is elastic and ranks danger, it foretells no crack. Finish and adhesive: the maker's sheet, gloves, ventilation; oily rags heat themselves.
book-own-species = { $name } is a species of your own: its figures are yours, from [[species]] in stillstack.toml, and nobody else has checked them.
book-doubtful = The { $figure ->
        [specific_gravity] specific gravity
        [shrinkage] shrinkage
        [coefficient] movement coefficient
        [side_hardness] hardness
       *[other] decay class
    } of { $name } is in doubt at its source: do not rely on it alone.
book-by-shrinkage = No movement coefficient is known for { $name }, so its shrinkage has to do{ $group ->
        [imported] : for imports that have both, that gives from 41 % less movement to 26 % more.
        [own] .
       *[other] : for home-grown species that have both, that gives from 12 % less movement to 7 % more.
    }
book-nothing = –
book-species-head = { $column ->
        [name] Species
        [dense] Specific gravity
        [hard] Side hardness
        [moves] Moves, flat / quarter
        [half] Half way in
       *[lasts] Heartwood against decay
    }
book-species-name = { $name }
book-species-dense = { NUMBER($value, minimumFractionDigits: 2, maximumFractionDigits: 2) }
book-species-hard = { NUMBER($value, maximumFractionDigits: 0) } N
book-species-moves = { NUMBER($flat_mm, minimumFractionDigits: 2, maximumFractionDigits: 2) } / { NUMBER($quarter_mm, minimumFractionDigits: 2, maximumFractionDigits: 2) } mm
book-species-half = { NUMBER($days, maximumFractionDigits: 0) } days ({ NUMBER($days_low, maximumFractionDigits: 0) } to { NUMBER($days_high, maximumFractionDigits: 0) })
book-species-lasts = { $class ->
        [long] resistant or very resistant
        [middling] moderately resistant
       *[little] slightly or not resistant
    }
book-species-columns = Specific gravity is oven-dry mass over green volume. Side hardness is the force that presses a steel ball half in. Movement is that of 100 mm for each 1 % MC, flatsawn and quartersawn. Half way is a { NUMBER($thickness_mm, maximumFractionDigits: 0) } mm board on stickers, from { NUMBER($from_pct, maximumFractionDigits: 0) } % in air of { NUMBER($temperature_c, maximumFractionDigits: 0) } °C and { NUMBER($humidity_pct, maximumFractionDigits: 0) } % RH.
book-species-best = { $what ->
        [hard] Hardest: { $names }.
        [still] Moves least, flatsawn: { $names }.
        [quick] Settles fastest: { $names }.
       *[lasting] Lasts longest: { $names }.
    }
book-species-note = About { $name }: { $note }.
book-caution-species = A finish does not make soft wood durable (common practice, no source). Sapwood lasts in no species.
book-cover-fitted = What the finish holds back is reckoned from a test in damp air (30 to 90 % RH at { TEMPERATURE(27) }): in dry air it holds back more, and where it is thin, worn or cracked, and on bare ends, less.
book-settle-shrinks = It still shrinks by { MM($left_mm) } mm across { GIVEN($width_mm) } mm.
book-settle-swells = It still swells by { MM($left_mm) } mm across { GIVEN($width_mm) } mm.
book-settle-there = Shell and core lie within half a per cent of the { FIGURE($emc_pct) } % that this air draws wood to: it has settled.
book-settle-there-unsure = By the figure that was given it has settled, within half a per cent of the { FIGURE($emc_pct) } % that this air draws wood to; but that is too unsure to go by: it may take { book-late }.
book-late = { $unit ->
        [late] longer than this season
       *[days] up to { NUMBER($count, maximumFractionDigits: 0) } { book-unit }
    }
book-count = { $spread ->
        [hour] less than an hour
        [open] { NUMBER($count, maximumFractionDigits: 0) } { book-unit }, { NUMBER($count_low, maximumFractionDigits: 0) } at the soonest, and nobody can say how late
        [season] { NUMBER($count, maximumFractionDigits: 0) } { book-unit }, { WHOLE($count_low) ->
            [0] now
           *[other] { NUMBER($count_low, maximumFractionDigits: 0) }
        } at the soonest, and perhaps not this season
        [lasts] { NUMBER($count, maximumFractionDigits: 0) } { book-unit }, { NUMBER($count_low, maximumFractionDigits: 0) } at the least
       *[closed] { NUMBER($count, maximumFractionDigits: 0) } { book-unit }, between { NUMBER($count_low, maximumFractionDigits: 0) } and { NUMBER($count_high, maximumFractionDigits: 0) }
    }
book-unit = { $unit ->
        [h] h
       *[days] { WHOLE($count) ->
            [one] day
           *[other] days
        }
    }
book-settle-days = Shell and core come within half a per cent of the { FIGURE($emc_pct) } % that this air draws wood to in { book-count }.
book-settle-not-this-season = Shell and core stay farther than half a per cent from the { FIGURE($emc_pct) } % that this air draws wood to for more than 60 days: not this season.
book-settle-pile = Dead-stacked, { $pile } boards settle as one of { GIVEN($thickness_mm) } mm would; what follows is of the one that settles last. Stickers let each settle by itself.
book-settle-mill-now-unsure = By the figure that was given it is good to mill now, but that is too unsure to go by: it may take { book-late }. Measure it again.
book-settle-mill-now = It is good to mill now: shell and core lie within 1 % of each other, and the mean inside its aim.
book-settle-mill = It is good to mill in { book-count }: then shell and core lie within 1 % of each other, and the mean inside its aim.
book-settle-mill-until = From now it stays so for { book-count }.
book-settle-mill-again = It is so again in { book-count }.
book-settle-mill-not-again = It is not so again this season.
book-settle-mill-not-this-season = It is not good to mill this season: shell and core stay more than 1 % apart, or the mean outside its aim.
book-settle-mill-never = It does not come to be good to mill in this air, which draws it to { FIGURE($emc_pct) } %, out of its aim of { FIGURE($low_pct) } to { FIGURE($high_pct) } %.
book-settle-ends = The outer { NUMBER($ends_mm, maximumFractionDigits: 0) } mm at ends that are neither sealed nor wrapped run ahead of this{ $way ->
        [dries] ; ends check first: seal or trim them
       *[swells] {""}
    }.
book-settle-ends-pile = The outer { NUMBER($ends_mm, maximumFractionDigits: 0) } mm at ends that are neither sealed nor wrapped, and the outer { NUMBER($edges_mm, maximumFractionDigits: 0) } mm at its open long edges, run ahead of this{ $way ->
        [dries] ; ends check first: seal or trim them
       *[swells] {""}
    }.
book-water-aim = The aim is air of { FIGURE($humidity_pct) } % RH at { TEMPERATURE($temperature_c) }, which draws wood to { FIGURE($aim_pct) } % MC.
book-water-add = { FIGURE($litres_per_day) } litres of water, spread over the 24 hours, keep { GIVEN($volume_m3) } m³ at the aim through a day like this.
book-water-remove = { FIGURE($litres_per_day) } litres of water have to come out of the air, spread over the 24 hours, to keep { GIVEN($volume_m3) } m³ at the aim through a day like this.
book-water-none = No water has to be added or taken out to keep { GIVEN($volume_m3) } m³ at the aim through a day like this.
book-water-refused = No litres are named for this aim: with { TEMPERATURE($outdoor_c) } outside, { $glazing ->
    [single] single
   *[double] double
} glass runs with condensation from { FIGURE($limit_pct) } % RH on, and mould follows. Up to { FIGURE($litres_per_day) } litres a day the panes stay dry.
book-water-glass = With { TEMPERATURE($outdoor_c) } outside, { $glazing ->
    [single] single
   *[double] double
} glass runs with condensation from { FIGURE($limit_pct) } % RH on, and mould follows: never more than { FIGURE($litres_per_day) } litres a day.
book-water-glass-unknown = Say whether the windows are single or double, and it is told from which humidity on they run: beyond it come condensation and mould.
book-water-same-aim = At { TEMPERATURE($temperature_c) } in the room the same aim holds with no water added or taken out.
book-water-too-dry = Without water no temperature from { TEMPERATURE(5) } up meets the aim: the air that comes in is too dry.
book-water-too-damp = Heat alone does not meet the aim up to { TEMPERATURE(30) }: the air is too damp.
book-water-closed = Without air change there is no balance: whatever gives off water dampens the room without end.
book-water-flame = The flame without a flue puts { FIGURE($kg_per_day) } kg of water a day into the room, and carbon monoxide with it: such heaters belong outdoors or on a flue, with an alarm for carbon monoxide on the wall.
book-caution-water = An estimate for a steady day. A humidifier breeds germs unless it is emptied and cleaned as its maker says. Mains appliances and heaters: local code and a licensed person. Keep wood dust and solvent vapour away from heaters; one without a flue gives off carbon monoxide.
book-outside-fit = The equation was not made for air like this: take the figure as a direction, not as a number.
book-caution-estimate = An estimate for dry lumber under roof, not for green or structural wood.

## A sensor over a salt

salt-unheard = Too little has been heard of the sensor lately to judge. Look at its plug, battery and network.
salt-short = Settling: { FIGURE($hours) } h over the salt, { $least_h } h at least.
salt-moving = Settling: still moving { FIGURE($slope_pct_per_h) } % RH an hour; below { $most_pct_per_h } % is steady.
salt-scattered = Settling: its readings scatter by { FIGURE($scatter_pct) } % RH; below { $most_pct } % is steady.
salt-warming = Settling: the jar went through { FIGURE($spread_c) } K in the last hours; below { $most_c } K is steady. Keep it out of sun and draught.
salt-saturated = It says 100 % RH over { $salt }: there its scale ends, and how far off it is cannot be told. Take a drier salt, or replace the sensor.
salt-outside = No humidity over { $salt } is published for { TEMPERATURE($temperature_c) }. Bring the jar to room temperature, or take another salt.
salt-steady = Steady: it says { FIGURE($humidity_pct) } % RH where { $salt } at { TEMPERATURE($temperature_c) } makes { FIGURE($expected_pct) } %. Finish the check now.
salt-done = It said { FIGURE($read_pct) } % RH where { FIGURE($published_pct) } % is published; the difference is made up from now on, good to { FIGURE($uncertainty_pct) } % near that humidity.
salt-done-between = It said { FIGURE($read_pct) } % RH where { FIGURE($published_pct) } % lies between the published rows for { TEMPERATURE($low_c) } and { TEMPERATURE($high_c) }; the difference is made up from now on, good to { FIGURE($uncertainty_pct) } % near that humidity.
salt-done-two = It said { FIGURE($read_pct) } % RH where { FIGURE($published_pct) } % is published; with the check before it a line is laid through both, good to { FIGURE($uncertainty_pct) } % between the two.
salt-done-two-between = It said { FIGURE($read_pct) } % RH where { FIGURE($published_pct) } % lies between the published rows for { TEMPERATURE($low_c) } and { TEMPERATURE($high_c) }; with the check before it a line is laid through both, good to { FIGURE($uncertainty_pct) } % between the two.
salt-given-up = Given up; nothing was changed.
salt-withdrawn = Withdrawn; its correction counts no longer.

## Why a rule has nothing to watch

not-watched-no-zone = not watched, because no zone is named yet
not-watched-no-air = not watched, because no zone has air to speak of
not-watched-short-record = not watched, because the record is shorter than five hours
not-watched-no-outlook = not watched, because no zone has an outlook yet
not-watched-no-outdoors = not watched, because no zone is said to be outdoors
not-watched-no-extractor = not watched, because no extractor's hours are told and no room's nights say how still it is
not-watched-no-shelf = not watched, because no zone or sensor is marked as a shelf
not-watched-no-iron = not watched, because no zone is marked as having bare iron
not-watched-no-week = not watched, because no zone was heard for most of a week
not-watched-no-pair = not watched, because no two sensors of a zone were heard for two weeks
not-watched-no-check = not watched, because no sensor was checked over a salt
not-watched-no-sensor = not watched, because there is no sensor yet
not-watched-no-source = not watched, because there is no wire yet
not-watched-no-remote = not watched, because no remote is configured

## Listening to what is not configured yet

listen-heard = { $lines ->
    [one] One line came, at { NUMBER($baud, useGrouping: 0) } baud.
   *[other] { $lines } lines came, at { NUMBER($baud, useGrouping: 0) } baud.
}
listen-topics = { $messages } messages came, on { $topics } topics.
listen-left-out = { $messages } messages on further topics were passed over. A narrower topic filter hears fewer.
listen-silent = Nothing came. A sensor that speaks once a minute has to be listened to for longer than that.
listen-quiet-broker = The broker answers, but nothing came. A sensor that speaks once a minute has to be listened to for longer than that.
listen-unreadable = { $bytes } bytes came that are no text at any rate tried. Look on the sheet for what the device speaks, and how fast.
listen-no-format = Text came, in none of the ways that are read here: pairs such as T=20.4 RH=41.2, numbers in columns, JSON.
listen-no-air = It can be read, but no number there looks like a temperature or a humidity of the air.
listen-nested-line = It is JSON with objects inside. From a serial line only a flat object is read.
listen-refused = It nearly fits: { $reason }.
listen-bare-number = A number, but the end of the topic does not say of what.
listen-no-payload = Neither JSON nor a number.
listen-held = { $source } reads this port already, so it was not opened a second time.
listen-error = It could not be listened to: { $reason }.
listen-no-port = No serial port is plugged in.
listen-opens = Opening a port restarts many boards, so it is done only when asked; their first seconds may be missing.
listen-modbus = Modbus devices speak only when they are asked, so none is heard here. Write one from its sheet into the configuration, and see whether it answers.
guess-read = { $read } of { $heard } can be read like this.
guess-several-devices = Several devices may write here: { $place } changes, and this proposal does not read it. Look at what was heard before you take it.
guess-announced = Devices announce themselves below { $prefix }: { $devices ->
    [one] one that measures the air.
   *[other] { $devices } that measure the air.
}
guess-temperature-unit = The temperature stands at { $place }, with { $unit } behind it.
guess-temperature-unit-column = The temperature stands in column { $place }, with { $unit } behind it.
guess-temperature-key = The temperature stands at { $place }, in { $unit } as the name says.
guess-temperature-value = The temperature stands at { $place }, taken to be in { $unit }: { $raw } is then { TEMPERATURE($temperature_c) }, which a room may have.
guess-temperature-value-column = The temperature seems to stand in column { $place }, in { $unit }: { $raw } is then { TEMPERATURE($temperature_c) }, which a room may have.
guess-humidity-unit = The humidity stands at { $place }, with % behind it.
guess-humidity-unit-column = The humidity stands in column { $place }, with % behind it.
guess-humidity-key = The humidity stands at { $place }, as the name says.
guess-humidity-value = The humidity seems to stand at { $place }: { $raw } is then { FIGURE($humidity_pct) } % RH, which a room may have.
guess-humidity-value-column = The humidity seems to stand in column { $place }: { $raw } is then { FIGURE($humidity_pct) } % RH, which a room may have.
