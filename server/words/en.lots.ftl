# What is said of a lot, question by question (server/advice). Titles have at most 24 letters.
lot-nothing-held-title = Nothing held yet
lot-nothing-held = { $why ->
        [not-yet] Its first half hour has not closed yet.
        [sheet-goods] Sheet goods: their moisture is not followed; keep them flat and in the air they will live in.
       *[no-specific-gravity] No specific gravity is published for this wood; give one, and its moisture is followed.
    }
lot-moves-asked = How far does it still move?
lot-moves-shrinks = It still shrinks by { MM($left_mm) } mm across { GIVEN($width_mm) } mm, { MM($most_mm) } mm at the most.
lot-moves-swells = It still swells by { MM($left_mm) } mm across { GIVEN($width_mm) } mm, { MM($most_mm) } mm at the most.
lot-moves-settled = It has settled in this air.
lot-moves-days = It settles in { book-count }.
lot-moves-not-this-season = It does not settle this season.
lot-moves-target = Its mean is { FIGURE($mean_pct) } %, and this air draws it to { FIGURE($target_pct) } %.
lot-moves-limit = Settled is within half a per cent of what the air draws it to, shell and core.
lot-mill-asked = When is it good to mill?
lot-mill-now-title = Ready to mill
lot-mill-now = It is good to mill now.
lot-mill-wait-title = { $unit ->
        [h] Mill in { NUMBER($count, maximumFractionDigits: 0) } h
       *[days] Mill in { NUMBER($count, maximumFractionDigits: 0) } days
    }
lot-mill-wait = It is good to mill in { book-count }.
lot-mill-season-title = Not this season
lot-mill-season = It does not come to be good to mill within 60 days: shell and core stay apart, or its mean outside its aim.
lot-mill-not-here-title = Not in this air
lot-mill-not-here = This air draws it to { FIGURE($target_pct) } %, out of its aim of { GIVEN($low_pct) } to { GIVEN($high_pct) } %: lay it in another zone, or wrap it.
lot-mill-unsure-title = Measure it
lot-mill-unsure = It may be good to mill now, but that is too unsure to go by: it may be { book-after }. Measure it.
lot-mill-until = It stays so for { book-count }.
lot-mill-again = It is so again in { book-count }.
lot-mill-held = { $name }: shell { FIGURE($shell_pct) } %, core { FIGURE($core_pct) } %, mean { FIGURE($mean_pct) } %.
lot-mill-limit = Shell and core within 1 % of each other, and the mean between { GIVEN($low_pct) } and { GIVEN($high_pct) } %.
lot-caution-mill = An estimate for dry lumber. Never mill cupped or twisted stock unsupported. The machine's manual comes first. Dust: extraction and a mask.
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
