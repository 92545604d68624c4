# Alerts about lots (server/rules): the title says what to do, then why. A "far" is read across the shop: at most 30
# letters, names up to 15 among them.
alert-lot-checks-title = { $deed ->
        [wrap] Wrap { $name }
        [move] Move { $name } to { THE($to_zone) }
        [ends] Seal or trim the ends of { $name }
       *[watch] Look at the faces of { $name }
    }
alert-lot-checks-why = Its shell is up to { FIGURE($ahead_pct) } % drier than its mean within a day: danger of checks { FIGURE($index) }, where { FIGURE($look_index) } is worth a look. That ranks it beside other lots and foretells no check.{ $ends ->
        [open] { " " }Its ends are not sealed, and ends check first.
        [not-told] { " " }Ends check first: are they sealed?
       *[sealed] { "" }
    }
band-lot-checks-far = { $name } dries too fast
band-lot-checks-far-short = A lot dries too fast
alert-lot-cup-title = { $deed ->
        [turned] Turn { $name } over
        [stickered] Put { $name } on stickers
        [wrapped] Wrap { $name }
       *[none] Look at { $name }
    }
alert-lot-cup-why = As it lies its { $hollow ->
        [top] top
       *[bottom] bottom
    } goes hollow, to { MM($cup_mm) } mm over { GIVEN($width_mm) } mm by { $at }; { GIVEN($tolerance_mm) } mm is tolerated.
band-lot-cup-far = { $name } goes hollow
band-lot-cup-far-short = A lot goes hollow
alert-milled-open-title = { $deed ->
        [turned] Turn { $name } over before you go
        [stickered] Put { $name } on stickers before you go
       *[wrapped] Wrap { $name } before you go
    }
alert-milled-open-why = It was milled lately and lies open. By { $at } it is out of flat by { MM($cup_mm) } mm over { GIVEN($width_mm) } mm, { MM($most_mm) } mm at the most; { GIVEN($tolerance_mm) } mm is tolerated.
band-milled-open-far = { $name } lies open
band-milled-open-far-short = Milled stock lies open
alert-lots-unconfirmed-title = { $count ->
        [one] Look how { $name } lies
       *[other] Look how { $count } lots lie, { $name } first
    }
alert-lots-unconfirmed-why = For too long nobody has said whether that is still as it is written. The next closing round asks for it.
band-lots-unconfirmed-far = Look how lots lie
alert-wrap-sweating-title = Lay a blanket over { $name }
alert-wrap-sweating-why = Its wrap cools to about { TEMPERATURE($film_c) } by { $at }, if the day goes as the last one did, and { $measured ->
        [yes] by the sensor in it the air within
       *[no] by its shells the air within
    } has its dew point at { TEMPERATURE($dew_point_c) }: the film would wet the boards. Or move it to where it stays warmer; do not open it to the cold.
band-wrap-sweating-far = { $name }: wrap sweats
band-wrap-sweating-far-short = A wrap sweats
alert-lot-good-title = { $name } is good to mill
alert-lot-good-why = Its shell and core are within 1 % of each other, and its mean, { FIGURE($mean_pct) } %, is inside its aim.
band-lot-good-far = { $name } may be milled
band-lot-good-far-short = A lot may be milled
alert-away-title = { $count ->
        [one] Wrap { $name } before you leave
       *[other] Wrap { $count } lots before you leave
    }
alert-away-why = Nobody is there from { $from } to { $to }. As they lie, { $names }{ $more ->
        [0] { "" }
        [one] { " " }and one more
       *[other] { " " }and { $more } more
    } would go out of flat, out of their aim or in danger of checks meanwhile; in a wrap less so.
band-away-far = Wrap stock before leaving
alert-panel-cures-title = { $deed ->
        [warm] Keep { $name } at { TEMPERATURE($keep_c) } or more
        [clamps] { $on ->
            [yes] Leave { $name } in its clamps until { $at }
           *[no] Put no load on { $name } yet
        }
        [test] Try the joints of { $name }
       *[wrap] Lay film over { $name }
    }
alert-panel-cures-why = { $deed ->
        [warm] { $when ->
            [now] Its wood is at { TEMPERATURE($wood_c) }
           *[coming] Its wood cools to { TEMPERATURE($wood_c) } by { $at }, if { THE($room) } goes as on the last day
        }; below { TEMPERATURE($lowest_c) } its glue does not cure. Heat { THE($room) } until it has, or move it to a warm room, in its clamps if they are on.
        [clamps] { $on ->
            [yes] Its wood is at { TEMPERATURE($wood_c) }; at that its glue needs the clamps for longer than until { $off }, as was told.
           *[no] It was to leave its clamps at { $off }, before its glue had the time it needs at { TEMPERATURE($wood_c) }. If they are still on, leave them until { $at }; if not, break a test joint of the same hour, and load it only once it is cured.
        }
        [test] In its clamps it was colder than { TEMPERATURE($lowest_c) } for { FIGURE($cold_h) } h: its joints may look closed and not hold, and warmth now does not mend them. Put no load on it. Break a joint of the same glue that was clamped as cold, and cut its own open and glue again if that opens along the glue.
       *[wrap] The air, at { TEMPERATURE($air_c) }, draws its faces { FIGURE($drier_pct) } % below its mean: its ends open while the glue is soft. Film that lets no damp through, over its ends first, until it is cured; keep it from the heater.
    }
band-panel-cures-far = { $name } cures badly
band-panel-cures-far-short = A panel cures badly
alert-panel-flat-title = { $name } may be flattened
alert-panel-flat-why = Since { $at } its glue has had the time it needs, its shell and core are within 1 % of each other, and it is within its aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %.
band-panel-flat-far = { $name } has rested
band-panel-flat-far-short = A panel has rested
alert-clearance-used-title = { $deed ->
        [ease] Take { MM($take_mm) } mm off { $name }
        [slots] Lengthen the slots of { $name }
        [centre] Set the screws of { $name } anew
        [wrap] Wrap { $name }
       *[look] Look at the fit of { $name }
    }
alert-clearance-used-why = { $which ->
        [wide] { $when ->
            [now] It is { MM($now_mm) } mm wider than when it was fitted, and where it stands it comes to { MM($moved_mm) } mm
           *[coming] Where it stands it grows, to { MM($moved_mm) } mm more than when it was fitted, past its room from { $at } on
        }, { MM($most_mm) } mm at the most over { GIVEN($width_mm) } mm; { $fit ->
            [slot] its slots let it go { MM($room_mm) } mm
           *[other] it was given { MM($room_mm) } mm
        }.
       *[narrow] { $when ->
            [now] It is { MM($now_mm) } mm narrower than when it was fitted, and where it stands it comes to { MM($moved_mm) } mm
           *[coming] Where it stands it shrinks, by { MM($moved_mm) } mm since it was fitted, past its hold from { $at } on
        }, { MM($most_mm) } mm at the most over { GIVEN($width_mm) } mm; { $fit ->
            [groove] a groove of the usual depth holds it for { MM($room_mm) } mm.
           *[other] its slots let it go { MM($room_mm) } mm.
        }
    }{ $deed ->
        [slots] { " " }On the { $which ->
            [wide] outer
           *[narrow] inner
        } side of each screw { MM($left_mm) } mm are left: { MM($take_mm) } mm more there would do.
        [centre] { " " }On the { $which ->
            [wide] outer
           *[narrow] inner
        } side of each screw { MM($left_mm) } mm are left, and on the other side more than it needs: loosen them, and give that side { MM($take_mm) } mm more of the slot.
        [wrap] { " " }A wrap keeps off what is still to come.
       *[other] { "" }
    }
band-clearance-used-far = { $name } is tight
band-clearance-used-far-short = A fitted panel is tight
alert-lot-over-title = { $rule ->
        [lot-checks] { $name } dried too fast
        [lot-cup] { $name } went hollow
        [milled-open] { $name } lay open
        [lots-unconfirmed] Nobody had looked how lots lie
        [wrap-sweating] The wrap of { $name } sweated
        [away] Stock was to be wrapped
        [panel-cures] { $name } cured badly
        [panel-flat] { $name } had rested
        [lot-good] { $name } was good to mill
       *[clearance-used] { $name } was tight
    }
not-watched-no-panel = not watched, because no panel is in the shop
not-watched-no-lot = not watched, because no lot is in the shop, or none was worked out yet
not-watched-no-hours = not watched, because no working hours are told
not-watched-no-wrap = not watched, because no lot is wrapped
not-watched-nobody-away = not watched, because no time away is told
