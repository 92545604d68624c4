# What is said of a panel, question by question (server/advice/panel). Titles have at most 24 letters.
panel-cure-asked = Does its glue get what it needs?
panel-cure-cold-title = Warm the glue-up
panel-cure-cold = { $name }: its wood is { TEMPERATURE($wood_c) }, colder than the { TEMPERATURE($lowest_c) } its glue needs. Bring it into a warmer room, in its clamps{ $late ->
        [yes] . It has been cold for { FIGURE($cold_h) } h already, so warmth may come too late: before you trust the joints, break one of the same glue that was as cold.
       *[no] : glue that has not set can still be saved.
    }
panel-cure-doubt-title = Do not trust its joints
panel-cure-doubt = { $name } was colder than the { TEMPERATURE($lowest_c) } its glue needs for { FIGURE($cold_h) } of its { GIVEN($told_h) } h in the clamps: such a joint may look closed and not hold, and warmth now does not mend it. { $flattened ->
        [yes] Put no load on it unless a joint of the same glue, clamped as cold, broke in the wood.
       *[no] Put no load on it. Break a joint of the same glue that was clamped as cold; make one if there is none. If it breaks in the wood, go on; if it opens along the glue, cut the joints of { $name } open and glue fresh edges in the warm.
    }
panel-cure-cool = { $name } had its time in the clamps while it was warm. Its wood is { TEMPERATURE($wood_c) } now, colder than the { TEMPERATURE($lowest_c) } its glue needs: until it is warmer it cures no further. Do not load or machine it before.
panel-cure-longer-title = Leave it clamped
panel-cure-longer = { $name }: at this temperature it needs { FIGURE($left_h) } h more in its clamps, longer than the { GIVEN($told_h) } h that were told. Leave them on.
panel-cure-soon-title = Handle with care
panel-cure-soon = { $name } came out of its clamps after { GIVEN($told_h) } h, with { NUMBER($done, maximumFractionDigits: 0) } % of the time it needed at its temperature. Put no load on it before it is cured, and break a test joint of the same hour.
panel-cure-dry-title = Wrap it while it cures
panel-cure-dry = This air draws its faces { FIGURE($drier_pct) } % below its mean: ends open first while the glue is soft. Wrap it, or lay damp-proof film over its ends.
panel-cure-clamps-title = In its clamps
panel-cure-clamps = { $name } stays { FIGURE($left_h) } h more in its clamps.
panel-cure-wait-title = Let it cure
panel-cure-wait = { $name } is cured in { FIGURE($left_h) } h, if its wood stays as warm. Do not load or machine it before.
panel-cure-unknown = { $name } cures; how long that takes at this temperature nobody says. Do not load or machine it before the maker's sheet allows it.
panel-cure-there = { $name } is cured.
panel-cure-warmth = Its wood is { TEMPERATURE($wood_c) } now; that, not the air, is what the glue goes by.
panel-cure-missing = { $why ->
        [too-cold] For some of the time the wood was colder than this glue can bear; that time is not counted.
        [longer] For some of the time the wood was colder than any published time is for; at the least it counts as nothing.
        [sheet-silent] The maker's sheet says nothing of wood this cold; at the least that time counts as nothing.
       *[not-found] No time is published for this adhesive: type in its maker's sheet. Until then a day after the clamps counts as cured.
    }
panel-cure-limit = { $known ->
        [no] The lowest temperature is on the maker's sheet.
        [gels] It sets as it cools: it has to be warm only until the clamps are on.
       *[yes] The wood no colder than { TEMPERATURE($lowest_c) }.
    }
panel-flat-asked = May it be flattened?
panel-flat-first-cured = Its glue has to cure first.
panel-flat-doubt = It was clamped too cold: flatten { $name } only once a joint of the same glue, clamped as cold, has broken in the wood.
panel-flat-wait-title = { WHOLE($left_days) ->
        [one] Flatten in { NUMBER($left_days, maximumFractionDigits: 0) } day
       *[other] Flatten in { NUMBER($left_days, maximumFractionDigits: 0) } days
    }
panel-flat-wait = { $name } may be flattened in { FIGURE($left_days) } days.
panel-flat-uneven-title = Let it even out
panel-flat-uneven = { $name } has rested from its glue, but its shell and core are more than 1 % apart: flattened now it would not stay flat.
panel-flat-aim-title = Not at its aim yet
panel-flat-aim = { $name } has rested from its glue, but is at { FIGURE($mean_pct) } %, out of its aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %: flattened now, each strip would go out of flat by itself on the way there.
panel-flat-ready-title = It may be flattened
panel-flat-ready = { $name } may be flattened: { $water ->
        [yes] its glue lines have sunk so far that they will not show
        [days] its glue lines have had the days that are generally enough, but may still stand out a little, so leave the last passes and the sanding for later
       *[no] its glue is cured
    }; it is even inside and within its aim.
panel-flat-early = It was flattened { FIGURE($rested_days) } days after the clamps, before its glue lines had dried: they may still sink{ $stage ->
        [flattened] . Leave the last passes and the sanding until they have.
       *[finished] { " " }and show through its finish.
    }
panel-flat-done = It was flattened { FIGURE($rested_days) } days after the clamps.
panel-flat-sinks-title = Leave the sanding
panel-flat-line = The glue brought about { NUMBER($water_g, maximumFractionDigits: 0) } g of water to each square metre of line; the wood beside it stands out by { NUMBER($out_mm, minimumFractionDigits: 2, maximumFractionDigits: 2) } mm, { NUMBER($most_mm, minimumFractionDigits: 2, maximumFractionDigits: 2) } mm at the most.
panel-flat-why = Water-borne glue swells the wood beside each line; planed before that has dried, the line sinks later and shows.
panel-flat-limit = { $known ->
        [no] Until it is cured: this adhesive brings no water of its own, or nobody says how much.
        [line] { FIGURE($days) } days from the clamps: until the wood beside a line stands out by no more than { NUMBER($shows_mm, minimumFractionDigits: 3, maximumFractionDigits: 3) } mm, or the days that are generally enough, more of them in the cold.
       *[yes] { FIGURE($days) } days from the clamps.
    }
panel-finish-asked = On one side or both, and now?
panel-finish-cups = With a finish on one face only it goes hollow by { MM($one_mm) } mm across { GIVEN($width_mm) } mm within a year there, the { $face ->
        [top] top
       *[bottom] bottom
    } hollow, { MM($far_mm) } mm at the most; finished alike on both, { MM($both_mm) } mm.
panel-finish-swings = Bare it moves { MM($bare_mm) } mm through the year, finished on both faces { MM($both_mm) } mm.
panel-finish-other-title = Finish the other face
panel-finish-other = { $name } is finished unlike on its two faces and may go { MM($cup_mm) } mm out of flat within a year: give the other face the same.
panel-finish-aim-title = Not at its aim yet
panel-finish-aim = { $name } is at { FIGURE($mean_pct) } %, out of its aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %: a finish would keep it there longer.
panel-finish-uneven-title = Let it even out first
panel-finish-uneven = { $name }: shell and core are more than 1 % apart; a finish would lock that in for weeks.
panel-finish-ready-title = Ready to finish
panel-finish-ready = { $name } may be finished: it is even inside and within its aim. Both faces alike keep it flat.
panel-finish-sinks = { $name } waits with its finish: its glue lines may still sink, and the last passes come first.
panel-finish-limit = Hollow by no more than { GIVEN($flat_mm) } mm over { GIVEN($width_mm) } mm.
panel-caution-finish = At most: wood gives way with time. The finish maker's sheet comes first: gloves, fresh air, no flame or heater near its vapours. Oily rags heat themselves: lay them out flat or under water.
panel-fit-asked = Has it the room it needs?
panel-fit-used = { $name } has swollen { MM($now_mm) } mm since it was fitted and has used up its { GIVEN($room_mm) } mm: take { MM($plane_mm) } mm off it before it pushes its frame apart.
panel-fit-plane-title = Plane it free
panel-fit-binds = { $name } has used { MM($now_mm) } of its { GIVEN($room_mm) } mm; within a year it needs { MM($most_mm) } mm, { MM($far_mm) } mm at the most: it would bind. Take { MM($plane_mm) } mm off.
panel-fit-binds-title = It will bind
panel-fit-enough = { $name } has used { MM($now_mm) } of its { GIVEN($room_mm) } mm, and within a year needs { MM($most_mm) } mm, { MM($far_mm) } mm at the most.
panel-fit-unknown = { $name } swells { MM($most_mm) } mm within a year from how it was fitted, { MM($far_mm) } mm at the most; what room it was given nobody has said.
panel-fit-limit = The { GIVEN($clearance_mm) } mm it was given.
panel-fit-slot = { $name } needs slots { $fixed ->
        [middle] { MM($middle_mm) } mm long
        [edge] { MM($needed_mm) } mm long
       *[not-told] { MM($middle_mm) } mm long where its middle is fixed, { MM($needed_mm) } mm where one edge is
    }; they are { GIVEN($slot_mm) } mm.
panel-fit-centre-title = Set its screws anew
panel-fit-centre = The slots of { $name } are long enough, but { $told ->
        [yes] on
       *[no] if its screws stood in their middle when it was fitted, on
    } the { $side ->
        [outer] outer
       *[inner] inner
    } side of each screw { MM($left_mm) } mm are left and it needs { MM($needs_mm) } mm within a year. Loosen the screws and set them so that { MM($outer_mm) } mm are free on the outer side, away from where it is fixed, and { MM($inner_mm) } mm on the inner; then tell it as fitted.
panel-fit-slot-enough = { $where ->
        [any] The slots of { $name }, { GIVEN($slot_mm) } mm, are long enough for its year.
       *[middle] The slots of { $name }, { GIVEN($slot_mm) } mm, are long enough for its year where its middle is fixed; where one edge is, they have to be { MM($needed_mm) } mm.
    }
panel-fit-slot-title = Lengthen its slots
panel-fit-slot-limit = The { GIVEN($slot_mm) } mm of its slots.
panel-fit-free-title = { $rank ->
        [fails] Free it to move
       *[yields] Held fast: look
    }
panel-fit-held = { $name } is held fast: at its driest it would be stretched by { NUMBER($stretch_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } %, { $rank ->
        [within] which wood stands
        [yields] past what wood stands without giving way
       *[fails] past what wood breaks at: free it, or it opens
    }.{ $set ->
        [yes] {" "}At its dampest it is squeezed so far that it keeps it, and opens the more in the next dry time.
       *[no] {""}
    }
panel-fit-held-limit = Stretched by { NUMBER($yields_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % wood gives way, by { NUMBER($fails_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % it breaks.
panel-caution-fit = An estimate for dry lumber, elastic and without creep: it ranks danger and foretells no crack. Frames, grooves and ends hold back some of it. Never plane a piece that is not held safely.
panel-crate-asked = Does it need a wrap on the road?
panel-crate-moves = In { GIVEN($days) } days like these it { $way ->
        [shrinks] shrinks
       *[swells] swells
    } by { MM($open_mm) } mm in an open crate and goes at most { MM($cup_mm) } mm out of flat; wrapped in film, by { MM($wrapped_mm) } mm. { $wrap ->
        [yes] Wrap it for the road.
        [damp] But it is at { FIGURE($mean_pct) } %, damper than its aim: wrapped it would stay so. Let it come to its aim first, then wrap it.
       *[no] It needs no wrap against the air.
    }
panel-crate-limit = A wrap where the road would move its mean by { GIVEN($needs_pct) } % or more.
panel-caution-crate = Wrap dry wood only: damp wood moulds under film. A fresh finish under film sticks: its maker's sheet comes first. Lift heavy crates with help.
panel-home-asked = What becomes of it there, and may it go?
panel-home-year = It is { MM($width_mm) } mm wide today; within a year there it is narrowest about { $narrow_at } with { MM($narrow_mm) } mm and widest about { $wide_at } with { MM($wide_mm) } mm, { MM($least_mm) } to { MM($most_mm) } mm at the far ends.
panel-home-plan = For planning only, { $of ->
        [aim] once that house is as dry and warm as its aim
       *[told] in the air that was told
    }: { MM($width_mm) } mm wide today, within a year it would be narrowest about { $narrow_at } with { MM($narrow_mm) } mm and widest about { $wide_at } with { MM($wide_mm) } mm, { MM($least_mm) } to { MM($most_mm) } mm at the far ends. It is not to go there yet.
panel-home-fast = It is held fast: room beside its edges does not help it. What that strain does is told under "{ panel-fit-asked }"
panel-home-first = { $name } does not go yet: { $what ->
        [finish] its faces are finished unlike, and the other one comes first.
       *[fit] how it is fitted comes first.
    }
panel-home-gap = { $fit ->
        [drawer] For a drawer front plane a gap of { MM($gap_mm) } mm in all today
        [door] For an inset door plane a gap of { MM($gap_mm) } mm in all today
        [groove] Leave { MM($gap_mm) } mm at the bottom of each groove today
       *[edges] Leave { MM($gap_mm) } mm in all beside its edges today
    }; at its driest that is { MM($dry_mm) } mm.
panel-home-slot = Its slots have to be { MM($middle_mm) } mm long for { GIVEN($screw_mm) } mm screws where its middle is fixed, { MM($slot_mm) } mm where one edge is.
panel-home-wrapped = Coming in at { TEMPERATURE($cold_c) } it stays in its wrap { $unit ->
        [min] up to { NUMBER($most_count, maximumFractionDigits: 0) } min
       *[h] for { FIGURE($count) } h, { FIGURE($most_count) } h at the most
    }: unwrapped before its face is above { TEMPERATURE($dew_c) } it runs wet.
panel-home-dry = Coming in at { TEMPERATURE($cold_c) } it may be unwrapped at once: the room's dew point is { TEMPERATURE($dew_c) }.
panel-home-never-warm = That room is { TEMPERATURE($room_c) } and its dew point { TEMPERATURE($dew_c) }: a cold piece runs wet there for days. Let the room dry first.
panel-home-refused-title = { $why ->
        [plaster] Not while plaster dries
       *[unheated] Not to a cold house
    }
panel-home-refused = { $why ->
        [plaster] { $name } stays here: new plaster or screed gives off water for weeks, and no figure tells how damp that house is. Ask for its humidity over a week, and wait until it is within the aim.
       *[unheated] { $name } stays here: a house that is not heated is colder and damper than what it was made for. Wait until it is heated and lived in, or make it for that air.
    }
panel-home-off-title = Not at its aim yet
panel-home-off = { $name } is at { FIGURE($mean_pct) } %, out of its aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %: let it come there first, or leave it room for the way.
panel-home-fit-title = Ready to fit
panel-home-fit = { $name } may be fitted: it is finished, and within its aim.
panel-home-ask-title = Ask about the house
panel-home-ask = Before { $name } goes, ask two things: is the house heated and lived in, and is any plaster or screed there new?
panel-home-ready-title = Ready to deliver
panel-home-ready = { $name } may go: it is within its aim, and the house is heated and dry.
panel-home-limit = Its mean between { GIVEN($low_pct) } and { GIVEN($high_pct) } %.
panel-caution-home = An estimate for dry lumber, for the middle of a panel in a year that goes evenly; bare ends run ahead. Keep it away from stoves and radiators. Fresh finish and adhesive: their makers' sheets come first.
panel-there-asked = How does it fare at the customer's place?
panel-there-title = { $inside ->
        [yes] Well at home
       *[no] Outside its aim there
    }
panel-there-held = { $name } is held to be at { FIGURE($mean_pct) } % by now, between { FIGURE($low_pct) } and { FIGURE($high_pct) } %.
panel-there-unread = Nobody has measured it there: its air is taken from where it was to live.
panel-there-read = { $used ->
        [yes] The meter on { $at } brought it from { FIGURE($before_pct) } to { FIGURE($after_pct) } %.
       *[no] The meter on { $at } was too far from the { FIGURE($before_pct) } % expected to be believed: read again, at another place.
    }
panel-there-changed = Its year from now on: { MM($narrow_mm) } to { MM($wide_mm) } mm wide, where { MM($was_narrow_mm) } to { MM($was_wide_mm) } mm was expected without it.
panel-there-air = The air there draws it to { FIGURE($emc_pct) } %, { $fits ->
        [yes] as was reckoned with
       *[no] out of what was reckoned with
    }.
