# What is said of a lot, question by question (server/advice). Titles have at most 24 letters.
lot-nothing-held-title = { $why ->
        [not-yet] Nothing held yet
        [sheet-goods] Moisture not followed
       *[no-specific-gravity] Its gravity is missing
    }
lot-nothing-held = { $why ->
        [not-yet] Its first half hour has not closed yet.
        [sheet-goods] Sheet goods: their moisture is not followed; keep them flat and in the air they will live in.
       *[no-specific-gravity] No specific gravity is published for this wood; give one, and its moisture is followed.
    }
lot-not-worked-out-title = Not worked out
lot-not-worked-out = Its verdict could not be worked out: a fault of this program, which stands in its health. What was said of this lot before no longer counts.
lot-moves-asked = How far does it still move?
lot-moves-shrinks = It still shrinks by { MM($left_mm) } mm across { GIVEN($width_mm) } mm, { MM($most_mm) } mm at the most{ $sure ->
        [yes] .
       *[no] ; or it may swell, by { MM($other_mm) } mm at the most.
    }
lot-moves-swells = It still swells by { MM($left_mm) } mm across { GIVEN($width_mm) } mm, { MM($most_mm) } mm at the most{ $sure ->
        [yes] .
       *[no] ; or it may shrink, by { MM($other_mm) } mm at the most.
    }
lot-moves-settled = { $sure ->
        [yes] It has settled in this air.
       *[no] It is likely to have settled in this air, but that is not sure.
    }
lot-moves-days = It settles in { book-count }.
lot-moves-not-this-season = It does not settle this season.
lot-moves-target = Its mean is { FIGURE($mean_pct) } %, and this air draws it to { FIGURE($target_pct) } %.
lot-moves-limit = Settled is within half a per cent of what the air draws it to, shell and core.
lot-mill-asked = When is it good to mill?
lot-mill-now-title = Ready to mill
lot-mill-now = { $measured ->
        [yes] It is good to mill now.
       *[no] It is good to mill now, going by its air alone: nobody has measured it. Meter it before the first cut.
    }
lot-mill-wait-title = { $unit ->
        [h] Mill in { NUMBER($count, maximumFractionDigits: 0) } h
       *[days] Mill in { NUMBER($count, maximumFractionDigits: 0) } { book-unit }
    }
lot-mill-wait = It is good to mill in { book-count }.
lot-mill-season-title = Not this season
lot-mill-season = It does not come to be good to mill within 60 days: { $why ->
        [apart] shell and core stay more than 1 % apart
        [aim] its mean stays outside its aim
       *[both] shell and core stay more than 1 % apart, and its mean outside its aim
    }. { $lying ->
        [stickered] Leave it to lie; thinner pieces get there sooner.
       *[other] On stickers both its faces get there sooner.
    }
lot-mill-not-here-title = Not in this air
lot-mill-not-here = This air draws it to { FIGURE($target_pct) } %, out of its aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %: lay it in another zone, or wrap it.
lot-mill-unsure-title = Measure it
lot-mill-unsure = It may be good to mill now, but that is too unsure to go by: it may be so only { book-after }. Measure it.
lot-mill-until = It stays so for { book-count }.
lot-mill-passes = That passes in { book-count }: then { $why ->
        [aim] its mean leaves its aim
       *[apart] its shells run ahead of its core by more than 1 %
    }.
lot-mill-again = It is so again in { book-count }.
lot-mill-held = { $name }: shell { FIGURE($shell_pct) } %, core { FIGURE($core_pct) } %, mean { FIGURE($mean_pct) } %.
lot-mill-limit = Shell and core within 1 % of each other, and the mean between { GIVEN($low_pct) } and { GIVEN($high_pct) } %.
lot-air-beyond = { $basis ->
        [season] From { $at } on the air is taken from this zone's own record of { $days } days: what these weeks of the year were, and how far that may be off.
       *[week] From { $at } on the air is taken to stay as it was in the last week, which may be far off: this zone has no year of record yet.
    }
lot-caution-mill = An estimate for dry lumber. Never mill cupped or twisted stock unsupported. The machine's manual comes first. Dust: extraction and a mask.
lot-flat-limit = Flat within { GIVEN($flat_mm) } mm over { GIVEN($width_mm) } mm, as a glue joint asks.
lot-faces-asked = Even or uneven faces, how much over at first, and how long to rest?
lot-faces-plan = { $name }, { $usual ->
        [yes] taken down as usual
       *[no] as planned
    }: { MM($top_mm) } mm off the top and { MM($bottom_mm) } mm off the bottom, { FIGURE($final_mm) } mm in the end, { $lying ->
        [stickered] on stickers
        [wrapped] wrapped
        [one-face] flat on the bench
        [dead-stacked] one on another
       *[on-edge] on edge
    } afterwards.
lot-faces-cup = It goes { MM($peak_mm) } mm out of flat over { GIVEN($width_mm) } mm { $when ->
        [at-once] as soon as it is milled
       *[later] { $unit ->
            [late] in the long run
           *[other] { book-after }
        }
    }, the { $face ->
        [top] top
       *[bottom] bottom
    } face hollow; { MM($most_mm) } mm at the most.
lot-faces-flat = It stays flat over { GIVEN($width_mm) } mm as far as the air is concerned, within { WITHIN($most_mm) } mm.
lot-faces-rings = { $side ->
        [bark] That counts its rings, which cup it by { MM($ring_mm) } mm as all of it dries: the side towards the bark, its { $face ->
            [top] top
           *[bottom] bottom
        }, goes hollow.
        [pith] That counts its rings, which cup it by { MM($ring_mm) } mm as all of it takes up water: the side towards the pith, its { $face ->
            [top] top
           *[bottom] bottom
        }, goes hollow.
       *[either] As all of it follows the air its rings cup it by { MM($ring_mm) } mm, to the one side or the other: nobody said which face looks to the bark. Look at the end grain.
    }
lot-faces-one = All of it off the top alone: { MM($top_mm) } mm out of flat at the worst; off the bottom alone: { MM($bottom_mm) } mm.
lot-faces-enough = Done so it is flat enough, within { GIVEN($flat_mm) } mm: it may go to size in one go.
lot-faces-extra = Done so, leave it { MM($extra_mm) } mm over at first{ $most ->
        [same] {""}
        [more] , { MM($most_mm) } mm to be sure
       *[none] , and more to be sure than there is to spare
    }, { FIGURE($first_mm) } mm in all; take the rest evenly in { book-count }.
lot-faces-extra-late = Done so, leave it { MM($extra_mm) } mm over at first{ $most ->
        [same] {""}
        [more] , { MM($most_mm) } mm to be sure
       *[none] , and more to be sure than there is to spare
    }, { FIGURE($first_mm) } mm in all; it is not even enough inside for the last pass this season.
lot-faces-pinch = Its fork test pinched: take the same off both faces, and let it rest between the first pass and the last.
lot-faces-fork = No fork test of it is written down: cut one before milling unevenly, and mill evenly if it pinches.
lot-faces-twist = It came twisted, and twist tends to return: { MM($twist_mm) } mm are left for that. Joint it again after its rest.
lot-faces-checks = Checks were seen on its faces: they may run deeper than these cuts. Cut one piece back and look.
lot-stop-asked = What if work stops now, for { GIVEN($away_hours) } h?
lot-stop-cup = { $name }: { $lying ->
        [stickered] on stickers it is
        [wrapped] wrapped it is
        [one-face] flat on the bench it is
        [dead-stacked] one on another its outermost piece is
       *[on-edge] on edge it is
    } { MM($cup_mm) } mm out of flat over { GIVEN($width_mm) } mm by then, the { $face ->
        [top] top
       *[bottom] bottom
    } face hollow; { MM($most_mm) } mm at the most.
lot-stop-flat = { $name }: { $lying ->
        [stickered] on stickers it stays
        [wrapped] wrapped it stays
        [one-face] flat on the bench it stays
        [dead-stacked] one on another its outermost piece stays
       *[on-edge] on edge it stays
    } flat over { GIVEN($width_mm) } mm, within { WITHIN($most_mm) } mm.
lot-stop-open = It may lie so for { book-count }, until it is { GIVEN($tolerance_mm) } mm out of flat.
lot-stop-open-season = { $sure ->
        [yes] It may lie so this whole season.
       *[no] It is likely to stay flat enough this whole season, but that is not sure.
    }
lot-stop-past = It is more than { GIVEN($tolerance_mm) } mm out of flat already.
lot-stop-advice = { $advice ->
        [leave] Leave it as it lies.
        [stickered] Lay it on stickers before you go: { MM($cup_mm) } mm, { MM($most_mm) } mm at the most.
       *[wrapped] Wrap it before you go: { MM($cup_mm) } mm, { MM($most_mm) } mm at the most.
    }
lot-stop-best = No way of leaving it is sure to keep it so; { $advice ->
        [leave] leaving it as it lies
        [stickered] laying it on stickers
       *[wrapped] wrapping it
    } does best: { MM($cup_mm) } mm, { MM($most_mm) } mm at the most.
lot-stop-compare = Out of flat by then: on stickers { MM($stickered_mm) } mm, wrapped { MM($wrapped_mm) } mm, flat on the bench { MM($bench_mm) } mm; one on another { MM($bench_mm) } mm the outermost, { MM($inner_mm) } mm the others.
lot-stop-moves = As it lies it { $way ->
        [shrinks] shrinks
       *[swells] swells
    } by { MM($move_mm) } mm meanwhile, and shell and core are then { FIGURE($apart_pct) } % apart.
lot-stop-limit = Flat within { GIVEN($tolerance_mm) } mm over { GIVEN($width_mm) } mm; once it is milled, shell and core within { GIVEN($apart_limit_pct) } % of each other.
lot-stop-act-title = { $advice ->
        [stickered] Sticker it today
       *[wrapped] Wrap it today
    }
lot-stop-look-title = { $advice ->
        [stickered] Rather on stickers
       *[wrapped] Rather wrapped
    }
lot-caution-stop = An estimate for dry lumber. Wrap dry stock only: damp wood moulds under film. Keep film and stickers away from heaters. Before you go: machines off and locked, dust and oily rags out of the shop. The machine's manual comes first.
lot-reading-said = { $kind ->
        [pins] The pins say { FIGURE($read) } % where { FIGURE($expected) } % was expected
        [dielectric] The dielectric meter says { FIGURE($read) } % where { FIGURE($expected) } % was expected
        [wrap] The sensor in the wrap says { FIGURE($read) } % of the faces where { FIGURE($expected) } % was expected
        [scale] The sample board weighs { NUMBER($read, minimumFractionDigits: 3, maximumFractionDigits: 3) } kg where { NUMBER($expected, minimumFractionDigits: 3, maximumFractionDigits: 3) } kg was expected
       *[straightedge] The straightedge says { MM($read) } mm where { MM($expected) } mm was expected, plus for a hollow top
    }
lot-reading-used = { lot-reading-said }: the mean goes from { FIGURE($before_pct) } to { FIGURE($after_pct) } %, give or take { FIGURE($sure_before_pct) } before and { FIGURE($sure_after_pct) } now.
lot-reading-second-alike = { lot-reading-said }, much as with the one before: both are believed, and the mean goes from { FIGURE($before_pct) } to { FIGURE($after_pct) } %, give or take { FIGURE($sure_before_pct) } before and { FIGURE($sure_after_pct) } now.
lot-reading-absurd = { lot-reading-said }: too far off to be believed by itself. Read again; a second one like it is believed.
lot-reading-shape-anew = { lot-reading-said }: no moisture explains that. It teaches nothing, and the shape counts from here.
lot-reading-bound = { $reason ->
        [seven-or-less] Pins tell no more than "7 % or less" there
        [beyond-what-pins-tell] That is beyond what pins can tell
        [below-what-it-tells] That is below what a dielectric meter can tell
       *[beyond-what-it-tells] That is beyond what a dielectric meter can tell
    }: it draws nothing, and the mean stands, give or take { FIGURE($sure_before_pct) } % before and { FIGURE($sure_after_pct) } now.
lot-reading-first = { $kind ->
        [scale] The first weighing of these pieces: later ones are compared with it.
       *[straightedge] The first straightedge on this shape: later ones count from it.
    }
lot-reading-not-steady = The sensor in the wrap was warming or cooling, so it does not speak of the wood yet.
lot-resaw-asked = Resaw it, or leave it thick?
lot-resaw-condition = Not yet: its fork test { $prongs ->
        [pinch] pinches
       *[open] spreads
    }, so both halves would bend as soon as they are sawn, and the blade may be pinched. Rest or condition it, and cut another fork test first.
lot-resaw-too-thin = Not now: at the worst a half holds a flat piece of { MM($flat_mm) } mm only, where { GIVEN($need_mm) } mm are needed. Let it come even inside first, or take thicker stock.
lot-resaw-even = Whole it is good to mill already: resaw it only where the work wants thinner pieces, and rest the halves.
lot-resaw-sooner = Where the work allows half its thickness, resaw it: its halves are good to mill sooner than it is whole.
lot-resaw-no-gain = Leave it thick: resawn it is good to mill no sooner.
lot-resaw-good = { $which ->
        [whole] Whole, as it lies, it is good to mill
       *[halves] Its halves are good to mill
    } in { book-count }.
lot-resaw-late = { $which ->
        [whole] Whole, as it lies, it is
       *[halves] Its halves are
    } not good to mill this season.
lot-resaw-flat = { $half ->
        [top] The top half
        [bottom] The bottom half
       *[each] Each half
    }, { FIGURE($thickness_mm) } mm thick, stays flat over { GIVEN($width_mm) } mm as far as the air is concerned, within { WITHIN($most_mm) } mm.
lot-resaw-half = { $half ->
        [top] The top half
        [bottom] The bottom half
       *[each] Each half
    }, { FIGURE($thickness_mm) } mm thick, goes { MM($peak_mm) } mm out of flat over { GIVEN($width_mm) } mm, { MM($most_mm) } mm at the most, the { $face ->
        [sawn] sawn
       *[outer] outer
    } face hollow, { book-after }: a flat piece of { FIGURE($flat_mm) } mm is in it, { FIGURE($flat_least_mm) } mm at the least.
lot-resaw-at-once = { $half ->
        [top] The top half
        [bottom] The bottom half
       *[each] Each half
    }, { FIGURE($thickness_mm) } mm thick, is { MM($peak_mm) } mm out of flat over { GIVEN($width_mm) } mm as soon as it is sawn, { MM($most_mm) } mm at the most, the { $face ->
        [sawn] sawn
       *[outer] outer
    } face hollow, and moves no further out as it settles: a flat piece of { FIGURE($flat_mm) } mm is in it, { FIGURE($flat_least_mm) } mm at the least.
lot-resaw-rest = { $lying ->
        [wrapped] Wrapped,
       *[stickers] On stickers,
    } shell and core of the halves stay within 1 % of each other in { book-count }: rest them so long before they are planed.
lot-resaw-fork = No fork test was told: cut one first, and leave the board whole if its prongs pinch or spread.
lot-resaw-limit = Good to mill is shell and core within 1 % of each other, and the mean inside its aim.
lot-rip-asked = How wide must it be ripped?
lot-rip-make = Make a rip test first: rip one strip, as wide as it will be used and clear of knots along the line, lay it on a straightedge, and write down its crook and its length.
lot-rip-crook = Going by its test strips, a rip of { GIVEN($length_mm) } mm crooks by { MM($crook_mm) } mm at the worst of them; the next one by { MM($low_mm) } to { MM($high_mm) } mm.
lot-rip-leave = Rip strips { GIVEN($oversize_mm) } mm wider than they end up: a pass and twice the crook on each edge, as the second cut frees more. Let them lie before the last cut.
lot-rip-released = The last three strips came off straight within half a millimetre: leave { GIVEN($oversize_mm) } mm, a pass on each edge.
lot-rip-beyond = Over { GIVEN($length_mm) } mm a strip would crook too far to be of use: cut the pieces shorter first. Half the length crooks a quarter as far.
lot-rip-knot = { $count ->
        [one] A test strip
       *[other] { $count } test strips
    } had a knot in the line, which voids the test. Rest a strip that was ripped through a knot, and rip a clear one to go by.
lot-rip-width = The last test strip was { GIVEN($test_width_mm) } mm wide: one of { GIVEN($width_mm) } mm says more, as crook changes with width.
lot-back-asked = When can it be delivered, and what must be done by when?
lot-back-late-title = Too late for its date
lot-back-late = Work in it cannot be ready for { $at }.
lot-back-needs = Say when it is to be delivered, and it is counted back from there.
lot-back-earliest = Counted from now the first delivery is { $at }{ $spread ->
        [open] , if all goes slowly nobody can say how late
        [day] {""}
        [late] , { $high } at the latest
       *[closed] , between { $low } and { $high }
    }: first pass { $mill }, last pass and glue-up { $glue }.
lot-back-never = It does not come to be good to mill in this air as far as is looked ahead: there is no date to count from.
lot-back-plan = For { $at }: such wood is to be in by { $bring_in }, the first pass { $mill }, last pass and glue-up { $glue } at the latest.
lot-back-tight = { $spread ->
        [open] If it goes slowly nobody can say when it is ready
       *[closed] If it goes slowly the first delivery is { $high }
    }: measure it before it is milled.
lot-back-sooner-stickered = Stickered, with both faces in the air: { $met ->
        [yes] delivery on { $at }, in time.
       *[no] delivery on { $at }.
    }
lot-back-sooner-resawn = Resawn in two and stickered, where the work allows it: { $met ->
        [yes] delivery on { $at }, in time.
       *[no] delivery on { $at }.
    }
lot-back-sooner-zone = In { THE($zone) }, as it lies: { $met ->
        [yes] delivery on { $at }, in time.
       *[no] delivery on { $at }.
    }
lot-back-risk = A day saved by milling before it is good to mill leaves { FINE($day_mm) } mm across { GIVEN($width_mm) } mm still to move, { FINE($most_mm) } mm at the most; milled now, { FINE($now_mm) } mm in all, { FINE($now_most_mm) } mm at the most.
lot-back-no-risk = It is good to mill now: milling today puts nothing at risk.
lot-back-counted = Counted with { GIVEN($rest_days) } days of rest between the passes, { GIVEN($cure_days) } in clamps and curing, { GIVEN($assemble_days) } for assembly, { GIVEN($finish_days) } for finishing.
lot-caution-back = Glue and finish: the makers' sheets come first, also for their days; gloves, fresh air, and no flame or heater near solvent vapours. Oily rags heat themselves: lay them out flat or under water. A date is no reason to mill cupped or twisted stock unsupported.
lot-received-asked = What was seen when it came in?
lot-received-fork-title = { $prongs ->
        [pinch] Fork test pinches
       *[open] Fork test spreads
    }
lot-received-fork = { $prongs ->
        [pinch] Its fork test pinches: its inside pulls on its faces. Take the same off both faces, do not resaw, and rest or condition it before anything else is tried.
        [open] The prongs of its fork test spread: its faces pull on its inside. Take the same off both faces and do not resaw before another test stays straight.
       *[straight] The prongs of its fork test stayed straight: no stress across the grain stands in the way of resawing it or milling it unevenly. Of stress along it a rip test tells.
    }
lot-received-fork-uneven = Its shell and core are { FIGURE($apart_pct) } % apart, and prongs bend with that, too: let them lie some hours before they are read, or cut another fork test once it is even.
lot-received-dust-title = Insects may be at work
lot-received-dust = Fresh dust below insect holes: something may be alive in it. Take it out of the rack, wrap it and keep it apart from all other wood. Treating it is for licensed practice.
lot-received-face-checks = { $much ->
        [many] Many face checks
       *[some] Face checks
    }: they run deeper than they show. Cut back until the fresh end is sound, then look at the face after the first pass.
lot-received-twist = { $much ->
        [many] Strong twist
       *[some] Some twist
    }: twisted stock tends to twist again. Leave it longer, cut it to rough lengths first, and joint it twice with a rest between.
lot-received-bow = { $much ->
        [many] Strong bow
       *[some] Some bow
    }: keep it for short parts, cut to rough lengths before it is jointed.
lot-received-loose-knots = { $much ->
        [many] Many loose knots
       *[some] Loose knots
    }: they come out at the blade or later. Lay pieces around them, let no rip line run through one, and rest a strip that was ripped through one.
lot-received-bug-holes = { $much ->
        [many] Many insect holes
       *[some] Insect holes
    }: keep it apart and look below it for fresh dust for some weeks. Old holes without dust are a matter of looks; treating live ones is for licensed practice.
lot-received-sapwood = { $much ->
        [many] Much sapwood
       *[some] Some sapwood
    }: not for outdoors, whatever its heartwood withstands, and insects like it best. Its movement is like that of the rest.
lot-received-stain = { $much ->
        [many] Much stain
       *[some] Some stain
    }: see how deep it goes with one pass before pieces are laid out, and look for softness beside it: stain comes of damp.
lot-received-damaged-edges = { $much ->
        [many] Badly damaged edges
       *[some] Damaged edges
    }: trim to sound edges first, and count on less width than is written here.
lot-received-sheet-bent = Its sheets are not flat: lay them flat on a flat base, weighted, with a cover sheet on top. They do not come back by themselves; test one before it is cut.
lot-sheet-title = Unlike faces bend it
lot-sheet-bends = Its faces are not alike: as the air dries from { NUMBER($damp_pct, maximumFractionDigits: 0) } to { NUMBER($dry_pct, maximumFractionDigits: 0) } % humidity, its { $face } goes hollow { $way ->
        [along] along its length
       *[across] across its width
    } by { MM($hollow_mm) } mm over { GIVEN($over_mm) } mm ({ MM($least_mm) } to { MM($most_mm) } mm){ $stays ->
        [yes] , and stays so
        [part] {" "}at the worst, { $days ->
            [one] about a day after
           *[other] about { $days } days after
        }, and less later
        [turns] {" "}at the worst, { $days ->
            [one] about a day after
           *[other] about { $days } days after
        }; in the end its other face is the hollow one
       *[no] {" "}at the worst, { $days ->
            [one] about a day after
           *[other] about { $days } days after
        }; it comes back as the other face follows
    }.
lot-sheet-bends-too = { $way ->
        [along] Along its length
       *[across] Across its width
    } its { $face } goes hollow then, by { MM($hollow_mm) } mm over { GIVEN($over_mm) } mm ({ MM($least_mm) } to { MM($most_mm) } mm){ $stays ->
        [yes] , and stays so
        [part] {" "}at the worst, { $days ->
            [one] about a day after
           *[other] about { $days } days after
        }, and less later
        [turns] {" "}at the worst, { $days ->
            [one] about a day after
           *[other] about { $days } days after
        }; in the end its other face is the hollow one
       *[no] {" "}at the worst, { $days ->
            [one] about a day after
           *[other] about { $days } days after
        }; it comes back as the other face follows
    }.
lot-sheet-flat = Its faces are not alike, but that hardly bends it as the air dries from { NUMBER($damp_pct, maximumFractionDigits: 0) } to { NUMBER($dry_pct, maximumFractionDigits: 0) } % humidity.
lot-sheet-practice = Its faces are not alike, and not all of that can be put in figures. { $why ->
        [laminate] A laminate moves more than what it lies on: as a rule its { $face } goes hollow as the air dries.
        [veneer] The more wood shrinks more: as a rule its { $face } goes hollow across that grain as the air dries.
        [cover] The open face dries first: as a rule its { $face } goes hollow as the air dries, until the other has followed.
       *[unsure] Which of them goes hollow as the air dries, nobody can say from here.
    }
lot-sheet-back = As the air dampens it goes the other way. Lay the same on both faces, with the grain the same way and on the same day, or fix it to something that holds it flat.
lot-sheet-alike = The same lies on both its faces: nothing in how it is made bends it, as long as both lie in the same air.
lot-sheet-not-told = It is not told what lies on { $face ->
        [top] its top face
        [bottom] its bottom face
       *[both] its faces
    }: unlike faces bend a sheet, so look, and write it down.
lot-sheet-edges = Its edges are open: they take up damp first and swell before the rest. Lip them or seal them.
lot-sheet-limit = Flat within { GIVEN($flat_mm) } mm over a metre.
lot-received-ends = Its ends are not sealed: their outer { NUMBER($ends_mm, maximumFractionDigits: 0) } mm run ahead of the rest in this air, { NUMBER($most_mm, maximumFractionDigits: 0) } mm at the most{ $way ->
        [dries] . Ends check first: seal or trim them.
       *[swells] . Seal them, and read no meter there.
    }
lot-received-ends-open = Its ends are not sealed, and ends check first: seal or trim them.
lot-received-ends-wrapped = Its ends are not sealed: as long as it is wrapped that does little. Seal them before it is opened.
lot-received-ends-settled = Its ends were not sealed; they no longer run ahead of the rest in this air. Look at them for checks.
lot-received-clear = Nothing was found on it when it came in.
lot-received-not-looked = Not looked at:{ $face_checks ->
        [open] {" "}face checks;
       *[done] {""}
    }{ $twist ->
        [open] {" "}twist;
       *[done] {""}
    }{ $bow ->
        [open] {" "}bow;
       *[done] {""}
    }{ $loose_knots ->
        [open] {" "}loose knots;
       *[done] {""}
    }{ $bug_holes ->
        [open] {" "}insect holes;
       *[done] {""}
    }{ $sapwood ->
        [open] {" "}sapwood;
       *[done] {""}
    }{ $stain ->
        [open] {" "}stain;
       *[done] {""}
    }{ $damaged_edges ->
        [open] {" "}edges;
       *[done] {""}
    }{ $ends_sealed ->
        [open] {" "}whether its ends are sealed;
       *[done] {""}
    }{ $fork_test ->
        [open] {" "}a fork test;
       *[done] {""}
    }{ $sheet_flat ->
        [open] {" "}whether it is flat;
       *[done] {""}
    } look while it is at hand.
lot-received-alone = No other lot of its log is in the shop.
lot-received-together = Boards of one log stay together, and { $count ->
        [one] another lot of its log is
       *[other] { $count } other lots of its log are
    } in the shop.
lot-received-mate = { $name }, of the same log, lies in { THE($zone) }.
lot-caution-received = Loose knots and hidden metal fly at the blade: eyes and face covered, and look before sawing. Never mill cupped or twisted stock unsupported. Dust, above all from stained or mouldy wood: extraction and a mask. Insects in the house: licensed practice.
lot-confirmed-asked = Does it still lie as is written?
lot-confirmed-title = { $lying ->
        [wrapped] Is it still wrapped?
        [dead-stacked] Is it still stacked so?
        [one-face] Does it still lie so?
       *[stickered] Is it still there?
    }
lot-lies = { $lying ->
        [wrapped] wrapped
        [dead-stacked] stacked without stickers
        [one-face] one face down
        [on-edge] on edge
       *[stickered] on stickers
    }
lot-confirmed-lies = { $name }: { lot-lies } in { THE($zone) } since { $at }.
lot-confirmed-seen = { $by ->
        [known] { $who }
       *[nobody] Somebody
    } { $how ->
        [said] last said so
       *[hand] last had it in hand
    } at { $at }.
lot-confirmed-holds = That holds until { $at }.
lot-confirmed-past = That held until { $at }; since then it may lie otherwise without a word.
lot-confirmed-cost = If it lies otherwise by now, its mean may be { $side ->
        [drier] { FIGURE($drier_pct) } % lower
        [damper] { FIGURE($damper_pct) } % higher
       *[either] { FIGURE($drier_pct) } % lower or { FIGURE($damper_pct) } % higher
    }, and its shell more: look, and say so.
lot-confirmed-limit = A word holds for { $days ->
        [one] a day, as it is freshly milled: such stock is in work
       *[other] { NUMBER($days, maximumFractionDigits: 0) } days
    }.
lot-if-still = { $lying ->
        [wrapped] if it is still wrapped
        [dead-stacked] if it is still stacked so
        [one-face] if it still lies so
       *[stickered] if it is still in { THE($zone) }
    }
