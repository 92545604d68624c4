# What is said of a panel, question by question (server/advice/panel). Titles have at most 24 letters.
panel-cure-asked = Does its glue get what it needs?
panel-cure-cold-title = Warm the glue-up
panel-cure-cold = { $name }: its wood is { TEMPERATURE($wood_c) }, colder than the { TEMPERATURE($lowest_c) } its glue needs. Bring it into a warmer room, in its clamps: glue that has not set can still be saved.
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
       *[yes] The wood no colder than { TEMPERATURE($lowest_c) }.
    }
panel-flat-asked = May it be flattened?
panel-flat-first-cured = Its glue has to cure first.
panel-flat-wait-title = { WHOLE($left_days) ->
        [one] Flatten in { NUMBER($left_days, maximumFractionDigits: 0) } day
       *[other] Flatten in { NUMBER($left_days, maximumFractionDigits: 0) } days
    }
panel-flat-wait = { $name } may be flattened in { FIGURE($left_days) } days.
panel-flat-uneven-title = Let it even out
panel-flat-uneven = { $name } has rested from its glue, but its shell and core are more than 1 % apart: flattened now it would not stay flat.
panel-flat-ready-title = It may be flattened
panel-flat-ready = { $name } may be flattened: its glue lines have sunk as far as they will.
panel-flat-early = It was flattened { FIGURE($rested_days) } days after the clamps, before its glue lines had dried: they may still sink. Leave the last passes and the sanding until they have.
panel-flat-done = It was flattened { FIGURE($rested_days) } days after the clamps.
panel-flat-sinks-title = Leave the sanding
panel-flat-why = Water-borne glue swells the wood beside each line; planed before that has dried, the line sinks later and shows.
panel-flat-limit = { $known ->
        [no] Until it is cured: this adhesive brings no water of its own, or nobody says how much.
       *[yes] { FIGURE($days) } days from the clamps.
    }
