# What is said of a glue-up, question by question (server/advice/glue_up). Titles have at most 24 letters.
glue-ready-title = Ready to glue
glue-wait-title = { $unit ->
        [h] Glue in { NUMBER($count, maximumFractionDigits: 0) } h
       *[days] Glue in { NUMBER($count, maximumFractionDigits: 0) } { book-unit }
    }
glue-unsure-title = Measure before gluing
glue-unheard-title = The room is not heard
glue-when = It can be glued in { book-count }.
glue-when-heated = It can be glued as soon as { THE($zone) } is kept warm enough; in the next days it is not by itself.
glue-when-heated-by-then = The boards can be glued in { book-count }, if { THE($zone) } is kept warm enough by then; in the next days it is not by itself.
glue-when-season = As things are it cannot be glued this season.
glue-when-boards = The boards are where they belong and even inside in { book-count }.
glue-when-alike = They are near enough to each other in { book-count }.
glue-when-warm = That takes { book-count }, laid apart.
glue-sooner-zone = All boards in { THE($zone) }, and glued there: in { book-count }.
glue-sooner-stickered = All boards on stickers, with both faces in the air: in { book-count }.
glue-sooner-wrapped = All boards wrapped where they lie: in { book-count }.
glue-aim-asked = Do the boards hold what this panel must hold?
glue-aim-inside = All boards lie inside this panel's aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %.
glue-aim-outside = { $name } holds { FIGURE($mean_pct) } %, { $side ->
        [dry] below
       *[damp] above
    } this panel's aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %.
glue-aim-unsure = { $name } may be inside the aim and even now, but that is too unsure to go by: it holds between { FIGURE($held_low_pct) } and { FIGURE($held_high_pct) } %. Measure it.
glue-aim-not-here = The air of { $names } draws wood to { FIGURE($target_pct) } %, out of the aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %: lay it in another zone.
glue-aim-season = They do not all come to lie inside it and even within 60 days.
glue-aim-mean = By width the panel holds { FIGURE($mean_pct) } % in the mean, between { FIGURE($mean_pct_low) } and { FIGURE($mean_pct_high) } %.
glue-aim-limit = The mean of each board between { GIVEN($low_pct) } and { GIVEN($high_pct) } %: where the panel will live decides, not the room it is glued in.
glue-even-asked = Are the boards even inside?
glue-even-yes = Shell and core of { $name }, the least even, are { FIGURE($apart_pct) } % apart.
glue-even-no = Shell and core of { $name } are { FIGURE($apart_pct) } % apart: glued now, the panel goes on moving by itself.
glue-even-season = They do not come even within 60 days as they lie.
glue-even-limit = Shells and core within { GIVEN($apart_pct) } % of each other.
glue-alike-asked = Are the boards alike?
glue-alike-one = All boards are of one lot, { $name }, of which one mean is held: meter two of them where they came from different places.
glue-alike-yes = { $wet } and { $dry }, the dampest and the driest, are { FIGURE($apart_pct) } % apart.
glue-alike-no = { $wet } is { FIGURE($apart_pct) } % damper than { $dry }: the line between them will be under stress, and a step may show.
glue-alike-season = They do not come nearer within 60 days as they lie.
glue-alike-title = Boards not alike
glue-alike-limit = Pieces glued to each other within { GIVEN($most_pct) } %, a rule of thumb.
glue-range-asked = Does this glue take such wood?
glue-range-in = { $known ->
        [yes] The boards are neither too dry nor too damp for it.
       *[no] Nothing was found that says how dry or damp wood may be for it: its maker's sheet has it.
    }
glue-range-out = { $names }: outside what { $sure ->
        [yes] the maker of this glue allows
       *[no] its family is said to take, which is no firm figure
    }. Read its sheet, or take a glue made for such wood; do not dry or wet boards out of their aim for it.
glue-range-title = Wood and glue do not fit
glue-range-limit = { $known ->
        [yes] Wood between { GIVEN($low_pct) } and { GIVEN($high_pct) } %.
       *[no] What its maker's sheet says.
    }
glue-fresh-asked = Are the faces fresh?
glue-fresh-yes = The faces were opened { NUMBER($hours, maximumFractionDigits: 0) } h ago at the most.
glue-fresh-stale = The faces of { $names } are up to { NUMBER($hours, maximumFractionDigits: 0) } h old: joint the edges afresh, a light pass, before the glue.
glue-fresh-never = Planing or jointing of { $names } is not written down: joint the edges, and glue the same day.
glue-fresh-title = Joint the edges afresh
glue-fresh-limit = Planed or jointed within { GIVEN($hours) } h, dense and oily woods the same day.
glue-warm-asked = Are wood, glue and room warm enough?
glue-warm-yes = Wood, glue and room are warm enough.
glue-warm-now = { $what ->
        [wood] The coldest boards, { $name }, are at
        [glue] The glue is at
       *[air] The air is at
    } { TEMPERATURE($temperature_c) }, between { TEMPERATURE($low_c) } and { TEMPERATURE($high_c) }.
glue-warm-unknown = No lowest temperature was found for { $family }: it is on its maker's sheet. Read it and type it in.
glue-warm-unsure = { $why ->
        [make] Whether it is warm enough depends on the make: some set from { TEMPERATURE($lowest_c) }, others not below { TEMPERATURE($sure_c) }. Read the sheet.
       *[sure] It is near the { TEMPERATURE($sure_c) } that this glue needs, and that is not sure: lay a hand or a thermometer on it.
    }
glue-warm-unsure-title = Is it warm enough?
glue-sheet-title = Read the glue's sheet
glue-warm-heat = Warm { THE($zone) } to { TEMPERATURE($temperature_c) } and more before you glue { $names }, and keep it so: a joint made colder may be weak.
glue-warm-bring = { $what ->
        [wood] Bring { $names } into { THE($zone) } and wait until the wood itself is at { TEMPERATURE($temperature_c) }: a joint made cold is weak.
       *[glue] Bring the glue into { THE($zone) } and wait until it is at { TEMPERATURE($temperature_c) } before you glue { $names }.
    }
glue-warm-title = { $what ->
        [wood] Warm the wood first
        [glue] Warm the glue first
       *[air] Warm the room first
    }
glue-warm-limit = { $kind ->
        [none] No figure was found for { $family }: its maker's sheet has it.
        [one] Wood, glue and air at { TEMPERATURE($sure_c) } or more.
        [gels] Wood and air at { TEMPERATURE($sure_c) } or more until the clamps are on: in the cold it gels before.
       *[two] Wood, glue and air at { TEMPERATURE($sure_c) } or more; below { TEMPERATURE($lowest_c) } no make of { $family } sets.
    }
glue-unheard = No air of { THE($zone) } has been heard lately: hang a thermometer there before gluing.
glue-air-asked = Does the air hold for { GIVEN($clamp_h) } h in the clamps?
glue-air-holds = The air stays warm and dry enough.
glue-air-runs = In { THE($zone) } it goes down to { TEMPERATURE($coldest_c) } meanwhile, { TEMPERATURE($low_c) } at the coldest; its dew point goes up to { TEMPERATURE($dew_point_c) }, and what it draws wood to moves by { FIGURE($change_pct) } %.
glue-air-cold = Keep { THE($zone) } at { TEMPERATURE($temperature_c) } and more with { $names } in the clamps: about { $at } it would be too cold for the glue to set.
glue-air-maybe = It may become too cold in the clamps, about { $at }: keep { THE($zone) } at { TEMPERATURE($temperature_c) } and more with { $names } in them.
glue-air-cold-title = Too cold in the clamps
glue-air-maybe-title = Keep the room warm
glue-air-sweats = { $name } is at { TEMPERATURE($wood_c) } and the air's dew point at { TEMPERATURE($dew_point_c) }: water settles on wood so cold. Leave it wrapped until it is warm.
glue-air-sweats-title = The wood would sweat
glue-air-longer = At { TEMPERATURE($temperature_c) } { $sure ->
        [yes] this glue is said to need { FIGURE($needed_h) } h in the clamps: { GIVEN($clamp_h) } h is too short
       *[no] some glues of this family need up to { FIGURE($needed_h) } h in the clamps: leave it so long, or read the sheet
    }.
glue-air-longer-title = Clamp it longer
glue-air-limit = { $known ->
        [yes] The air at { TEMPERATURE($sure_c) } or more all through, and the wood { GIVEN($sweats_k) } K above its dew point.
        [gels] It sets as it cools; the wood { GIVEN($sweats_k) } K above the dew point.
       *[no] What its maker's sheet says; the wood { GIVEN($sweats_k) } K above the dew point.
    }
glue-year-asked = What does its width do through the year?
glue-year = { GIVEN($width_mm) } mm wide as glued, it moves { MM($swing_mm) } mm through a year there, eight times in ten between { MM($swing_mm_low) } and { MM($swing_mm_high) } mm: narrowest about { $narrowest }, widest about { $widest }.
glue-year-room = From now on it shrinks by up to { MM($shrinks_mm) } mm and swells by up to { MM($swells_mm) } mm: leave { MM($clearance_mm) } mm in all beside its edges, and make slots { MM($slot_mm) } mm long for a { GIVEN($screw_mm) } mm screw at the edges where its middle is fixed.
glue-year-of = { $of ->
    [record] The air is that of the house's own record, which draws wood from { FIGURE($low_pct) } to { FIGURE($high_pct) } % in the course of a year.
    [numbers] The air is taken to go through all of the two numbers that were told, from { GIVEN($low_pct) } to { GIVEN($high_pct) } %, once a year.
    [short] That zone has no year of record yet: the air is taken to go through all of the aim's band, from { GIVEN($low_pct) } to { GIVEN($high_pct) } %, once a year. A house of its own may swing less, or more.
   *[aim] Nobody knows the house's own year: the air is taken to go through all of the aim's band, from { GIVEN($low_pct) } to { GIVEN($high_pct) } %, once a year. It may swing less, or more.
}
glue-year-unknown = { $why ->
        [wood] No movement is published for this wood: leave room by what other pieces of it have shown.
       *[year] For a panel so thick no year was found that is like the one before: there is no figure.
    }
glue-year-limit = Air that draws wood from { GIVEN($low_pct) } % in the driest time to { GIVEN($high_pct) } % in the dampest.
glue-rings-asked = Which way shall the rings turn?
glue-rings-least = Least cup: { $way ->
        [alternating] rings alternating
        [heart-up] all hearts up
       *[heart-down] all hearts down
    }, { MM($worst_mm) } mm out of flat at the worst.
glue-rings-same = It makes no difference: { MM($worst_mm) } mm out of flat at the worst any way. Lay the boards by their looks.
glue-rings-waves = Alternating, a strip stands { MM($wave_mm) } mm out beside its neighbour, one up, the next down: a wave that a polished top shows.
glue-rings-way = { $way ->
        [alternating] Alternating
        [heart-up] Hearts up
       *[heart-down] Hearts down
    }: { $dry_face ->
        [flat] flat when driest
        [top] top hollow by { MM($dry_mm) } mm when driest
       *[bottom] bottom hollow by { MM($dry_mm) } mm when driest
    }, { $damp_face ->
        [flat] flat when dampest
        [top] top hollow by { MM($damp_mm) } mm when dampest
       *[bottom] bottom hollow by { MM($damp_mm) } mm when dampest
    }, over { GIVEN($width_mm) } mm.
glue-room-asked = How far is this room from the boards?
glue-room-near = { THE($zone, "start") } draws wood to { FIGURE($emc_pct) } %, near what the boards hold.
glue-room-far = { THE($zone, "start") } draws wood to { FIGURE($emc_pct) } %, { FIGURE($apart_pct) } % { $side ->
        [dry] below
       *[damp] above
    } what the boards hold. They are right for where the panel goes: do not wait for them to follow this room.
glue-room-apart = { THE($zone, "start") } draws wood to { FIGURE($emc_pct) } %, { FIGURE($apart_pct) } % { $side ->
        [dry] below
       *[damp] above
    } what the boards hold.
glue-room-caution = Keep the boards wrapped until the glue-up, and wrap the panel after it: open faces would go { $side ->
        [dry] hollow as they dry
       *[damp] round as they take up water
    }.
glue-room-limit = Within { GIVEN($near_pct) } % a glue-up leaves them as they are.
